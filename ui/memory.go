package ui

import (
	"os"
	"runtime/debug"
	"time"
)

// memoryGoal is what the program's own memory should stay under, in bytes: near it,
// what replaced plans held is given up sooner. Larger shops may pass it.
const memoryGoal = 384 << 20

// boundMemory sets the goal, unless the environment sets one.
func boundMemory() {
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(memoryGoal)
	}
}

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
