package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"rsc.io/qr"

	"setshade/internal/page"
	"setshade/internal/store"
	"setshade/internal/workshop"
)

const serveLong = `Open the bench page: the same store and the same answers as the commands, in a
browser. Ctrl-C stops it.

By itself the page answers to this machine alone. With --lan it can be opened
from a phone on the same network: the terminal shows an address and a code as a
picture to photograph, and each code lets one browser in, for good: to shut them
all out, remove the file that ends in .browsers beside the store. The page travels
unencrypted over that network; use --lan on one that you trust.`

type serveOptions struct {
	addr string
	port int
	lan  bool
}

func newServe(a *app) *cobra.Command {
	o := serveOptions{port: usualPort}
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Open the bench page for a browser or a phone",
		Long:  serveLong,
		Example: `  setshade serve
  setshade serve --port 9000
  setshade serve --lan`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := o.check(cmd); err != nil {
				return err
			}
			// The shelf can be filled on the page, so that it may begin a store.
			return a.withNewStore(cmd.Context(), func(s *store.Store) error {
				return a.serve(cmd.Context(), &workshop.Workshop{Store: s, Now: a.env.Now}, o)
			})
		},
	}
	cmd.Flags().StringVar(&o.addr, "addr", "", "`address` to listen on (else 127.0.0.1, or all of this machine with --lan)")
	countFlag(cmd.Flags(), &o.port, "port", "`number` of the port to listen on; 0 for any that is free")
	cmd.Flags().BoolVar(&o.lan, "lan", false, "let browsers of the local network in, each with a code")
	completeFlag(cmd, "addr", cobra.NoFileCompletions)
	completeFlag(cmd, "port", cobra.NoFileCompletions)
	return cmd
}

// usualPort has no meaning but to be easy to remember.
const usualPort = 7117

func (o *serveOptions) check(cmd *cobra.Command) error {
	if o.addr == "" {
		o.addr = "127.0.0.1"
		if o.lan {
			o.addr = "0.0.0.0"
		}
	}
	ip := net.ParseIP(o.addr)
	switch {
	case ip == nil:
		return &usageError{fmt.Sprintf("%q is not an address like 127.0.0.1", o.addr), helpOf(cmd)}
	case !ip.IsLoopback() && !o.lan:
		return &usageError{fmt.Sprintf("%s can be reached by others; say so with --lan, and each browser needs a code", o.addr), cmd.CommandPath() + " --lan"}
	case o.port < 0 || o.port > 65535:
		return &usageError{fmt.Sprintf("there is no port %d; it lies between 0 and 65535", o.port), helpOf(cmd)}
	}
	return nil
}

// How long a browser may take over each part of a request. A photograph over a
// poor network takes a while.
const (
	headerTimeout = 10 * time.Second
	readTimeout   = 2 * time.Minute
	writeTimeout  = 2 * time.Minute
	idleTimeout   = 2 * time.Minute
	stopTimeout   = 5 * time.Second
)

// serve runs the page until ctx ends, then lets what is under way finish.
func (a *app) serve(ctx context.Context, w *workshop.Workshop, o serveOptions) error {
	listener, err := net.Listen("tcp", net.JoinHostPort(o.addr, strconv.Itoa(o.port)))
	if err != nil {
		return fmt.Errorf("the page cannot be opened on %s port %d; choose another with --port (%w)", o.addr, o.port, err)
	}
	base := "http://" + net.JoinHostPort(reachable(o.addr), strconv.Itoa(listener.Addr().(*net.TCPAddr).Port))
	var gate *page.Gate
	if o.lan {
		gate = page.NewGate(func(code string) { a.sayOpen(base, &code) })
		if err := gate.KeepIn(w.Store.Path() + ".browsers"); err != nil {
			return errors.Join(err, listener.Close())
		}
	} else {
		a.sayOpen(base, nil)
	}
	life, end := context.WithCancel(ctx)
	defer end()
	site := page.New(life, w, gate)
	server := &http.Server{
		Handler: site, ReadHeaderTimeout: headerTimeout, ReadTimeout: readTimeout,
		WriteTimeout: writeTimeout, IdleTimeout: idleTimeout, MaxHeaderBytes: 64 << 10,
	}
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	select {
	case err = <-failed:
	case <-ctx.Done():
		patience, stop := context.WithTimeout(context.WithoutCancel(ctx), stopTimeout)
		defer stop()
		if err = server.Shutdown(patience); errors.Is(err, context.DeadlineExceeded) {
			err = server.Close()
		}
		a.note("The page is closed.")
	}
	end()
	site.Wait()
	return err
}

// openPageJSON is the shape of the open page in JSON.
type openPageJSON struct {
	Address string  `json:"address"`
	Code    *string `json:"code" means:"null without --lan; told again with each new one"`
}

// sayOpen tells where the page is, and the code when there is one.
func (a *app) sayOpen(base string, code *string) {
	if a.json {
		writeJSON(a.env.Stdout, openPageJSON{base, code})
		return
	}
	if code == nil {
		fmt.Fprintf(a.env.Stdout, "The bench page is open at %s\nCtrl-C closes it.\n", base)
		return
	}
	link := page.EnterURL(base, *code)
	fmt.Fprintf(a.env.Stdout, "The bench page is open at %s\nCode for the next browser: %s\n", base, *code)
	if a.env.StdoutIsTerminal {
		drawQR(a.env.Stdout, link)
	}
	fmt.Fprintf(a.env.Stdout, "%s\nCtrl-C closes it.\n", link)
}

// reachable is the address that others know this machine by, for one that means
// all of its addresses.
func reachable(addr string) string {
	if ip := net.ParseIP(addr); !ip.IsUnspecified() {
		return addr
	}
	own, err := net.InterfaceAddrs()
	if err != nil {
		return "127.0.0.1"
	}
	for _, a := range own {
		if n, ok := a.(*net.IPNet); ok && n.IP.To4() != nil && n.IP.IsGlobalUnicast() {
			return n.IP.String()
		}
	}
	return "127.0.0.1"
}

// quiet is the white border that a QR code needs, in modules (ISO/IEC 18004,
// 6.3.8, from memory).
const quiet = 4

// drawQR draws a text as a QR code in half blocks, black on white whatever the
// terminal's own colours are.
func drawQR(w io.Writer, text string) {
	code, err := qr.Encode(text, qr.M)
	if err != nil {
		return // the link stands below in letters
	}
	var b strings.Builder
	for y := -quiet; y < code.Size+quiet; y += 2 {
		b.WriteString("\x1b[30;47m")
		for x := -quiet; x < code.Size+quiet; x++ {
			switch upper, lower := code.Black(x, y), code.Black(x, y+1); {
			case upper && lower:
				b.WriteString("█")
			case upper:
				b.WriteString("▀")
			case lower:
				b.WriteString("▄")
			default:
				b.WriteString(" ")
			}
		}
		b.WriteString("\x1b[0m\n")
	}
	io.WriteString(w, b.String())
}
