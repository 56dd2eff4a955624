package page

import (
	"context"
	"crypto/rand"
	"sync"

	"setshade/internal/workshop"
)

// lesson is learning under way, or done.
type lesson struct {
	id, wax string
	stop    context.CancelFunc

	lock     sync.Mutex
	done, of int
	// ended says that result or err is there.
	ended  bool
	result workshop.Lesson
	err    error
	// changed is closed, and replaced, at every change.
	changed chan struct{}
}

// state is a lesson at one moment.
type state struct {
	Done, Of int
	Ended    bool
	Result   workshop.Lesson
	Err      error
}

// now returns the state, and what is closed when it changes.
func (l *lesson) now() (state, <-chan struct{}) {
	l.lock.Lock()
	defer l.lock.Unlock()
	return state{l.done, l.of, l.ended, l.result, l.err}, l.changed
}

func (l *lesson) change(do func()) {
	l.lock.Lock()
	defer l.lock.Unlock()
	do()
	close(l.changed)
	l.changed = make(chan struct{})
}

// mostLessons is how many are remembered; the oldest that has ended makes room.
const mostLessons = 8

type lessons struct {
	lock sync.Mutex
	all  []*lesson
}

// begin starts learning a wax, or returns what is under way for it already.
func (s *Server) begin(waxName string) *lesson {
	s.lessons.lock.Lock()
	defer s.lessons.lock.Unlock()
	for _, l := range s.lessons.all {
		if state, _ := l.now(); !state.Ended && l.wax == waxName {
			return l
		}
	}
	ctx, stop := context.WithCancel(s.life)
	l := &lesson{id: rand.Text(), wax: waxName, stop: stop, changed: make(chan struct{})}
	s.lessons.all = append(s.lessons.all, l)
	if len(s.lessons.all) > mostLessons {
		s.lessons.all[0].stop()
		s.lessons.all = s.lessons.all[1:]
	}
	s.learning.Go(func() {
		defer stop()
		result, err := s.workshop.Learn(ctx, waxName, func(done, of int) {
			l.change(func() { l.done, l.of = done, of })
		})
		l.change(func() { l.ended, l.result, l.err = true, result, err })
	})
	return l
}

// find returns a lesson, nil when it is forgotten.
func (ls *lessons) find(id string) *lesson {
	ls.lock.Lock()
	defer ls.lock.Unlock()
	for _, l := range ls.all {
		if l.id == id {
			return l
		}
	}
	return nil
}
