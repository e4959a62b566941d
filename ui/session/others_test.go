package session_test

import (
	"path/filepath"
	"testing"
	"time"

	"pilewright/plan"
	"pilewright/storage"
	"pilewright/ui/session"
)

func TestOtherPiecesArePlannedInTheBackground(t *testing.T) {
	q, pl := newQueue(), &planner{}
	now := func() time.Time { return time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC) }
	file, err := storage.Create(filepath.Join(t.TempDir(), "shop.pile"), storage.Options{Now: now})
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	s, err := session.New(file, 0, pl.tools(), q.post, now)
	if err != nil {
		t.Fatal(err)
	}
	var ids []plan.ID
	for _, name := range []string{"One", "Two", "Three"} {
		err := s.Edit("begin", "", func(p *plan.Project) (*plan.Project, error) {
			n := p.NewPiece(plan.Start{ID: "x", Name: name, Parts: []plan.Part{{Name: "Leg", Length: "10 in", Width: "2 in", Thickness: "1 in", Grade: plan.Show,
				Copies: []plan.Copy{{X: "0", Y: "0", Z: "0", Along: plan.Z, Thick: plan.X}}}}}, name)
			return n, nil
		})
		if err != nil {
			t.Fatal(err)
		}
		ids = append(ids, s.Project().Piece.ID)
	}
	open := s.Project().Piece.ID
	got := map[plan.ID]bool{}
	var faults []error
	ended := false
	each := func(id plan.ID, p *plan.Plan, err error) {
		if err != nil {
			faults = append(faults, err)
			return
		}
		got[id] = p.Project.Piece.ID == id && len(p.Copies) == 1
	}
	s.PlanOthers(append(ids[:2:2], 9999), each, func() { ended = true })
	q.run(t, func() bool { return ended })
	if len(got) != 2 || !got[ids[0]] || !got[ids[1]] || len(faults) != 1 {
		t.Errorf("planned %v, faults %v", got, faults)
	}
	if s.Project().Piece.ID != open {
		t.Error("another piece is open now")
	}

	// Stopped, nothing more comes.
	pl.mu.Lock()
	pl.hold = make(chan struct{})
	pl.mu.Unlock()
	clear(got)
	stop := s.PlanOthers(ids[:2], each, func() { t.Error("a stopped run ends as if it were done") })
	stop()
	s.Close()
	q.mu.Lock()
	todo := q.todo
	q.mu.Unlock()
	for _, f := range todo {
		f()
	}
	if len(got) != 0 {
		t.Errorf("a stopped run still told of %v", got)
	}
}
