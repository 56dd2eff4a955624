package page

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"net"
	"net/http"
	"net/url"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"setshade/internal/english"
)

const (
	cookieName = "setshade"
	// A code has 32^8 values: at 1,400 guesses a second, half of them take twelve years.
	codeLength = 8
	// mostSessions and mostGuessers bound memory; the bench has few browsers.
	mostSessions = 64
	mostGuessers = 256
	sessionDays  = 365
)

// Gate lets browsers of the local network in, each once, by a code that only the
// terminal shows. A wrong code changes nothing but how long its sender must wait: the
// code that the maker reads stays good, whoever guesses.
type Gate struct {
	announce func(code string)
	now      func() time.Time

	lock sync.Mutex
	code string
	// guessers are those who sent wrong codes, by address.
	guessers map[string]guesser
	// sessions are the digests of the tokens of those let in, the oldest first; kept in
	// the file at path, "" for none.
	sessions []string
	path     string
}

// guesser is an address that sent wrong codes, and may not send another before a time.
type guesser struct {
	wrong     int
	notBefore time.Time
}

// NewGate makes a gate. Announce is called with its first code, and with a new one
// whenever a code was used.
func NewGate(announce func(code string)) *Gate {
	g := &Gate{announce: announce, now: time.Now, guessers: map[string]guesser{}}
	g.renew()
	return g
}

// KeepIn keeps those who were let in over a restart, in a file at path that holds digests
// of their tokens, and lets those in again whom it holds already. It lies beside the store
// and is no part of it, so that no backup or export opens the page to others; where it is
// missing, everybody needs a code again.
func (g *Gate) KeepIn(path string) error {
	g.lock.Lock()
	defer g.lock.Unlock()
	kept, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("who was let in before cannot be read from %s; remove that file, and each browser needs a code again (%w)", path, err)
	}
	g.path, g.sessions = path, strings.Fields(string(kept))
	g.sessions = g.sessions[max(0, len(g.sessions)-mostSessions):]
	return nil
}

// keep writes those who were let in. One that cannot be kept is let in until the page is
// closed.
func (g *Gate) keep() {
	if g.path == "" {
		return
	}
	if os.WriteFile(g.path+".new", []byte(strings.Join(g.sessions, "\n")+"\n"), 0o600) == nil {
		os.Rename(g.path+".new", g.path)
	}
}

// digestOf is what is kept of a token: it tells the token, and cannot be sent in its place.
func digestOf(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

func (g *Gate) renew() {
	g.code = rand.Text()[:codeLength]
	g.announce(g.code)
}

// enter uses up a code that comes from an address, and returns the token of a new
// session. The token is "" for a wrong code, and for any code that comes before the
// address may send one: then wait is how long that still is.
func (g *Gate) enter(address, code string) (token string, wait time.Duration) {
	g.lock.Lock()
	defer g.lock.Unlock()
	from := g.guessers[address]
	if wait = from.notBefore.Sub(g.now()); wait > 0 {
		return "", wait
	}
	code = strings.ToUpper(strings.TrimSpace(code))
	if subtle.ConstantTimeCompare([]byte(code), []byte(g.code)) != 1 {
		from.wrong++
		from.notBefore = g.now().Add(pauseAfter(from.wrong))
		if len(g.guessers) >= mostGuessers {
			clear(g.guessers)
		}
		g.guessers[address] = from
		return "", 0
	}
	delete(g.guessers, address)
	if len(g.sessions) >= mostSessions {
		g.sessions = g.sessions[1:]
	}
	token = rand.Text()
	g.sessions = append(g.sessions, digestOf(token))
	g.keep()
	g.renew()
	return token, 0
}

// pauseAfter is how long an address waits after so many wrong codes: not at all while
// they are few, as of one who misread, then each time twice as long, at most ten minutes.
func pauseAfter(wrong int) time.Duration {
	const free, most = 3, 10 * time.Minute
	if wrong <= free {
		return 0
	}
	return min(most, time.Second<<min(wrong-free-1, 10))
}

func (g *Gate) holds(r *http.Request) bool {
	cookie, err := r.Cookie(cookieName)
	if err != nil {
		return false
	}
	g.lock.Lock()
	defer g.lock.Unlock()
	return slices.Contains(g.sessions, digestOf(cookie.Value))
}

// admit asks browsers without a session for the code, when there is a gate.
func (s *Server) admit(next http.Handler) http.Handler {
	if s.gate == nil {
		return next
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		open := r.URL.Path == "/enter" || strings.HasPrefix(r.URL.Path, "/static/")
		switch {
		case open || s.gate.holds(r):
			next.ServeHTTP(w, r)
		case r.Method == http.MethodGet && r.URL.Path == "/":
			http.Redirect(w, r, "/enter", http.StatusSeeOther)
		default:
			http.Error(w, "This page needs the code that the terminal shows; open /enter first.", http.StatusUnauthorized)
		}
	})
}

// showEnter asks for the code. A link may carry it, so that a phone reads it from
// the terminal; it is used up only when the form is sent.
func (s *Server) showEnter(r *http.Request) (answer, error) {
	if s.gate == nil {
		return answer{location: "/"}, nil
	}
	return answer{page: "enter", title: "Enter", data: r.URL.Query().Get("code")}, nil
}

func (s *Server) enter(w http.ResponseWriter, r *http.Request) {
	if s.gate == nil {
		http.Redirect(w, r, "/", http.StatusSeeOther)
		return
	}
	address, _, _ := net.SplitHostPort(r.RemoteAddr)
	token, wait := s.gate.enter(address, r.PostFormValue("code"))
	if token == "" {
		refused := answer{
			page: "enter", title: "Enter", status: http.StatusForbidden,
			refused: "That is not the code that the terminal shows now; read it there again",
		}
		if wait > 0 {
			seconds := int(math.Ceil(wait.Seconds()))
			w.Header().Set("Retry-After", strconv.Itoa(seconds))
			refused.status = http.StatusTooManyRequests
			refused.refused = "Too many wrong codes came from this device; wait " + english.Count(seconds, "second", "seconds") + ", then enter the code that the terminal shows"
		}
		refused.send(w, r)
		return
	}
	http.SetCookie(w, &http.Cookie{
		Name: cookieName, Value: token, Path: "/", MaxAge: sessionDays * 24 * 60 * 60, HttpOnly: true, SameSite: http.SameSiteStrictMode,
	})
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

// EnterURL is the address that carries a code to a phone.
func EnterURL(base, code string) string {
	return base + "/enter?" + url.Values{"code": {code}}.Encode()
}
