package figure

import (
	"runtime"
	"sync"
	"sync/atomic"

	"pilewright/layout/drawing"
)

// Abreast draws pictures at the same time, as many as there are processors, and
// gives them in the order asked for. What they are drawn from must not change
// meanwhile; which is finished first changes nothing.
func Abreast(draw ...func() *drawing.Picture) []*drawing.Picture {
	out := make([]*drawing.Picture, len(draw))
	var taken atomic.Int64
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(draw)) {
		wait.Go(func() {
			for i := int(taken.Add(1)) - 1; i < len(draw); i = int(taken.Add(1)) - 1 {
				out[i] = draw[i]()
			}
		})
	}
	wait.Wait()
	return out
}
