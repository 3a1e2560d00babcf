package assess

import (
	"context"
	"sync"
)

// each calls work(i) for i in 0..n-1 on the given number of workers; make is
// called once per worker and gives it its own desk. Results must be written
// by index, so that the order of work does not show.
func each(ctx context.Context, n, workers int, make func(worker int) func(i int), done func(int)) error {
	var mu sync.Mutex
	var wg sync.WaitGroup
	next, finished := 0, 0
	var failure any
	for w := range max(1, workers) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			defer func() {
				if r := recover(); r != nil {
					mu.Lock()
					failure = r
					next = n
					mu.Unlock()
				}
			}()
			work := make(w)
			for {
				mu.Lock()
				i := next
				next++
				mu.Unlock()
				if i >= n || ctx.Err() != nil {
					return
				}
				work(i)
				mu.Lock()
				finished++
				if done != nil {
					done(finished)
				}
				mu.Unlock()
			}
		}()
	}
	wg.Wait()
	if failure != nil {
		panic(failure)
	}
	return ctx.Err()
}
