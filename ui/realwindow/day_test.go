//go:build linux

package realwindow

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// A day of eight hours is an edit every ten seconds, each followed by a look at
// another room now and then.
const dayEdits = 8 * 360

// The same day as in package session, in a window: what the window's process
// holds after a quarter of it is what it holds at the end.
func TestADayInTheWindowHoldsOnToNothing(t *testing.T) {
	if testing.Short() {
		t.Skip("the program is built and run on a display of its own")
	}
	edits, looks := dayEdits/36, 2 // thirteen minutes
	if os.Getenv("PILEWRIGHT_FULL") != "" {
		edits, looks = dayEdits, 4
	}
	d := newDesktop(t)
	binary := build(t)
	shop := filepath.Join(t.TempDir(), "day.pile")
	piece := editedShop(t, shop)
	p := d.started(binary, "-shop", shop)
	p.until(30*time.Second, "the window is painted", func() bool { return colours(p.screen()) > 20 })
	w := watch(d, p.id, shop, piece)
	defer w.end()
	holds := func() held {
		_, now := memory(t, p.cmd.Process.Pid)
		return held{now, entries(t, p.cmd.Process.Pid, "fd"), entries(t, p.cmd.Process.Pid, "task")}
	}
	const run = 20 // from edit 20 down to 0 and up again
	var samples []held
	began, done := time.Now(), 0
	for turn := 0; done < edits; turn++ {
		key, want := "ctrl+z", 0
		if turn%2 == 1 {
			key, want = "ctrl+y", run
		}
		args := []string{"key", "--delay", "15"}
		for i := range run {
			args = append(args, key)
			if i%5 == 4 {
				args = append(args, fmt.Sprintf("ctrl+%d", 1+(turn+i/5)%6))
			}
		}
		d.run("xdotool", args...)
		p.until(60*time.Second, fmt.Sprintf("the window names edit %d as stored", want), func() bool {
			w.mu.Lock()
			defer w.mu.Unlock()
			return w.title == want
		})
		done += run
		if done*looks >= edits*(len(samples)+1) {
			samples = append(samples, rested(holds))
		}
	}
	a, z := samples[0], samples[len(samples)-1]
	peak, _ := memory(t, p.cmd.Process.Pid)
	t.Logf("%d edits in %v: memory %d to %d MB, %d at most, %d to %d files, %d to %d threads", done, time.Since(began).Round(time.Second), a.memory>>20, z.memory>>20, peak>>20, a.files, z.files, a.threads, z.threads)
	if z.files > a.files+1 || z.threads > a.threads+4 || z.memory > a.memory+a.memory/5+40<<20 || z.memory > mostMemory {
		t.Errorf("it grew: %+v", samples)
	}
	p.quit()
}

// held is what a process holds on to.
type held struct{ memory, files, threads int }

// rested is what a process holds once what the last edits started has ended and
// its memory is given back: when that has stayed the same for eight seconds, or
// after a minute.
func rested(holds func() held) held {
	last, since := holds(), time.Now()
	for began := since; time.Since(began) < time.Minute && time.Since(since) < 8*time.Second; time.Sleep(100 * time.Millisecond) {
		if now := holds(); now.files != last.files || now.threads != last.threads || max(now.memory, last.memory)-min(now.memory, last.memory) > 1<<20 {
			since = time.Now()
			last = now
		}
	}
	return holds()
}

// entries counts what a process has of one kind.
func entries(t *testing.T, pid int, kind string) int {
	t.Helper()
	list, err := os.ReadDir(fmt.Sprintf("/proc/%d/%s", pid, kind))
	if err != nil {
		t.Fatal(err)
	}
	return len(list)
}
