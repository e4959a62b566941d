package cutting

import "testing"

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
		if err := CheckProof(p, s); err != nil {
			t.Errorf("seed %d: %v", seed, err)
		}
		// A claim one step higher than what is proved must be refused.
		for n := range s.Levels {
			if l := &s.Levels[n]; l.Proof != nil && l.Proof.Whole && l.Bound < l.Value {
				l.Bound++
				if l.Proof.Bound++; CheckProof(p, s) == nil && !l.Proved {
					t.Logf("seed %d: level %s: the proof is stronger than claimed", seed, l.Aim)
				}
				l.Bound--
				l.Proof.Bound--
			}
		}
	}
}
