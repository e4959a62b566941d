//go:build unix

package storage

import (
	"errors"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// The lock's file is removed by its holder while others are about to lock it.
func TestTheLockHasOneHolder(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lock")
	var holders, most, turns atomic.Int32
	var wait sync.WaitGroup
	for range 8 {
		wait.Add(1)
		go func() {
			defer wait.Done()
			for range 2000 {
				l, err := takeLock(path)
				if errors.Is(err, ErrBusy) {
					continue
				}
				if err != nil {
					t.Error(err)
					return
				}
				if n := holders.Add(1); n > most.Load() {
					most.Store(n)
				}
				turns.Add(1)
				time.Sleep(20 * time.Microsecond)
				holders.Add(-1)
				l.release()
			}
		}()
	}
	wait.Wait()
	if most.Load() != 1 {
		t.Errorf("%d held the lock at once, in %d turns", most.Load(), turns.Load())
	}
}
