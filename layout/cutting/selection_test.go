package cutting

import (
	"context"
	"testing"
)

func TestTheChoiceOfBoardsIsProvedAndNoMoreThanThat(t *testing.T) {
	chosen, refused := 0, 0
	for seed := range uint64(3) {
		p := shop(20+seed, 8+int(seed), 14+2*int(seed))
		p.Aims = []Aim{AimWood}
		if seed == 2 { // boards alike
			for n := range 3 {
				b := p.Boards[n]
				b.ID += "+"
				p.Boards = append(p.Boards, b)
			}
		}
		s := mustSolve(t, p, Options{Work: 12_000_000})
		t.Logf("seed %d: %s", seed, levelText(s))
		if err := CheckProof(context.Background(), p, s); err != nil {
			t.Errorf("seed %d: %v", seed, err)
		}
		l := &s.Levels[1]
		if l.Proof == nil || len(l.Proof.Tree.Selection) == 0 {
			continue
		}
		chosen++
		if l.Bound < l.Value {
			l.Bound++
			l.Proof.Bound++
			if CheckProof(context.Background(), p, s) != nil {
				refused++
			}
		}
	}
	if chosen < 2 || refused < 1 {
		t.Errorf("%d bounds by a choice of boards, %d higher claims refused", chosen, refused)
	}
}
