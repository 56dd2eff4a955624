package calibrate

import (
	"runtime"
	"sync"
)

// eachFit does so many fits that know nothing of each other, as many at a time as
// there are processors.
func eachFit(count int, fit func(i int)) {
	next := make(chan int)
	var done sync.WaitGroup
	for range min(count, runtime.GOMAXPROCS(0)) {
		done.Go(func() {
			for i := range next {
				fit(i)
			}
		})
	}
	for i := range count {
		next <- i
	}
	close(next)
	done.Wait()
}
