//go:build linux

package realwindow

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/plan/plantest"
	"pilewright/storage"
)

// The most a window may take of memory, of time from the start to the window, and
// from a key to its edit being stored. The times are meant for a machine that does
// nothing else, and kept so on one with PILEWRIGHT_FULL; else the time to start is
// the processor's.
const (
	mostMemory = 600 << 20
	mostStart  = 2 * time.Second
	mostEdit   = 150 * time.Millisecond
)

// largeShop writes a shop file with 5,000 boards, 200 pieces, 50,000 entries in
// the log, and a piece of some 1,000 copies open. One edit renames that piece.
func largeShop(t *testing.T, path string) plan.ID {
	t.Helper()
	f, err := storage.Create(path, storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p := plantest.Table(1010).With(func(q *plan.Project) { q.Boards = nil }).Settled()
	var all []plan.Change
	differ := func(before, after *plan.Project) []plan.Change {
		t.Helper()
		changes, err := plan.Diff(before, after)
		if err != nil {
			t.Fatal(err)
		}
		return changes
	}
	all = differ(nil, p)
	start := plan.Start{ID: "rack", Name: "Rack"}
	for i := range 20 {
		start.Parts = append(start.Parts, plan.Part{Name: fmt.Sprint("slat ", i), Length: "20 in", Width: "2 in", Thickness: "1/2 in", Copies: make([]plan.Copy, 3)})
	}
	other := p
	for i := range 199 {
		next := other.NewPiece(start, fmt.Sprint("Rack ", i)).Settled()
		all = append(all, differ(other, next)...)
		other = next
	}
	// The pile and the log come last, so that they are compared but once.
	all = append(all, differ(other, other.With(func(q *plan.Project) {
		for i := range 5000 {
			q.Boards = append(q.Boards, plan.Board{ID: q.Take(), Mark: fmt.Sprint("P", i+1), Length: measure.Length(30+i%40) * measure.Inch, Width: measure.Length(3+i%3) * measure.Inch, Thickness: measure.Inch, Species: "pine", Order: i,
				Defects: []plan.Defect{{Kind: plan.NailHole, From: measure.Inch, To: 2 * measure.Inch}}})
		}
		began := time.Now().Add(-50_000 * time.Hour / 4)
		for i := range 50_000 {
			q.Log = append(q.Log, plan.Entry{ID: q.Take(), Piece: p.Piece.ID, Phase: plan.PhaseSand, Start: began.Add(time.Duration(i) * time.Hour / 4), Seconds: 900, Rate: "sand", Quantity: 2.5, Note: "both sides"})
		}
	}).Settled())...)
	if err := f.Commit(storage.Edit{Changes: all}); err != nil {
		t.Fatal(err)
	}
	p, err = f.Load(p.Piece.ID)
	if err != nil {
		t.Fatal(err)
	}
	name := storage.Edit{Piece: p.Piece.ID, Label: "name", Changes: differ(p, p.With(func(q *plan.Project) { q.Piece.Name = "Edit 1" }))}
	if err := errors.Join(f.Commit(name), f.SetSetting("piece", fmt.Sprint(p.Piece.ID)), f.Close()); err != nil {
		t.Fatal(err)
	}
	if len(p.Boards) != 5000 || len(p.Pieces) != 200 || len(p.Log) != 50_000 {
		t.Fatal("that is not the load")
	}
	return p.Piece.ID
}

// memory is the largest and the present size of a process in RAM.
func memory(t *testing.T, pid int) (most, now int) {
	t.Helper()
	body, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(string(body), "\n") {
		name, value, _ := strings.Cut(line, ":")
		kb, _ := strconv.Atoi(strings.TrimSuffix(strings.TrimSpace(value), " kB"))
		switch name {
		case "VmHWM":
			most = kb << 10
		case "VmRSS":
			now = kb << 10
		}
	}
	return most, now
}

// processor is the time a process has had of it.
func processor(t *testing.T, pid int) time.Duration {
	t.Helper()
	body, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(body), ") ") // the name may hold spaces
	fields := strings.Fields(rest)
	user, _ := strconv.Atoi(fields[11]) // proc_pid_stat(5), fields 14 and 15, in 1/100 s
	system, _ := strconv.Atoi(fields[12])
	return time.Duration(user+system) * 10 * time.Millisecond
}

// aloneHere says whether this machine does nothing else: whether every processor
// is had at once for as long as it is asked for.
func aloneHere() bool {
	const stretch = 100 * time.Millisecond
	used := func() time.Duration {
		var u syscall.Rusage
		if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
			return 0
		}
		return time.Duration(u.Utime.Nano() + u.Stime.Nano())
	}
	before, end := used(), time.Now().Add(stretch)
	var wait sync.WaitGroup
	for range runtime.NumCPU() {
		wait.Go(func() {
			for time.Now().Before(end) {
			}
		})
	}
	wait.Wait()
	return used()-before > stretch*time.Duration(runtime.NumCPU())*9/10
}

func TestTheWindowUnderLoad(t *testing.T) {
	if testing.Short() {
		t.Skip("the program is built and run on a display of its own")
	}
	d := newDesktop(t)
	binary := build(t)
	shop := filepath.Join(t.TempDir(), "large.pile")
	piece := largeShop(t, shop)
	alone := aloneHere()
	began := time.Now()
	p := d.started(binary, "-shop", shop)
	opened, worked := time.Since(began), processor(t, p.cmd.Process.Pid)
	p.until(60*time.Second, "the window is painted", func() bool { return colours(p.screen()) > 20 })
	painted := time.Since(began)
	f, err := storage.Open(shop, storage.Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var stored time.Duration
	for i := range 4 {
		key, undone := "ctrl+z", i%2 == 0
		if !undone {
			key = "ctrl+y"
		}
		began := time.Now()
		d.run("xdotool", "key", key)
		for {
			undo, _, err := f.History(piece)
			if err == nil && (undo == "") == undone {
				break
			}
			if time.Since(began) > 60*time.Second {
				t.Fatalf("%s is not stored after a minute", key)
			}
			time.Sleep(time.Millisecond)
		}
		if took := time.Since(began); i == 0 || took < stored {
			stored = took
		}
		time.Sleep(500 * time.Millisecond)
	}
	time.Sleep(4 * time.Second) // it plans with both hands
	most, now := memory(t, p.cmd.Process.Pid)
	t.Logf("window after %v (%v of the processor), painted after %v, the quickest of 4 edits stored after %v; memory %d MB at most, %d MB now", opened.Round(10*time.Millisecond), worked, painted.Round(10*time.Millisecond), stored.Round(time.Millisecond), most>>20, now>>20)
	if most > mostMemory {
		t.Errorf("%d MB of memory, want %d at most", most>>20, mostMemory>>20)
	}
	longest := 5 * mostEdit // other work may stand between a key and its edit
	if alone && aloneHere() && os.Getenv("PILEWRIGHT_FULL") != "" {
		worked, longest = opened, mostEdit
	}
	if worked > mostStart || stored > longest {
		t.Errorf("window after %v, an edit after %v; want %v and %v", worked, stored, mostStart, longest)
	}
	p.quit()
}
