package guillotine

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"reflect"
	"testing"

	"pilewright/plan/measure"
)

// oracle cuts a small sheet in every way at whole millimetres: the most that a
// region is worth with so many copies left and so many stages to go. It knows
// nothing of sums of sizes, prices or builds. A kerf may shave an edge.
type oracle struct {
	kerf    int
	items   []Item
	defects []Rect
	known   map[[11]int8]int64
}

func (o *oracle) most(x, y, w, h int, left []int, stages, dir int) int64 {
	if w <= 0 || h <= 0 {
		return 0
	}
	key := [11]int8{int8(w), int8(h), int8(stages), int8(dir)}
	if len(o.defects) > 0 {
		key[4], key[5] = int8(x), int8(y)
	}
	for k, n := range left {
		key[6+k] = int8(n)
	}
	if v, ok := o.known[key]; ok {
		return v
	}
	best := int64(0)
	for k, i := range o.items {
		if left[k] == 0 {
			continue
		}
		for turn := range 2 {
			l, b := int(i.Length/mm), int(i.Width/mm)
			if turn == 1 {
				l, b = b, l
			}
			if l <= w && b <= h && (turn == 0 || i.Turn) && o.sound(x, y, l, b) {
				best = max(best, i.Value)
			}
		}
	}
	if stages > 0 && dir != 2 {
		best = max(best, o.most(x, y, w, h, left, stages-1, 1-dir))
	}
	if stages > 0 {
		o.split(left, make([]int, len(left)), 0, func(a, b []int) {
			if dir != 1 {
				for c := 1 - min(o.kerf, 1); c < w; c++ {
					best = max(best, o.most(x, y, c, h, a, o.next(stages, dir), flip(dir, 1))+o.most(x+c+o.kerf, y, w-c-o.kerf, h, b, stages, dir))
				}
			}
			if dir != 0 {
				for c := 1 - min(o.kerf, 1); c < h; c++ {
					best = max(best, o.most(x, y, w, c, a, o.next(stages, dir), flip(dir, 0))+o.most(x, y+c+o.kerf, w, h-c-o.kerf, b, stages, dir))
				}
			}
		})
	}
	o.known[key] = best
	return best
}

// dir 2 is any direction without a limit on stages.
func (o *oracle) next(stages, dir int) int {
	if dir == 2 {
		return stages
	}
	return stages - 1
}

func flip(dir, to int) int {
	if dir == 2 {
		return 2
	}
	return to
}

func (o *oracle) sound(x, y, l, b int) bool {
	for _, d := range o.defects {
		if x < int((d.X+d.Length)/mm) && int(d.X/mm) < x+l && y < int((d.Y+d.Width)/mm) && int(d.Y/mm) < y+b {
			return false
		}
	}
	return true
}

func (o *oracle) split(left, a []int, k int, then func(a, b []int)) {
	if k == len(left) {
		b := make([]int, len(left))
		for i := range b {
			b[i] = left[i] - a[i]
		}
		then(append([]int(nil), a...), b)
		return
	}
	for n := 0; n <= left[k]; n++ {
		a[k] = n
		o.split(left, a, k+1, then)
	}
	a[k] = 0
}

func TestSmallSheetsAgainstEveryWayOfCutting(t *testing.T) {
	count := 40
	if full() {
		count = 600
	}
	r := rand.New(rand.NewPCG(7, 7))
	proved := 0
	for n := range count {
		w, h := 5+r.IntN(4), 4+r.IntN(3)
		s := Sheet{Length: mm * measure.Length(w), Width: mm * measure.Length(h)}
		var items []Item
		var left []int
		for k := range 2 + r.IntN(2) {
			c := 1 + r.IntN(3)
			items = append(items, Item{ID: fmt.Sprint(k), Length: mm * measure.Length(1+r.IntN(6)), Width: mm * measure.Length(1+r.IntN(4)), Value: int64(1 + r.IntN(30)), Count: c, Turn: r.IntN(2) == 0})
			left = append(left, c)
		}
		opt := Options{Kerf: mm * measure.Length(r.IntN(2))}
		if n%3 == 0 {
			opt.Stages = 1 + r.IntN(3)
		} else if n%3 == 1 && r.IntN(2) == 0 {
			s.Defects = []Rect{{mm * measure.Length(r.IntN(w)), mm * measure.Length(r.IntN(h)), mm, mm}}
		}
		o := &oracle{kerf: int(opt.Kerf / mm), items: items, defects: s.Defects, known: map[[11]int8]int64{}}
		var want int64
		if opt.Stages > 0 {
			want = max(o.most(0, 0, w, h, left, opt.Stages, 0), o.most(0, 0, w, h, left, opt.Stages, 1))
		} else {
			want = o.most(0, 0, w, h, left, 1, 2)
		}
		p, err := Solve(context.Background(), s, items, opt)
		if err != nil {
			t.Fatal(err)
		}
		name := fmt.Sprintf("case %d %dx%d %+v %+v %+v", n, w, h, s.Defects, items, opt)
		if faults := Check(s, items, opt, p); len(faults) > 0 {
			t.Fatalf("%s: %v %+v", name, faults, p)
		}
		if p.Value > want || p.Bound < want {
			t.Fatalf("%s: value %d, bound %d, every way tried gives %d", name, p.Value, p.Bound, want)
		}
		if p.Proved() {
			proved++
		} else if len(s.Defects) == 0 {
			t.Errorf("%s: not proved, %d to %d", name, p.Value, p.Bound)
		}
	}
	t.Logf("%d of %d proved", proved, count)
}

func TestCheckFindsEachFault(t *testing.T) {
	s := Sheet{Length: 100 * mm, Width: 60 * mm}
	items := []Item{{ID: "a", Length: 50 * mm, Width: 30 * mm, Value: 5, Count: 2}, {ID: "b", Length: 30 * mm, Width: 20 * mm, Value: 3, Count: 4, Turn: true}}
	opt := Options{Kerf: 3 * mm, Stages: 3}
	good, err := Solve(context.Background(), s, items, opt)
	if err != nil || len(Check(s, items, opt, good)) > 0 || len(good.Placed) < 4 {
		t.Fatalf("%v %v %+v", err, Check(s, items, opt, good), good)
	}
	for _, c := range []struct {
		name   string
		change func(s *Sheet, items []Item, opt *Options, p *Plan)
	}{
		{"an item out of the sheet", func(_ *Sheet, _ []Item, _ *Options, p *Plan) { p.Placed[0].Rect.X += 80 * mm }},
		{"an item on another", func(_ *Sheet, _ []Item, _ *Options, p *Plan) { p.Placed[1].Rect = p.Placed[0].Rect }},
		{"a wider kerf", func(_ *Sheet, _ []Item, o *Options, _ *Plan) { o.Kerf = 20 * mm }},
		{"a defect under an item", func(s *Sheet, _ []Item, _ *Options, p *Plan) {
			s.Defects = []Rect{{p.Placed[0].Rect.X, p.Placed[0].Rect.Y, mm, mm}}
		}},
		{"one copy too many", func(_ *Sheet, i []Item, _ *Options, _ *Plan) { i[1].Count = 1; i[0].Count = 1 }},
		{"a value too high", func(_ *Sheet, _ []Item, _ *Options, p *Plan) { p.Value++ }},
		{"a missing cut", func(_ *Sheet, _ []Item, _ *Options, p *Plan) { p.Cuts = p.Cuts[1:] }},
		{"fewer stages", func(_ *Sheet, _ []Item, o *Options, _ *Plan) { o.Stages = 1 }},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, opt, items, p := s, opt, append([]Item(nil), items...), good
			p.Placed, p.Cuts = append([]Placed(nil), p.Placed...), append([]Cut(nil), p.Cuts...)
			c.change(&s, items, &opt, &p)
			if len(Check(s, items, opt, p)) == 0 {
				t.Errorf("no fault found in %+v", p)
			}
		})
	}
	t.Run("a pinwheel that no cut from edge to edge parts", func(t *testing.T) {
		s := Sheet{Length: 5 * mm, Width: 5 * mm}
		items := []Item{{ID: "a", Length: 3 * mm, Width: 2 * mm, Value: 1, Turn: true}}
		p := Plan{Value: 4, Bound: 4, Placed: []Placed{
			{"a", Rect{0, 0, 3 * mm, 2 * mm}, false}, {"a", Rect{3 * mm, 0, 2 * mm, 3 * mm}, true},
			{"a", Rect{2 * mm, 3 * mm, 3 * mm, 2 * mm}, false}, {"a", Rect{0, 2 * mm, 2 * mm, 3 * mm}, true}}}
		if faults := Check(s, items, Options{}, p); len(faults) == 0 || faults[0] != "cuts from edge to edge do not free every item" {
			t.Errorf("got %v", faults)
		}
	})
}

func TestSolveIsTheSameTwice(t *testing.T) {
	s, items := instance(t, shared(t, "guillotine2d", "instances", "A4.txt"))
	a, _ := Solve(context.Background(), s, items, Options{})
	b, _ := Solve(context.Background(), s, items, Options{})
	if !reflect.DeepEqual(a, b) {
		t.Error("the same question gave two plans")
	}
}

func TestSolveStopsWhenCancelled(t *testing.T) {
	s, items := instance(t, shared(t, "guillotine2d", "instances", "Hchl7s.txt"))
	ctx, cancel := context.WithCancel(context.Background())
	p, err := Solve(ctx, s, items, Options{Progress: func(p Progress) {
		if p.Value > 0 {
			cancel()
		}
	}})
	if err != nil || p.Status != Stopped || p.Value == 0 || len(Check(s, items, Options{}, p)) > 0 {
		t.Errorf("%v %+v", err, p.Status)
	}
}

func TestSolveRefusesWhatMakesNoSense(t *testing.T) {
	s := Sheet{Length: mm, Width: mm}
	for _, c := range []struct {
		name  string
		s     Sheet
		items []Item
		want  error
	}{
		{"a sheet without size", Sheet{}, nil, ErrSize},
		{"an item without size", s, []Item{{ID: "a"}}, ErrSize},
		{"two items of one id", s, []Item{{ID: "a", Length: 1, Width: 1}, {ID: "a", Length: 1, Width: 1}}, ErrDouble},
		{"a value below zero", s, []Item{{ID: "a", Length: 1, Width: 1, Value: -1}}, ErrValue},
		{"sizes too fine to list", Sheet{Length: measure.Metre, Width: measure.Metre}, []Item{{ID: "a", Length: mm + 1, Width: mm}, {ID: "b", Length: mm + 3, Width: mm}}, ErrFine},
	} {
		t.Run(c.name, func(t *testing.T) {
			if _, err := Solve(context.Background(), c.s, c.items, Options{}); !errors.Is(err, c.want) {
				t.Errorf("got %v, want %v", err, c.want)
			}
		})
	}
}
