package page

import (
	"crypto/rand"
	"crypto/subtle"
	"net/http"
	"net/url"
	"strings"
	"sync"
)

const (
	cookieName = "setshade"
	codeLength = 8
	// A code has 32^8 values; after so many wrong ones it is replaced.
	wrongCodes = 5
	// mostSessions bounds memory; the bench has few browsers.
	mostSessions = 64
)

// Gate lets browsers of the local network in, each once, by a code that only the
// terminal shows.
type Gate struct {
	announce func(code string)

	lock     sync.Mutex
	code     string
	wrong    int
	sessions map[string]bool
}

// NewGate makes a gate. Announce is called with its first code, and with a new
// one whenever a code was used or guessed at too often.
func NewGate(announce func(code string)) *Gate {
	g := &Gate{announce: announce, sessions: map[string]bool{}}
	g.renew()
	return g
}

func (g *Gate) renew() {
	g.code, g.wrong = rand.Text()[:codeLength], 0
	g.announce(g.code)
}

// enter uses up a code and returns the token of a new session, or "".
func (g *Gate) enter(code string) string {
	g.lock.Lock()
	defer g.lock.Unlock()
	code = strings.ToUpper(strings.TrimSpace(code))
	if subtle.ConstantTimeCompare([]byte(code), []byte(g.code)) != 1 {
		if g.wrong++; g.wrong >= wrongCodes {
			g.renew()
		}
		return ""
	}
	if len(g.sessions) >= mostSessions {
		clear(g.sessions)
	}
	token := rand.Text()
	g.sessions[token] = true
	g.renew()
	return token
}

func (g *Gate) holds(r *http.Request) bool {
	cookie, err := r.Cookie(cookieName)
	if err != nil {
		return false
	}
	g.lock.Lock()
	defer g.lock.Unlock()
	return g.sessions[cookie.Value]
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
		return answer{location: "/shelf"}, nil
	}
	return answer{page: "enter", title: "Enter", data: r.URL.Query().Get("code")}, nil
}

func (s *Server) enter(w http.ResponseWriter, r *http.Request) {
	if s.gate == nil {
		http.Redirect(w, r, "/shelf", http.StatusSeeOther)
		return
	}
	r.Body = http.MaxBytesReader(w, r.Body, maxFormBytes)
	token := s.gate.enter(r.PostFormValue("code"))
	if token == "" {
		answer{
			page: "enter", title: "Enter", status: http.StatusForbidden,
			refused: "That is not the code that the terminal shows now; read it there again.",
		}.send(w, r)
		return
	}
	http.SetCookie(w, &http.Cookie{
		Name: cookieName, Value: token, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode,
	})
	http.Redirect(w, r, "/shelf", http.StatusSeeOther)
}

// EnterURL is the address that carries a code to a phone.
func EnterURL(base, code string) string {
	return base + "/enter?" + url.Values{"code": {code}}.Encode()
}
