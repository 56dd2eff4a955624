package page

import (
	"net"
	"net/http"
	"net/netip"
	"os"
	"strings"

	"setshade/internal/report"
)

// policy is the Content-Security-Policy of every page: what is embedded, and
// nothing else; no inline script and no inline style.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// sheetPolicy is that of the bench sheet, a document without any script whose
// style stands in itself, so that it can be kept as one file.
const sheetPolicy = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; sandbox allow-modals"

// reportPolicy is that of a report: its one style by its digest, its pictures
// within it, and nothing else.
var reportPolicy = "default-src 'none'; style-src " + report.StyleSource() + "; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; sandbox allow-modals"

// guard stands before every handler: it sets the headers, and refuses what is
// not meant for this page.
func (s *Server) guard(next http.Handler) http.Handler {
	crossSite := http.NewCrossOriginProtection()
	crossSite.SetDenyHandler(plainRefusal(http.StatusForbidden, "This came from another site, and was refused. Open the page itself and send the form from there."))
	checked := crossSite.Handler(s.admit(next))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		// With no-referrer a browser calls the origin of the page's own forms "null" (Fetch,
		// WHATWG, "append a request Origin header"), and over plain http to an address of the
		// local network it sends no Sec-Fetch-Site: nothing would tell them from another site's.
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		if !ours(r.Host, s.gate != nil) {
			plainRefusal(http.StatusMisdirectedRequest, "The page answers to its own address only; open it as setshade serve shows it.").ServeHTTP(w, r)
			return
		}
		checked.ServeHTTP(w, r)
	})
}

// ours reports a Host that a browser sends when it was given the page's address.
// A foreign name that was made to point here (DNS rebinding) is none; a rebound
// name is never a bare address, nor this machine's own in the local network (multicast
// DNS, RFC 6762), which no server of names gives out.
func ours(host string, lan bool) bool {
	name := host
	if h, _, err := net.SplitHostPort(host); err == nil {
		name = h
	}
	if name == "localhost" || lan && localName != "" && strings.EqualFold(strings.TrimSuffix(name, "."), localName) {
		return true
	}
	if len(name) > 2 && name[0] == '[' && name[len(name)-1] == ']' {
		name = name[1 : len(name)-1]
	}
	ip, err := netip.ParseAddr(name)
	return err == nil && (lan || ip.IsLoopback())
}

// localName is what others in the local network may call this machine, "" when unknown.
var localName = func() string {
	name, err := os.Hostname()
	name, _, _ = strings.Cut(name, ".")
	if err != nil || name == "" {
		return ""
	}
	return name + ".local"
}()

func plainRefusal(status int, sentence string) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { http.Error(w, sentence, status) })
}
