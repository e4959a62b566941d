package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// numberedAs gives the cuts with equal blanks numbered as in cuts shown before,
// where they can be: a blank that stays on its board keeps its mark, the others
// share the marks that are left. What is cut from where does not change.
func (c Cuts) numberedAs(before Cuts, choices []Choice) Cuts {
	type spot struct {
		board ID
		blank string
	}
	was := map[spot][]CutPiece{}
	for _, b := range before.Boards {
		for _, p := range b.Pieces {
			was[spot{b.Board, p.Blank}] = append(was[spot{b.Board, p.Blank}], p)
		}
	}
	locked := map[string]bool{}
	for _, l := range choices {
		if l.Kind == BlankOnBoard {
			locked[CutPiece{Blank: l.Blank, N: l.Row}.Ref()] = true
		}
	}
	free := map[string]map[int]bool{} // numbers to give out, by blank
	for _, b := range c.Boards {
		for _, p := range b.Pieces {
			if free[p.Blank] == nil {
				free[p.Blank] = map[int]bool{}
			}
			free[p.Blank][p.N] = !locked[p.Ref()]
		}
	}
	type place struct{ board, piece int }
	given := map[place]int{}
	// take gives a piece the number of an earlier one on its board.
	take := func(same func(old, now CutPiece) bool) {
		for i, b := range c.Boards {
			for k, p := range b.Pieces {
				if _, done := given[place{i, k}]; done || locked[p.Ref()] {
					continue
				}
				for _, old := range was[spot{b.Board, p.Blank}] {
					if free[p.Blank][old.N] && same(old, p) {
						given[place{i, k}] = old.N
						free[p.Blank][old.N] = false
						break
					}
				}
			}
		}
	}
	take(func(old, now CutPiece) bool { return old.X == now.X && old.Y == now.Y })
	take(func(old, now CutPiece) bool { return true })
	rest := map[string][]int{}
	for blank, numbers := range free {
		for n, left := range numbers {
			if left {
				rest[blank] = append(rest[blank], n)
			}
		}
		slices.Sort(rest[blank])
	}
	out := c
	out.Boards = slices.Clone(c.Boards)
	for i := range out.Boards {
		b := &out.Boards[i]
		now := map[string]string{} // marks
		pieces := slices.Clone(b.Pieces)
		for k := range pieces {
			p := &pieces[k]
			n, ok := given[place{i, k}]
			switch {
			case locked[p.Ref()], !ok && len(rest[p.Blank]) == 0: // numbered twice: for the check to find
				continue
			case !ok:
				n, rest[p.Blank] = rest[p.Blank][0], rest[p.Blank][1:]
			}
			mark := strings.TrimSuffix(p.Mark, fmt.Sprint(p.N)) + fmt.Sprint(n)
			now[p.Mark] = mark
			p.N, p.Mark = n, mark
		}
		if slices.Equal(pieces, b.Pieces) {
			continue
		}
		b.Pieces = pieces
		renamed := func(marks []string) []string {
			out := slices.Clone(marks)
			for k, m := range out {
				out[k] = cmp.Or(now[m], m)
			}
			return out
		}
		b.Saws, b.Divide = slices.Clone(b.Saws), slices.Clone(b.Divide)
		for k := range b.Saws {
			b.Saws[k].Mark = strings.Join(renamed(strings.Fields(b.Saws[k].Mark)), " ")
		}
		for k := range b.Divide {
			b.Divide[k].Marks = renamed(b.Divide[k].Marks)
		}
	}
	return out
}
