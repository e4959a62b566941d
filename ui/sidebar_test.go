package ui

import "testing"

func TestEveryLineOfTheSidebarLeadsToItsRoom(t *testing.T) {
	w, _ := windowOn(t, shopFile(t, oneBoard()))
	p := w.session.Plan()
	if p == nil {
		t.Fatal("nothing is planned")
	}
	n := 0
	for _, f := range w.side.lines(p) {
		if f.Head {
			continue
		}
		n++
		want, ok := roomOf[f.ID]
		if !ok {
			t.Errorf("%q leads nowhere", f.Label)
			continue
		}
		w.enter(0)
		w.side.leadFact(f.ID)
		if got := w.rooms[w.shown].ID(); got != want {
			t.Errorf("%q leads to %s, want %s", f.Label, got, want)
		}
		if w.side.whys[f.ID] == "" {
			t.Errorf("%q does not say where it comes from", f.Label)
		}
	}
	if n < 9 {
		t.Errorf("%d lines", n)
	}
}
