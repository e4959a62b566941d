package session_test

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"slices"
	"testing"
	"time"

	"pilewright/assets"
	"pilewright/layout"
	"pilewright/plan"
	"pilewright/plan/demo"
	"pilewright/plan/plantest"
	"pilewright/storage"
	"pilewright/ui/session"
)

// A day of eight hours is taken to be an edit every ten seconds, each tenth of
// them followed by undo and redo, a tick of the clock every minute, an entry in
// the log every twenty minutes, and another piece opened every half hour.
const (
	dayEdits = 8 * 360
	perTick  = 6
	perEntry = 120
	perPiece = 180
)

// held is what a process holds on to.
type held struct {
	heap       uint64
	goroutines int
	files      int // -1 where the system does not tell
}

func holds() held {
	debug.FreeOSMemory() // collects twice
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	h := held{m.HeapAlloc, runtime.NumGoroutine(), -1}
	if list, err := os.ReadDir("/proc/self/fd"); err == nil {
		h.files = len(list)
	}
	return h
}

// The demo shop is worked in for eight hours, as quickly as it plans; the usual
// share is five minutes with two stools. What is held after the first eighth is
// what is held at the end.
func TestADayOfWorkHoldsOnToNothing(t *testing.T) {
	edits := dayEdits / 96
	starts := func(id string) (plan.Start, error) { return plan.OpenStart(assets.Starts, id) }
	states, err := demo.Projects(starts, noon)
	if err != nil {
		t.Fatal(err)
	}
	if os.Getenv("PILEWRIGHT_FULL") != "" {
		edits = dayEdits
	} else {
		stool, err := starts("stool")
		if err != nil {
			t.Fatal(err)
		}
		p := (&plan.Project{Shop: plan.DefaultShop(), NextID: states[len(states)-1].NextID, Boards: states[len(states)-1].Boards}).NewPiece(stool, "Stool").Settled()
		states = []*plan.Project{p, p.NewPiece(stool, "Another stool").Settled()}
	}
	path := filepath.Join(t.TempDir(), "shop.pile")
	file, err := storage.Create(path, storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	var before *plan.Project
	for _, p := range states {
		changes, err := plan.Diff(before, p)
		if err != nil {
			t.Fatal(err)
		}
		if err := file.Commit(storage.Edit{Piece: p.Piece.ID, Changes: changes}); err != nil {
			t.Fatal(err)
		}
		before = p
	}
	now := noon
	q := newQueue()
	tools := layout.Tools(noon)
	tools.Cut, tools.Check = plantest.Cut, plantest.Check // how long the solver searches is none of the day's
	s, err := session.New(file, 0, tools, q.post, func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	plans := 0
	defer s.Watch(func(c session.Change) {
		if c.Plan {
			plans++
		}
	})()
	settle := func() { q.run(t, func() bool { busy, _ := s.Busy(); return !busy }) }
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	settle()
	var samples []held
	sample := func() {
		settle()
		if runtime.NumGoroutine() > 0 && len(samples) > 0 {
			for i := 0; i < 100 && runtime.NumGoroutine() > samples[0].goroutines; i++ {
				time.Sleep(10 * time.Millisecond) // the last planner is about to end
			}
		}
		samples = append(samples, holds())
	}
	began := time.Now()
	first := s.Project().Piece.ID
	for i := range edits {
		now = now.Add(10 * time.Second)
		must(s.Edit("edit", "", dayEdit(i)))
		if i%10 == 9 {
			_, err := s.Undo()
			must(err)
			_, err = s.Redo()
			must(err)
		}
		if i%perTick == 0 {
			must(s.Record(false, func(p *plan.Project) (*plan.Project, error) {
				return p.With(func(q *plan.Project) {
					q.Timer = plan.Timer{Piece: first, Step: "mill", Running: true, Since: noon, Seconds: int64(i)}
				}), nil
			}))
		}
		if i%perEntry == 0 {
			must(s.Edit("log", "", func(p *plan.Project) (*plan.Project, error) {
				return p.With(func(q *plan.Project) {
					q.Log = append(slices.Clone(q.Log), plan.Entry{ID: q.Take(), Piece: first, Phase: plan.PhaseMill, Start: now, Seconds: 60})
				}), nil
			}))
		}
		if i%perPiece == perPiece-1 || i == edits/2 {
			list := s.Project().Pieces
			must(s.OpenPiece(list[(i/perPiece)%len(list)].ID))
			settle()
			must(s.OpenPiece(first))
		}
		if i%3 == 0 { // the others are planned while the next one comes
			settle()
		}
		if (i+1)%(edits/8) == 0 {
			sample()
		}
	}
	a, z := samples[0], samples[len(samples)-1]
	t.Logf("%d edits, %d plans in %v: heap %.1f to %.1f MB, %d to %d goroutines, %d to %d files; the shop file has %.1f MB",
		edits, plans, time.Since(began).Round(time.Second), mega(a.heap), mega(z.heap), a.goroutines, z.goroutines, a.files, z.files, mega(size(t, path)))
	if z.goroutines > a.goroutines || z.files > a.files {
		t.Errorf("goroutines %d to %d, files %d to %d: %+v", a.goroutines, z.goroutines, a.files, z.files, samples)
	}
	// The log may weigh something; nothing that each edit adds may.
	if z.heap > a.heap+a.heap/10+2<<20 {
		t.Errorf("the heap grew from %.1f to %.1f MB: %+v", mega(a.heap), mega(z.heap), samples)
	}
	if plans < edits/3 {
		t.Errorf("only %d plans came of %d edits", plans, edits)
	}
}

// dayEdit is the day's i-th edit; the shop stays about as large as it is.
func dayEdit(i int) func(*plan.Project) (*plan.Project, error) {
	return func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) {
			switch i % 4 {
			case 0:
				q.Measures = slices.Clone(q.Measures)
				for k := range q.Measures {
					if q.Measures[k].Name == "height" {
						q.Measures[k].Text = fmt.Sprintf("34 %d/16", 1+i/4%15)
					}
				}
			case 1:
				b := q.Boards[len(q.Boards)-1]
				b.ID, b.Mark = q.Take(), fmt.Sprint("N", i)
				q.Boards = append(slices.Clone(q.Boards[:len(q.Boards)-1]), b)
			case 2:
				q.Shop.Name = fmt.Sprint("shop ", i)
			default:
				q.Boards = slices.Clone(q.Boards)
				q.Boards[i%len(q.Boards)].Note = fmt.Sprint("seen at ", i)
			}
		}), nil
	}
}

func mega(n uint64) float64 { return float64(n) / (1 << 20) }

func size(t *testing.T, path string) uint64 {
	t.Helper()
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	return uint64(info.Size())
}
