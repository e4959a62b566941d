package drawing

import "sync"

// abreast does independent things at the same time and returns when all are done.
// What each leaves behind must be its own; the order they end in then changes
// nothing.
func abreast(first func(), others ...func()) {
	var wait sync.WaitGroup
	for _, f := range others {
		wait.Go(f)
	}
	first()
	wait.Wait()
}
