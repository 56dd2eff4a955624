package page

import (
	"io"
	"net/http/httptest"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// slowBody is a form with a file that is sent slowly and never ends well; it counts how
// many like it are read from at a time.
type slowBody struct {
	reading, most *atomic.Int32
	begun         bool
	left          int
}

func (b *slowBody) Read(p []byte) (n int, err error) {
	if !b.begun {
		b.begun = true
		defer func() {
			n = copy(p, "--edge\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"a\"\r\n\r\n")
		}()
		now := b.reading.Add(1)
		for seen := b.most.Load(); now > seen && !b.most.CompareAndSwap(seen, now); seen = b.most.Load() {
		}
	}
	time.Sleep(5 * time.Millisecond)
	if b.left--; b.left < 0 {
		b.reading.Add(-1)
		return 0, io.ErrUnexpectedEOF
	}
	return copy(p, "wax"), nil
}

// Of large forms that never come to their end only as many are read at a time as memory
// is meant for, whether or not they say how long they are; small ones need not wait.
func TestUnfinishedUploadsWaitTheirTurn(t *testing.T) {
	s := newSite(t, nil)
	for name, c := range map[string]struct {
		length    int64
		low, high int32
	}{
		"large": {maxUploadBytes, 1, 2}, "without a length": {-1, 1, 2}, "far too large": {1 << 40, 1, 2}, "small": {4 << 20, 3, 20},
	} {
		var reading, most atomic.Int32
		var all sync.WaitGroup
		for range 20 {
			all.Go(func() {
				r := httptest.NewRequest("POST", "http://127.0.0.1/record", &slowBody{reading: &reading, most: &most, left: 5})
				r.ContentLength = c.length
				r.Header.Set("Content-Type", "multipart/form-data; boundary=edge")
				got := httptest.NewRecorder()
				s.Config.Handler.ServeHTTP(got, r)
				assert.Contains(t, []int{413, 422}, got.Code, name)
				assert.True(t, strings.Contains(got.Body.String(), `role="alert"`), name)
			})
		}
		all.Wait()
		assert.GreaterOrEqual(t, most.Load(), c.low, name)
		assert.LessOrEqual(t, most.Load(), c.high, name)
	}
}
