package session

import (
	"testing"

	"github.com/shopspring/decimal"

	"pilewright/plan"
)

func TestGoingOnShowsOnlyWhatIsBetter(t *testing.T) {
	made := func(short int, values ...int64) *plan.Plan {
		p := &plan.Plan{}
		if short > 0 {
			p.Cuts.Short = []plan.Short{{Count: short}}
		}
		for k, v := range values {
			p.Cuts.Levels = append(p.Cuts.Levels, plan.Level{Kind: []plan.LevelKind{plan.LevelMoney, plan.LevelWood, plan.LevelBoards}[k], Value: decimal.NewFromInt(v)})
		}
		return p
	}
	kept := made(0, 5, 100, 7)
	for _, c := range []struct {
		name  string
		next  *plan.Plan
		last  bool
		stays bool
	}{
		{"more money", made(0, 6, 90, 7), false, true},
		{"less money, more wood", made(0, 4, 120, 9), false, false},
		{"less wood", made(0, 5, 99, 9), false, false},
		{"the same, on the way", made(0, 5, 100, 7), false, true},
		{"the same, with the end of the search", made(0, 5, 100, 7), true, false},
		{"worse at the end", made(0, 5, 100, 8), true, true},
		{"something missing", made(1, 4, 10, 1), false, true},
		{"an early plan with no level but the first", made(0, 5), false, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := &Session{shown: kept, keep: kept}
			if got := s.keeps(c.next, c.last); got != c.stays {
				t.Errorf("what is shown stays: %v, want %v", got, c.stays)
			}
		})
	}
	if s := (&Session{shown: kept}); s.keeps(made(3), false) {
		t.Error("a plan of a new state must replace the old one, better or not")
	}
}
