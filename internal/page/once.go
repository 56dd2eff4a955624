package page

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/sha256"
	"errors"
	"io"
	"net/http"
	"strings"
)

// What is remembered of the forms sent last, and of what was told of them.
const (
	mostSent = 256
	mostTold = 32
)

// sending is a form that was sent: under way until ended is closed. Header then leads on
// to what came of it; it is nil when nothing was done.
type sending struct {
	ended  chan struct{}
	header http.Header
}

// onceKey is a new key for a form, as its address carries it.
func onceKey() string { return rand.Text() }

// once does what a form asks for one time, however often it arrives: a second tap on a
// slow link, a reload and the way back are answered as the first was. Such forms have
// one key and the same words; one that was refused, or has other words, is a new one. A
// form with a file has no key: what it changes is known by what is in the file.
func (s *Server) once(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodPost || isMultipart(r) {
			next.ServeHTTP(w, r)
			return
		}
		body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, maxFormBytes))
		if err == nil {
			r.Body = io.NopCloser(bytes.NewReader(body))
			err = r.ParseForm()
		}
		if err == nil && r.URL.Query().Get("once") == "" {
			err = errors.New("this form came without the key that the page gives it; send the form from the page")
		}
		if err != nil {
			view(func(*http.Request) (answer, error) { return answer{}, err }).ServeHTTP(w, r)
			return
		}
		digest := sha256.Sum256(append([]byte(r.URL.RequestURI()+"\n"), body...))
		for {
			sent, isNew := s.sent.add(string(digest[:]), &sending{ended: make(chan struct{})})
			if isNew {
				s.do(next, w, r, string(digest[:]), sent)
				return
			}
			select {
			case <-sent.ended:
			case <-r.Context().Done():
				return
			}
			if sent.header != nil {
				for name, values := range sent.header {
					w.Header()[name] = values
				}
				w.WriteHeader(http.StatusSeeOther)
				return
			}
		}
	})
}

// do answers a form that was not sent before. A second tap takes the first one's
// connection away: what was begun is done all the same, to be told to the second.
func (s *Server) do(next http.Handler, w http.ResponseWriter, r *http.Request, digest string, sent *sending) {
	watched := &watched{ResponseWriter: w}
	defer func() {
		if watched.status == http.StatusSeeOther {
			sent.header = http.Header{}
			for _, name := range []string{"Location", "Set-Cookie"} {
				if values := w.Header().Values(name); values != nil {
					sent.header[name] = values
				}
			}
		} else {
			s.sent.remove(digest)
		}
		close(sent.ended)
	}()
	next.ServeHTTP(watched, r.WithContext(context.WithoutCancel(r.Context())))
}

// watched is a response whose status is known afterwards.
type watched struct {
	http.ResponseWriter
	status int
}

// WriteHeader implements http.ResponseWriter.
func (w *watched) WriteHeader(status int) {
	w.status = status
	w.ResponseWriter.WriteHeader(status)
}

func isMultipart(r *http.Request) bool {
	return strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/")
}

// tell gives what was done an address of its own, so that loading it again does nothing
// again, and leads there.
func (s *Server) tell(id string, done view) answer {
	s.told.add(id, done)
	return answer{location: "/told/" + id}
}

func (s *Server) showTold(r *http.Request) (answer, error) {
	if done, ok := s.told.get(r.PathValue("told")); ok {
		return done(r)
	}
	return answer{status: http.StatusNotFound}, errors.New("what was done here is not told any more, and what was kept is kept; see the shelf")
}
