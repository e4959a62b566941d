package guillotine

import (
	"context"
	"fmt"
	"math"
	"sort"
	"strings"

	"pilewright/plan/measure"
)

// Stock is a kind of sheet to be had. Price is in the currency's minor unit;
// where all are 0 every sheet counts 1, and Fewest finds the fewest sheets.
// Supply 0 means as many as wanted.
type Stock struct {
	ID     string
	Sheet  Sheet
	Price  int64
	Supply int
}

// CutSheet is one sheet of a cutting.
type CutSheet struct {
	Stock string
	Plan  Plan
}

// Cutting cuts every item wanted. No cutting costs less than Bound.
type Cutting struct {
	Sheets []CutSheet
	Cost   int64
	Bound  int64
	Status Status
	Work   int64
}

// MissingError names the items that no sheet left holds.
type MissingError struct{ Items []string }

func (e *MissingError) Error() string {
	return "no sheet left holds " + strings.Join(e.Items, ", ")
}

// Fewest cuts every item, Count times each (0 counts as 1), from sheets of
// least price. Sheets are filled one after the other to the highest value; the
// values are corrected round by round towards items that ended on badly filled
// sheets (sequential value correction, after Mukhacheva and Belov, from memory).
// The bound is the larger of the area and of the priced linear relaxation.
func Fewest(ctx context.Context, stock []Stock, items []Item, opt Options) (Cutting, error) {
	f := &fewest{ctx: ctx, stock: append([]Stock(nil), stock...), items: append([]Item(nil), items...), opt: opt, limit: opt.Work}
	if f.limit <= 0 {
		f.limit = 2 * DefaultWork
	}
	free := true
	for _, s := range stock {
		if s.Price < 0 || s.Price > mostValue {
			return Cutting{}, fmt.Errorf("stock %s: %w", s.ID, ErrValue)
		}
		if err := validate(s.Sheet, items, opt); err != nil {
			return Cutting{}, fmt.Errorf("stock %s: %w", s.ID, err)
		}
		free = free && s.Price == 0
	}
	for k := range f.items {
		f.items[k].Count = max(f.items[k].Count, 1)
	}
	for k := range f.stock {
		if free {
			f.stock[k].Price = 1
		}
	}
	return f.solve()
}

type fewest struct {
	ctx   context.Context
	stock []Stock
	items []Item
	opt   Options
	limit int64
	work  int64
	best  *Cutting
	bound int64

	relaxed int64 // work at which the relaxation ends
	seed    uint64
}

func area(l, w measure.Length) float64 {
	return float64(l) / float64(measure.Millimetre) * float64(w) / float64(measure.Millimetre)
}

func (f *fewest) solve() (Cutting, error) {
	f.bound = f.areaBound()
	value := make([]float64, len(f.items))
	size := make([]float64, len(f.items))
	for k, i := range f.items {
		size[k] = math.Pow(area(i.Length, i.Width), 1.02)
		value[k] = size[k]
	}
	round := func(last bool) error {
		c, used, err := f.fill(value, last)
		if err != nil {
			return err
		}
		if f.best == nil || c.Cost < f.best.Cost {
			f.best = &c
			f.tell()
		}
		for k := range value {
			value[k] += size[k] * (used[k] - value[k]/size[k]) / 2
		}
		return nil
	}
	f.shelve(f.limit / 4)
	if f.best == nil {
		if err := round(true); err != nil {
			return Cutting{}, err
		}
	}
	if !f.finished() {
		f.relaxed = f.work + f.limit/3
		for k, p := range f.relax() {
			// Prices make good values; a little area keeps them apart.
			value[k] = (p + 0.02) * size[k]
		}
	}
	for n := 0; n < 12 && !f.finished() && f.work < f.limit*3/4; n++ {
		_ = round(n%2 == 1)
	}
	f.shelve(f.limit - f.work)
	out := *f.best
	out.Bound, out.Work = min(f.bound, out.Cost), f.work
	switch {
	case out.Cost <= f.bound:
		out.Status = Optimal
	case f.ctx.Err() != nil:
		out.Status = Stopped
	default:
		out.Status = Limit
	}
	return out, nil
}

func (f *fewest) finished() bool {
	return f.best.Cost <= f.bound || f.work >= f.limit || f.ctx.Err() != nil
}

func (f *fewest) tell() {
	if f.opt.Progress != nil {
		f.opt.Progress(Progress{f.best.Cost, f.bound})
	}
}

// shelve searches for cuttings on shelves, within so much work.
func (f *fewest) shelve(work int64) {
	if f.opt.Stages == 1 || work <= 0 || f.best != nil && f.finished() {
		return
	}
	var base shelving
	for n, s := range f.stock {
		if len(s.Sheet.Defects) > 0 {
			return
		}
		t := newTask(s.Sheet, f.items, f.opt)
		base.tasks, base.price, base.supply = append(base.tasks, t), append(base.price, s.Price), append(base.supply, s.Supply)
		if n > 0 {
			continue
		}
		for k, i := range f.items {
			for range i.Count {
				base.kinds = append(base.kinds, k)
			}
		}
	}
	base.single = f.opt.Stages == 2
	base.onShelf, base.newShelf = 4, 4
	n := len(base.kinds)
	if n == 0 {
		return
	}
	prefer := make([]int, len(f.stock))
	for k := range prefer {
		prefer[k] = k
	}
	sort.SliceStable(prefer, func(a, b int) bool {
		p, q := f.stock[prefer[a]], f.stock[prefer[b]]
		return float64(p.Price)/area(p.Sheet.Length, p.Sheet.Width) < float64(q.Price)/area(q.Sheet.Length, q.Sheet.Width)
	})
	tries := int(work / 12 / int64(30*n*(2+n/4)))
	for _, upright := range []bool{false, true} {
		s := base
		s.upright = upright
		for _, order := range s.starts() {
			f.seed++
			sheets, cost := s.improve(order, append([]int(nil), prefer...), tries, f.seed, func(cost int64) bool {
				f.work += int64(30 * n * (2 + n/4))
				return cost <= f.bound || f.ctx.Err() != nil
			})
			if sheets == nil {
				continue
			}
			c := Cutting{Cost: cost}
			for k := range sheets {
				var p Plan
				t := s.tasks[sheets[k].stock]
				t.lay(&p, s.node(&sheets[k]), box{0, 0, t.w, t.h})
				p.Value = f.worth(f.stock[sheets[k].stock].Sheet, p)
				p.Bound = p.Value
				c.Sheets = append(c.Sheets, CutSheet{f.stock[sheets[k].stock].ID, p})
			}
			f.concentrate(&c, work/12)
			if f.best == nil || c.Cost < f.best.Cost {
				f.best = &c
				f.tell()
			}
			if f.finished() {
				return
			}
		}
	}
}

// areaBound is the least price of the area wanted, kerfs not counted: of the
// sheets that cost least for their area first, as many as there are.
func (f *fewest) areaBound() int64 {
	wanted := 0.0
	for _, i := range f.items {
		wanted += area(i.Length, i.Width) * float64(i.Count)
	}
	order := append([]Stock(nil), f.stock...)
	each := func(s Stock) float64 { return float64(s.Price) / area(s.Sheet.Length, s.Sheet.Width) }
	sort.SliceStable(order, func(a, b int) bool { return each(order[a]) < each(order[b]) })
	cost := 0.0
	for _, s := range order {
		n := wanted / area(s.Sheet.Length, s.Sheet.Width)
		if s.Supply > 0 {
			n = min(n, float64(s.Supply))
		}
		cost += n * float64(s.Price)
		wanted -= n * area(s.Sheet.Length, s.Sheet.Width)
	}
	// Prices are whole; the margin is far above the error of the sums.
	return int64(math.Ceil(cost - 1e-6*max(cost, 1)))
}

// fill makes one cutting for the given values and tells for each item how
// well its sheets were used: sheet area over area used, averaged.
func (f *fewest) fill(value []float64, last bool) (Cutting, []float64, error) {
	left := make([]int, len(f.items))
	supply := make([]int, len(f.stock))
	place := map[string]int{}
	top := 0.0
	for k, i := range f.items {
		left[k] = i.Count
		place[i.ID] = k
		top = max(top, value[k])
	}
	for k, s := range f.stock {
		supply[k] = s.Supply
	}
	var c Cutting
	used := make([]float64, len(f.items))
	for {
		var items []Item
		for k, i := range f.items {
			if left[k] > 0 {
				i.Count = left[k]
				i.Value = max(int64(value[k]/top*100_000), 1)
				items = append(items, i)
			}
		}
		if len(items) == 0 {
			break
		}
		n, p := f.bestSheet(items, supply, last)
		if n < 0 {
			var names []string
			for _, i := range items {
				names = append(names, i.ID)
			}
			return Cutting{}, nil, &MissingError{names}
		}
		s := f.stock[n]
		if s.Supply > 0 {
			if supply[n]--; supply[n] == 0 {
				supply[n] = -1
			}
		}
		full := 0.0
		for _, q := range p.Placed {
			full += area(q.Rect.Length, q.Rect.Width)
		}
		for _, q := range p.Placed {
			k := place[q.Item]
			left[k]--
			used[k] += area(s.Sheet.Length, s.Sheet.Width) / full / float64(f.items[k].Count)
		}
		p.Value = f.worth(s.Sheet, p)
		p.Bound = p.Value
		p.Status, p.Work = "", 0
		c.Sheets = append(c.Sheets, CutSheet{s.ID, p})
		c.Cost += s.Price
	}
	return c, used, nil
}

// worth is the value of a sheet's items as Check counts it.
func (f *fewest) worth(s Sheet, p Plan) int64 {
	t := newTask(s, f.items, f.opt)
	var v int64
	for _, q := range p.Placed {
		for k, i := range f.items {
			if i.ID == q.Item {
				v += t.value[k]
			}
		}
	}
	return v
}

// bestSheet fills one sheet of each kind left and takes that of most value for
// its price; with last, the cheapest kind that holds everything left ends it. A
// supply of -1 is used up.
func (f *fewest) bestSheet(items []Item, supply []int, last bool) (int, Plan) {
	best, at := Plan{}, -1
	most, all := 0.0, 0
	for _, i := range items {
		all += i.Count
	}
	lastPrice := int64(math.MaxInt64)
	for n, s := range f.stock {
		if supply[n] < 0 {
			continue
		}
		opt := f.opt
		opt.Progress, opt.Work = nil, fillWork
		p, err := Solve(f.ctx, s.Sheet, items, opt)
		f.work += p.Work
		if err != nil || len(p.Placed) == 0 {
			continue
		}
		if last && len(p.Placed) == all && s.Price < lastPrice {
			best, at, most, lastPrice = p, n, math.Inf(1), s.Price
			continue
		}
		if v := float64(p.Value) / float64(max(s.Price, 1)); v > most {
			best, at, most = p, n, v
		}
	}
	return at, best
}

// fillWork is the work on one sheet; about a tenth of a second.
const fillWork = 50_000_000
