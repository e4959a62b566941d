package cutting

import (
	"context"
	"errors"
	"fmt"
	"testing"
)

func TestEveryProofIsConfirmedInIntegers(t *testing.T) {
	for seed := range uint64(5) {
		p := shop(seed, 4+int(seed), 10+int(seed)*2)
		if seed%2 == 0 { // lines only: every blank as wide as the boards
			for k := range p.Boards {
				p.Boards[k].Width = 95 * mm
				for d := range p.Boards[k].Defects {
					p.Boards[k].Defects[d].AcrossFrom, p.Boards[k].Defects[d].AcrossTo = 0, 0
				}
			}
			for k := range p.Items {
				p.Items[k].Width, p.Items[k].Hidden = 90*mm, false
			}
		}
		if seed%3 == 0 {
			p.MinSafeLength = 250 * mm
		}
		if seed%4 == 0 {
			for k := range p.Boards {
				p.Boards[k].Price = int64(k%3) * 100
			}
		}
		s := mustSolve(t, p, Options{Work: 4_000_000})
		t.Logf("seed %d: %s", seed, levelText(s))
		if err := CheckProof(context.Background(), p, s); err != nil {
			t.Errorf("seed %d: %v", seed, err)
		}
		// A claim one step higher than what is proved must be refused.
		for n := range s.Levels {
			if l := &s.Levels[n]; l.Proof != nil && l.Proof.Whole && l.Bound < l.Value {
				l.Bound++
				if l.Proof.Bound++; CheckProof(context.Background(), p, s) == nil && !l.Proved {
					t.Logf("seed %d: level %s: the proof is stronger than claimed", seed, l.Aim)
				}
				l.Bound--
				l.Proof.Bound--
			}
		}
	}
}

func TestCheckingAProofEndsWhenItIsNoLongerWanted(t *testing.T) {
	p := shop(1, 8, 14)
	s := mustSolve(t, p, Options{Work: 4_000_000})
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if err := CheckProof(ctx, p, s); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
}

// Of a job of boards every claim can be gone through again: no bound rests on a
// search whose cases were not kept, boards all alike among them.
func TestEveryBoundHasAllItsCasesKept(t *testing.T) {
	claimed := 0
	for seed := range uint64(8) {
		p := shop(seed, 6, 12)
		if seed%2 == 0 { // one kind of board, blanks as wide
			p.Boards = nil
			for k := range 12 {
				p.Boards = append(p.Boards, Board{ID: fmt.Sprint("B", k), Length: 1000 * mm, Width: 95 * mm, Thickness: 22 * mm})
			}
			for k := range p.Items {
				p.Items[k].Width, p.Items[k].Hidden = 90*mm, false
			}
		}
		s := mustSolve(t, p, Options{Work: 8_000_000, Seed: seed})
		for _, l := range s.Levels {
			if l.Aim.ofCuts() || l.Bound == 0 {
				continue
			}
			claimed++
			if l.Proof == nil || !l.Proof.Whole && l.Proof.Bound < l.Bound {
				t.Errorf("seed %d: %s: the bound of %d rests on cases that are not kept", seed, l.Aim, l.Bound)
			}
		}
		if err := CheckProof(context.Background(), p, s); err != nil {
			t.Errorf("seed %d: %v", seed, err)
		}
	}
	if claimed < 10 {
		t.Errorf("only %d bounds were claimed", claimed)
	}
}
