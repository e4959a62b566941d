package ui

import (
	"runtime/debug"
	"time"
)

// idle gives memory back to the system once nothing has been planned for a while.
type idle struct{ timer *time.Timer }

const quietAfter = 3 * time.Second

func (q *idle) planning(busy bool) {
	if q.timer != nil {
		q.timer.Stop()
	}
	if !busy {
		q.timer = time.AfterFunc(quietAfter, debug.FreeOSMemory)
	}
}
