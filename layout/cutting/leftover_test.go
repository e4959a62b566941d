package cutting

import (
	"context"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"pilewright/plan/measure"
)

// wide is a job small enough for brute force on boards that hold blanks side by
// side: clear boards of one price, few blanks.
func wide(r *rand.Rand) Problem {
	p := Problem{CrosscutKerf: measure.Length(r.IntN(3)) * mm, RipKerf: measure.Length(r.IntN(3)) * mm, LeftoverMin: 6 * mm, Aims: []Aim{AimWood, AimBoards, AimLeftovers, AimSetups, AimCuts}}
	for k := range 1 + r.IntN(3) {
		p.Boards = append(p.Boards, Board{ID: string(rune('A' + k)), Length: measure.Length(20+r.IntN(15)) * mm, Width: measure.Length(14+r.IntN(8)) * mm})
	}
	blanks := 0
	for k := 0; blanks < 2+r.IntN(4); k++ {
		n := 1 + r.IntN(2)
		blanks += n
		p.Items = append(p.Items, Item{ID: string(rune('a' + k)), Length: measure.Length(6+r.IntN(10)) * mm, Width: measure.Length(5+r.IntN(6)) * mm, Count: n})
	}
	return p
}

// leastLoss tries every way to share the blanks among boards and, on each, every
// way to share them among sections or strips; the least wood, boards, and use
// taken, in this order; nil when the boards do not hold the blanks.
func leastLoss(p *Problem) []*big.Int {
	var blanks []*Item
	for i := range p.Items {
		for range p.Items[i].Count {
			blanks = append(blanks, &p.Items[i])
		}
	}
	// kept is the most use left of a board that holds the blanks, -1 when it can't.
	kept := func(b *Board, in []*Item) *big.Int {
		best := big.NewInt(-1)
		var walk func(k int, rows [][]*Item)
		walk = func(k int, rows [][]*Item) {
			if k < len(in) {
				for n := range rows {
					rows[n] = append(rows[n], in[k])
					walk(k+1, rows)
					rows[n] = rows[n][:len(rows[n])-1]
				}
				walk(k+1, append(slices.Clone(rows), []*Item{in[k]}))
				return
			}
			for _, across := range []bool{false, true} {
				var along, side measure.Length // what sections reach, kerfs included
				for _, row := range rows {
					var long, wide measure.Length
					for _, it := range row {
						if across { // a strip
							long, wide = long+it.Length+p.CrosscutKerf, max(wide, it.Width)
						} else {
							long, wide = max(long, it.Length), wide+it.Width+p.RipKerf
						}
					}
					if across {
						along, side = max(along, long), side+wide+p.RipKerf
					} else {
						along, side = along+long+p.CrosscutKerf, max(side, wide)
					}
				}
				if along-p.CrosscutKerf > b.Length || side-p.RipKerf > b.Width {
					continue
				}
				use := usefulness(p, b.Length-along, b.Width)
				if w := b.Width - side; w >= p.narrowest() {
					if u := usefulness(p, b.Length, w); u.Cmp(use) > 0 {
						use = u
					}
				}
				if use.Cmp(best) > 0 {
					best = use
				}
			}
		}
		walk(0, nil)
		return best
	}
	var best []*big.Int
	on := make([][]*Item, len(p.Boards))
	var share func(k int)
	share = func(k int) {
		if k < len(blanks) {
			for n := range on {
				on[n] = append(on[n], blanks[k])
				share(k + 1)
				on[n] = on[n][:len(on[n])-1]
			}
			return
		}
		var s Solution
		for n := range on {
			if len(on[n]) > 0 {
				s.Boards = append(s.Boards, Opened{Board: n})
			}
		}
		v := []*big.Int{value(p, &s, AimWood), value(p, &s, AimBoards), value(p, &s, AimLeftovers)}
		if best != nil && (v[0].Cmp(best[0]) > 0 || v[0].Cmp(best[0]) == 0 && v[1].Cmp(best[1]) > 0) {
			return
		}
		for n := range on {
			if len(on[n]) > 0 {
				u := kept(&p.Boards[n], on[n])
				if u.Sign() < 0 {
					return
				}
				v[2].Sub(v[2], u)
			}
		}
		for k := range v {
			if best == nil || v[k].Cmp(best[k]) < 0 {
				best = v
				return
			}
			if v[k].Cmp(best[k]) > 0 {
				return
			}
		}
	}
	share(0)
	return best
}

func TestLeftoversOfWideBoardsEqualBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(81, 12))
	made, same, proved := 0, 0, 0
	for n := range 60 {
		p := wide(r)
		want := leastLoss(&p)
		s := mustSolve(t, p, Options{Work: 4_000_000})
		if err := CheckProof(context.Background(), p, s); err != nil {
			t.Fatalf("case %d: %v\n%+v", n, err, p)
		}
		if want == nil || s.Levels[0].Value > 0 || s.Levels[1].Exact().Cmp(want[0]) != 0 || s.Levels[2].Exact().Cmp(want[1]) != 0 {
			continue
		}
		made++
		l := s.Levels[3]
		if l.Exact().Cmp(want[2]) < 0 || big.NewInt(l.Bound).Cmp(want[2]) > 0 {
			t.Fatalf("case %d: use taken %d, bound %d, brute force %s\n%+v", n, l.Value, l.Bound, want[2], p)
		}
		same += boolInt(l.Exact().Cmp(want[2]) == 0)
		proved += boolInt(l.Proved)
	}
	t.Logf("%d plans, %d with the most useful leftovers, %d proved", made, same, proved)
	if made < 25 || same*5 < made*4 || proved*4 < made {
		t.Errorf("%d plans, %d with the most useful leftovers, %d proved", made, same, proved)
	}
}

// By hand: 400 mm from a board of 1,000 leave 597 mm beside a kerf of 3. Two of
// 200 mm could come one from each of two boards of 500; from one they leave the
// other whole. Of boards of 600 and 900 mm, 300 mm opened of the shorter keep the
// longer whole, which is also the least wood.
func TestOneLongLeftoverIsWorthMoreThanTwoHalves(t *testing.T) {
	p := Problem{CrosscutKerf: 3 * mm, RipKerf: 3 * mm, LeftoverMin: 250 * mm, Aims: []Aim{AimWood, AimBoards, AimLeftovers},
		Boards: []Board{{ID: "A", Length: 1000 * mm, Width: 95 * mm}, {ID: "B", Length: 1000 * mm, Width: 95 * mm}},
		Items:  []Item{{ID: "a", Length: 600 * mm, Width: 90 * mm, Count: 2}, {ID: "b", Length: 130 * mm, Width: 90 * mm, Count: 2}}}
	s := mustSolve(t, p, Options{Work: 20_000_000})
	// Both short ones beside one long leave 128 mm, too little, and 397 mm of the
	// other; one beside each would leave 264 mm twice.
	if len(s.Boards) != 2 || !s.Levels[3].Proved || len(s.Boards[0].Leftovers)+len(s.Boards[1].Leftovers) != 1 {
		t.Fatalf("%+v, %s", s.Boards, levelText(s))
	}
	want := 2*95*1000*1000 - 95*397*397
	if s.Levels[3].Value != int64(want) {
		t.Errorf("use taken %d, want %d", s.Levels[3].Value, want)
	}
}

// Every plan that keeps the levels above, cut apart every way, has at least the
// set-ups and cuts that are said to be needed.
func TestNoPlanHasFewerSetupsOrCutsThanAreSaidToBeNeeded(t *testing.T) {
	r := rand.New(rand.NewPCG(91, 12))
	compared, best, tight := 0, 0, 0
	for n := range 60 {
		p := little(r)
		for k := range p.Boards {
			if r.IntN(2) == 0 {
				p.Boards[k].TrimRight = mm
			}
		}
		if n%3 == 0 {
			p = wide(r)
		}
		p.Aims = []Aim{AimWood, AimBoards, AimSetups, AimCuts}
		s := mustSolve(t, p, Options{Work: 4_000_000})
		if s.Levels[0].Value > 0 || !s.Levels[1].Proved || !s.Levels[2].Proved {
			continue
		}
		if err := CheckProof(context.Background(), p, s); err != nil {
			t.Fatalf("case %d: %v\n%+v", n, err, p)
		}
		setups, cuts := int64(-1), int64(-1)
		var others []int // plans of any seed and order are plans all the same
		for seed := range uint64(12) {
			q := p
			q.Items = slices.Clone(p.Items)
			rand.New(rand.NewPCG(seed, 5)).Shuffle(len(q.Items), func(a, b int) { q.Items[a], q.Items[b] = q.Items[b], q.Items[a] })
			o := mustSolve(t, q, Options{Work: 300_000, Seed: seed})
			if o.Levels[1].Value > s.Levels[1].Value || o.Levels[2].Value > s.Levels[2].Value || o.Levels[0].Value > 0 {
				continue
			}
			others = append(others, len(o.Cuts))
			if setups < 0 || int64(o.Setups) < setups {
				setups = int64(o.Setups)
			}
			if cuts < 0 || int64(len(o.Cuts)) < cuts {
				cuts = int64(len(o.Cuts))
			}
		}
		if len(others) == 0 {
			continue
		}
		compared++
		a, b := s.Levels[3], s.Levels[4]
		if a.Bound > setups || b.Bound > cuts {
			t.Fatalf("case %d: at least %d set-ups and %d cuts are said to be needed, a plan has %d and %d\n%+v", n, a.Bound, b.Bound, setups, cuts, p)
		}
		best += boolInt(a.Value <= setups)
		tight += boolInt(a.Proved)
	}
	t.Logf("%d jobs, %d with the fewest set-ups found by any, %d proved", compared, best, tight)
	if compared < 20 {
		t.Errorf("only %d jobs were compared", compared)
	}
}
