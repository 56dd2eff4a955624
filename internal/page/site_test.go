package page

import (
	"bytes"
	"context"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"setshade/internal/store"
	"setshade/internal/workshop"
	"setshade/swatches"
)

// site is a bench page on a real store and a real loopback server. Its shelf and
// photographs are those of Harrow Lane Wax, invented and rendered.
type site struct {
	t        testing.TB
	workshop *workshop.Workshop
	*httptest.Server
}

func newSite(t testing.TB, gate *Gate) *site {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	kept, err := store.Open(ctx, filepath.Join(t.TempDir(), "bench.db"))
	require.NoError(t, err)
	w := &workshop.Workshop{Store: kept, Now: time.Now}
	require.NoError(t, kept.Waxes.Add(ctx, swatches.Wax()))
	for _, dye := range swatches.Dyes() {
		require.NoError(t, kept.Dyes.Add(ctx, dye))
	}
	require.NoError(t, kept.Moulds.Add(ctx, swatches.Mould()))
	pages := New(ctx, w, gate)
	s := &site{t, w, httptest.NewServer(pages)}
	t.Cleanup(func() {
		stop()
		s.Close()
		pages.Wait()
		require.NoError(t, kept.Close())
	})
	s.Client().CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	return s
}

// newLearnedSite has two dyes recorded and learned.
func newLearnedSite(t testing.TB) *site {
	t.Helper()
	s := newSite(t, nil)
	for _, name := range []string{"bracken-set", "foxglove-set"} {
		_, err := s.workshop.Record(context.Background(), workshop.Card{
			PhotoName: name + ".jpg", Photo: shipped(t, name+".jpg"), PlanText: string(shipped(t, name+".plan")),
		})
		require.NoError(t, err)
	}
	learnOnce.Do(func() {
		_, err := s.workshop.Learn(context.Background(), "", nil)
		require.NoError(t, err)
		learned, err = s.workshop.Store.Learned(context.Background(), "Harrow Soy")
		require.NoError(t, err)
	})
	require.NoError(t, s.workshop.Store.SaveLearned(context.Background(), "Harrow Soy", learned, time.Now()))
	return s
}

// learned is what the two cards teach; it is the same every time, so that it is
// fitted once.
var (
	learnOnce sync.Once
	learned   []byte
)

func shipped(t testing.TB, name string) []byte {
	t.Helper()
	data, err := swatches.Files.ReadFile(name)
	require.NoError(t, err)
	return data
}

// reply is a response read to its end.
type reply struct {
	*http.Response
	body string
}

func (s *site) do(r *http.Request) reply {
	s.t.Helper()
	response, err := s.Client().Do(r)
	require.NoError(s.t, err)
	defer response.Body.Close()
	body, err := io.ReadAll(response.Body)
	require.NoError(s.t, err)
	return reply{response, string(body)}
}

func (s *site) request(method, path, kind string, body io.Reader) *http.Request {
	s.t.Helper()
	r, err := http.NewRequest(method, s.URL+path, body)
	require.NoError(s.t, err)
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	return r
}

func (s *site) get(path string) reply { return s.do(s.request("GET", path, "", nil)) }

// post sends a form as a page that was just loaded does, with a key of its own.
func (s *site) post(path string, fields url.Values) reply {
	return s.send(path+"?once="+onceKey(), fields)
}

// send posts to an address as it stands, without a key of its own.
func (s *site) send(address string, fields url.Values) reply {
	return s.do(s.request("POST", address, urlEncoded, strings.NewReader(fields.Encode())))
}

// follow is the page that what was done is told on.
func (s *site) follow(r reply) reply {
	s.t.Helper()
	require.Equal(s.t, 303, r.StatusCode, r.body)
	place, _, _ := strings.Cut(r.Header.Get("Location"), "#")
	return s.get(place)
}

// upload sends a photograph of a card as the page's form does.
func (s *site) upload(name string, photo io.Reader, fields map[string]string) reply {
	s.t.Helper()
	return s.uploadTo("/record", name, photo, fields)
}

func (s *site) uploadTo(path, name string, photo io.Reader, fields map[string]string) reply {
	s.t.Helper()
	return s.sendFile(path, "photo", name, photo, fields)
}

// sendFile sends a file in the field of that name.
func (s *site) sendFile(path, field, name string, content io.Reader, fields map[string]string) reply {
	s.t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	for field, value := range fields {
		require.NoError(s.t, form.WriteField(field, value))
	}
	file, err := form.CreateFormFile(field, name)
	require.NoError(s.t, err)
	_, err = io.Copy(file, content)
	require.NoError(s.t, err)
	require.NoError(s.t, form.Close())
	return s.do(s.request("POST", path, form.FormDataContentType(), &body))
}
