package page

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"sync"
	"time"
)

// job is work that takes longer than a page may: under way, or done.
type job[R any] struct {
	// of names what the work is on.
	id, of string
	stop   context.CancelFunc
	// superseded says that newer work of the same name goes before it.
	superseded bool

	lock  sync.Mutex
	state state[R]
	// changed is closed, and replaced, at every change.
	changed chan struct{}
}

// state is a job at one moment.
type state[R any] struct {
	Done, Of int
	// Ended says that Result or Err is there.
	Ended  bool
	Result R
	Err    error
}

// now returns the state, and what is closed when it changes.
func (j *job[R]) now() (state[R], <-chan struct{}) {
	j.lock.Lock()
	defer j.lock.Unlock()
	return j.state, j.changed
}

func (j *job[R]) change(do func(*state[R])) {
	j.lock.Lock()
	defer j.lock.Unlock()
	do(&j.state)
	close(j.changed)
	j.changed = make(chan struct{})
}

// mostJobs is how many of a kind are remembered; the oldest that has ended makes room.
const mostJobs = 8

// jobs are those of one kind.
type jobs[R any] struct {
	// gone says that one is not remembered any more, and where its result is.
	gone string
	// path is where their pages are.
	path string

	lock sync.Mutex
	all  []*job[R]
}

// work does a job; it may tell how far it is.
type work[R any] func(ctx context.Context, progress func(done, of int)) (R, error)

// begin starts the work on what is named, or returns what is under way on it already.
func (js *jobs[R]) begin(s *Server, of string, do work[R]) *job[R] {
	js.lock.Lock()
	defer js.lock.Unlock()
	for _, j := range js.all {
		if now, _ := j.now(); !now.Ended && j.of == of && !j.superseded {
			return j
		}
	}
	ctx, stop := context.WithCancel(s.life)
	j := &job[R]{id: rand.Text(), of: of, stop: stop, changed: make(chan struct{})}
	js.makeRoom()
	js.all = append(js.all, j)
	s.working.Go(func() {
		defer stop()
		result, err := do(ctx, func(done, of int) {
			j.change(func(now *state[R]) { now.Done, now.Of = done, of })
		})
		j.change(func(now *state[R]) { now.Ended, now.Result, now.Err = true, result, err })
	})
	return j
}

// supersede stops what is under way of a name, since what it works on has changed.
func (js *jobs[R]) supersede(of string) {
	js.lock.Lock()
	defer js.lock.Unlock()
	for _, j := range js.all {
		if now, _ := j.now(); !now.Ended && j.of == of {
			j.superseded = true
			j.stop()
		}
	}
}

func (js *jobs[R]) makeRoom() {
	ended := slices.IndexFunc(js.all, func(j *job[R]) bool { now, _ := j.now(); return now.Ended })
	if ended >= 0 && len(js.all) >= mostJobs {
		js.all = slices.Delete(js.all, ended, ended+1)
	}
}

// find returns a job, nil when it is not remembered.
func (js *jobs[R]) find(r *http.Request) *job[R] {
	js.lock.Lock()
	defer js.lock.Unlock()
	for _, j := range js.all {
		if j.id == r.PathValue("job") {
			return j
		}
	}
	return nil
}

// notFound answers for a job that is not remembered.
func (js *jobs[R]) notFound() (answer, error) {
	return answer{status: http.StatusNotFound}, errors.New(js.gone)
}

// stop stops a job and shows it.
func (js *jobs[R]) stop(r *http.Request) (answer, error) {
	j := js.find(r)
	if j == nil {
		return js.notFound()
	}
	j.stop()
	return answer{location: js.path + j.id}, nil
}

// progress tells how a job goes as server-sent events (WHATWG HTML, section
// 9.2): "step" with what is done of how many, and at the end "ended".
func (js *jobs[R]) progress(s *Server) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		j := js.find(r)
		if j == nil {
			http.NotFound(w, r)
			return
		}
		out := http.NewResponseController(w)
		// This answer lasts as long as the job does.
		out.SetReadDeadline(time.Time{})
		out.SetWriteDeadline(time.Time{})
		w.Header().Set("Content-Type", "text/event-stream")
		for {
			now, changed := j.now()
			if now.Ended {
				fmt.Fprint(w, "event: ended\ndata: \n\n")
				out.Flush()
				return
			}
			fmt.Fprintf(w, "event: step\ndata: %d %d\n\n", now.Done, now.Of)
			if out.Flush() != nil {
				return
			}
			select {
			case <-changed:
			case <-r.Context().Done():
				return
			case <-s.life.Done():
				return
			}
		}
	}
}

// underWay is the part of a page that tells of a job until it has ended.
type underWay struct {
	// At is the address of the job; Step words a step, Before what comes before the first.
	At, Step, Before string
	Done, Of         int
}

func underWayOf[R any](js *jobs[R], j *job[R], step, before string) underWay {
	now, _ := j.now()
	return underWay{js.path + j.id, step, before, now.Done, now.Of}
}
