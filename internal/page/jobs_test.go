package page

import (
	"context"
	"fmt"
	"net/http"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Work that is under way is not begun twice, and not forgotten for what ended.
func TestJobsUnderWayAreKept(t *testing.T) {
	life, end := context.WithCancel(context.Background())
	defer end()
	s := &Server{life: life}
	var js jobs[int]
	found := func(j *job[int]) bool {
		r, err := http.NewRequest("GET", "/", nil)
		require.NoError(t, err)
		r.SetPathValue("job", j.id)
		return js.find(r) == j
	}
	let := make(chan struct{})
	slow := js.begin(s, "slow", func(ctx context.Context, progress func(done, of int)) (int, error) {
		progress(1, 2)
		<-let
		return 7, ctx.Err()
	})
	assert.Same(t, slow, js.begin(s, "slow", nil), "it is under way")
	var first *job[int]
	for i := range 2 * mostJobs {
		j := js.begin(s, fmt.Sprint(i), func(context.Context, func(done, of int)) (int, error) { return i, nil })
		for now, changed := j.now(); !now.Ended; now, changed = j.now() {
			<-changed
		}
		if i == 0 {
			first = j
		}
	}
	assert.True(t, found(slow))
	assert.False(t, found(first), "the oldest that ended has made room")
	assert.Len(t, js.all, mostJobs)
	close(let)
	s.working.Wait()
	now, _ := slow.now()
	assert.Equal(t, state[int]{Done: 1, Of: 2, Ended: true, Result: 7}, now)
}
