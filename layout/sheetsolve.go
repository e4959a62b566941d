package layout

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sort"
	"strconv"

	"github.com/shopspring/decimal"

	"pilewright/layout/guillotine"
	"pilewright/plan"
	"pilewright/plan/measure"
)

// sheetCuts is what the sheets give, with what is proved of it.
type sheetCuts struct {
	boards  []plan.CutBoard
	opened  []plan.Board
	short   []plan.Short
	total   aims
	bound   aims
	proved  bool // bound can be relied on
	stopped bool
}

// aims are what counts, in its order.
type aims struct {
	made   int // blanks missing
	money  decimal.Decimal
	wood   measure.Area
	boards int
}

func (a aims) less(b aims) bool {
	switch {
	case a.made != b.made:
		return a.made < b.made
	case !a.money.Equal(b.money):
		return a.money.LessThan(b.money)
	case !a.wood.Equal(b.wood):
		return a.wood.Cmp(b.wood) < 0
	}
	return a.boards < b.boards
}

func (a *aims) add(b aims) {
	a.made, a.boards = a.made+b.made, a.boards+b.boards
	a.money, a.wood = a.money.Add(b.money), a.wood.Add(b.wood)
}

// solve cuts the blanks from the sheets. Blanks with the same sheets to choose from
// are cut together; where two such groups share sheets, the one with less to
// choose from comes first.
func (t *sheetTask) solve(ctx context.Context, work int64, blanks []sheetBlank) (*sheetCuts, error) {
	groups := map[string][]sheetBlank{}
	var order []string
	for _, b := range blanks {
		key := fmt.Sprint(b.sheets)
		if groups[key] == nil {
			order = append(order, key)
		}
		groups[key] = append(groups[key], b)
	}
	sort.SliceStable(order, func(i, k int) bool { return len(groups[order[i]][0].sheets) < len(groups[order[k]][0].sheets) })
	out := &sheetCuts{proved: true}
	claimed, taken := map[int]bool{}, map[int]bool{}
	for _, key := range order {
		g := groups[key]
		var free []int
		for _, k := range g[0].sheets {
			out.proved = out.proved && !claimed[k]
			claimed[k] = true
			if !taken[k] {
				free = append(free, k)
			}
		}
		c, used, err := t.group(ctx, work/int64(len(order)), free, g)
		if err != nil {
			return nil, err
		}
		for _, k := range used {
			taken[k] = true
		}
		out.boards, out.opened, out.short = append(out.boards, c.boards...), append(out.opened, c.opened...), append(out.short, c.short...)
		out.total.add(c.total)
		out.bound.add(c.bound)
		out.stopped = out.stopped || c.stopped
	}
	return out, nil
}

// sheetKind is sheets that are alike.
type sheetKind struct {
	members []int // of sheetTask.sheets
	sheet   guillotine.Sheet
	money   int64
	area    float64 // nm² within the trims, not rounded
}

// question is a group of blanks in the terms of package guillotine.
type question struct {
	kinds []sheetKind
	stock []guillotine.Stock
	items []guillotine.Item
	opt   guillotine.Options
	exact bool // nothing was rounded or left out
	cost  lexicographic
}

func (t *sheetTask) ask(free []int, blanks []sheetBlank, step measure.Length) question {
	q := question{opt: guillotine.Options{Kerf: roundUp(t.kerf, step), Stages: sheetStages}, exact: step == 1}
	hidden := !slices.ContainsFunc(blanks, func(b sheetBlank) bool { return b.Grade != plan.Hidden })
	someHidden := slices.ContainsFunc(blanks, func(b sheetBlank) bool { return b.Grade == plan.Hidden })
	at := map[string]int{}
	for _, k := range free {
		o := t.sheets[k]
		s, ok := usable(o, hidden, step)
		if !ok {
			continue
		}
		if someHidden && !hidden && slices.ContainsFunc(o.Defects, func(d plan.Defect) bool { return d.Kind.HiddenMayHold() }) {
			q.exact = false
		}
		inside := o.Length - o.TrimLeft - o.TrimRight
		key := fmt.Sprint(s, o.Price, o.Length, o.Width, inside)
		n, known := at[key]
		if !known {
			n = len(q.kinds)
			at[key] = n
			q.kinds = append(q.kinds, sheetKind{sheet: s, money: max(o.Price.Shift(priceDigits).Round(0).IntPart(), 0), area: float64(inside) * float64(o.Width)})
		}
		q.kinds[n].members = append(q.kinds[n].members, k)
	}
	q.cost = t.lexicographic(q.kinds)
	for n, k := range q.kinds {
		q.stock = append(q.stock, guillotine.Stock{ID: strconv.Itoa(n), Sheet: k.sheet, Price: q.cost.price[n], Supply: len(k.members)})
	}
	for n, b := range blanks {
		q.items = append(q.items, guillotine.Item{ID: strconv.Itoa(n), Length: roundUp(b.Length, step), Width: roundUp(b.Width, step), Count: len(b.numbers), Turn: b.turn})
	}
	return q
}

// coarse reports sizes that share a unit large enough for package guillotine.
func (q *question) coarse() bool {
	g := q.opt.Kerf
	use := func(ls ...measure.Length) {
		for _, l := range ls {
			for l != 0 {
				g, l = l, g%l
			}
		}
	}
	for _, i := range q.items {
		use(i.Length, i.Width)
	}
	for _, s := range q.stock {
		use(s.Sheet.Length, s.Sheet.Width)
		for _, d := range s.Sheet.Defects {
			use(d.X, d.Y, d.Length, d.Width)
		}
	}
	for _, s := range q.stock {
		if float64((s.Sheet.Length+q.opt.Kerf)/g)*float64((s.Sheet.Width+q.opt.Kerf)/g) > 1<<39 {
			return false
		}
	}
	return true
}

// spotted reports defects; searches among them take long.
func (q *question) spotted() bool {
	return slices.ContainsFunc(q.stock, func(s guillotine.Stock) bool { return len(s.Sheet.Defects) > 0 })
}

// group cuts one group of blanks from the sheets that are free, and tells which
// sheets it took.
func (t *sheetTask) group(ctx context.Context, work int64, free []int, blanks []sheetBlank) (sheetCuts, []int, error) {
	wanted := 0
	for _, b := range blanks {
		wanted += len(b.numbers)
	}
	none := sheetCuts{total: aims{made: wanted}, bound: aims{made: wanted}}
	var best sheetCuts
	var used []int
	found := false
	// The best plan and the best bound may come from different searches.
	var bound aims
	offer := func(q question, c guillotine.Cutting, least func(aims) aims) {
		r, took := t.placed(q, c, blanks)
		r.stopped = ctx.Err() != nil
		if b := least(r.total); bound.less(b) {
			bound = b
		}
		if !found || r.total.less(best.total) {
			best, used, found = r, took, true
		}
		best.bound = bound
	}
	for n, step := range sheetSteps {
		q := t.ask(free, blanks, step)
		if len(q.stock) == 0 {
			break
		}
		if n == 0 {
			c := q.shelves()
			offer(q, c, func(total aims) aims {
				if total.made > 0 {
					return aims{}
				}
				return q.proved(c, total, blanks)
			})
			if !best.bound.less(best.total) {
				break
			}
			if q.spotted() {
				t.clean(ctx, work, free, blanks, func(q question, c guillotine.Cutting) { offer(q, c, func(aims) aims { return aims{} }) })
				if work <= quickSheetWork {
					break
				}
			}
		}
		if !q.coarse() {
			continue
		}
		q.opt.Work = work
		c, err := guillotine.Fewest(ctx, q.stock, q.items, q.opt)
		var missing *guillotine.MissingError
		switch {
		case errors.As(err, &missing) && q.spotted():
			continue
		case errors.As(err, &missing):
			least := 0
			if c, least, err = q.most(ctx, work, wanted); err != nil {
				return none, nil, err
			}
			if !q.exact {
				least = 0
			}
			offer(q, c, func(aims) aims { return aims{made: least} })
			if best.bound.made == best.total.made {
				return t.say(best, blanks), used, nil
			}
			continue
		case err != nil:
			return none, nil, fmt.Errorf("sheets: %w", err)
		}
		offer(q, c, func(total aims) aims { return q.proved(c, total, blanks) })
		break
	}
	if !found {
		best = none
		for _, b := range blanks {
			best.short = append(best.short, plan.Short{Blank: b.Key, Count: len(b.numbers)})
		}
		if len(free) > 0 && slices.ContainsFunc(blanks, func(b sheetBlank) bool { return len(b.sheets) > 0 }) {
			best.bound.made = 0
		}
	}
	return t.say(best, blanks), used, nil
}

// clean offers a cutting of the sheets without defects alone.
func (t *sheetTask) clean(ctx context.Context, work int64, free []int, blanks []sheetBlank, offer func(question, guillotine.Cutting)) {
	var without []int
	for _, k := range free {
		if len(t.sheets[k].Defects) == 0 {
			without = append(without, k)
		}
	}
	if len(without) == 0 {
		return
	}
	for _, step := range sheetSteps {
		q := t.ask(without, blanks, step)
		if len(q.stock) == 0 || !q.coarse() {
			continue
		}
		q.opt.Work = work
		if c, err := guillotine.Fewest(ctx, q.stock, q.items, q.opt); err == nil {
			offer(q, c)
			return
		}
	}
}

// say puts the shortage into words.
func (t *sheetTask) say(c sheetCuts, blanks []sheetBlank) sheetCuts {
	say := t.boards.Say
	if say == nil {
		say = measure.Exact
	}
	for i, s := range c.short {
		c.short[i].Proof = c.bound.made == c.total.made
		for _, b := range blanks {
			if b.Key == s.Blank {
				c.short[i].Say = fmt.Sprintf("%d of the %s (%s x %s x %s) can't be cut from the sheets.", s.Count, b.Name, say(b.Length), say(b.Width), say(b.Thickness))
			}
		}
	}
	return c
}

// most cuts as many blanks as it can, sheet after sheet, and tells how many are
// missing in any plan.
func (q *question) most(ctx context.Context, work int64, wanted int) (guillotine.Cutting, int, error) {
	ctx = context.WithoutCancel(ctx) // each search is short
	left, supply := map[string]int{}, make([]int, len(q.stock))
	items := slices.Clone(q.items)
	for i := range items {
		items[i].Value = 1
		left[items[i].ID] = items[i].Count
	}
	opt := q.opt
	opt.Work = min(work/8, 50_000_000)
	var out guillotine.Cutting
	room, first := 0, true
	for k, s := range q.stock {
		supply[k] = s.Supply
	}
	for {
		var rest []guillotine.Item
		for _, i := range items {
			if i.Count = left[i.ID]; i.Count > 0 {
				rest = append(rest, i)
			}
		}
		at, best := -1, guillotine.Plan{}
		for k, s := range q.stock {
			if supply[k] == 0 || len(rest) == 0 {
				continue
			}
			p, err := guillotine.Solve(ctx, s.Sheet, rest, opt)
			if errors.Is(err, guillotine.ErrFine) {
				room = wanted
				continue
			}
			if err != nil {
				return out, 0, fmt.Errorf("sheets: %w", err)
			}
			if first {
				room += int(min(p.Bound, int64(wanted))) * s.Supply
			}
			n := len(p.Placed)
			if n > 0 && (n > len(best.Placed) || n == len(best.Placed) && s.Price < q.stock[at].Price) {
				at, best = k, p
			}
		}
		first = false
		if at < 0 {
			return out, max(wanted-room, 0), nil
		}
		supply[at]--
		for _, p := range best.Placed {
			left[p.Item]--
		}
		out.Sheets = append(out.Sheets, guillotine.CutSheet{Stock: q.stock[at].ID, Plan: best})
	}
}

// placed turns a cutting into the plan's nouns, sizes as they are.
func (t *sheetTask) placed(q question, c guillotine.Cutting, blanks []sheetBlank) (sheetCuts, []int) {
	var out sheetCuts
	var took []int
	opened, used := make([]int, len(q.kinds)), make([]int, len(blanks))
	for _, s := range c.Sheets {
		kind, _ := strconv.Atoi(s.Stock)
		k := q.kinds[kind].members[opened[kind]]
		opened[kind]++
		took = append(took, k)
		o := t.sheets[k]
		cb := plan.CutBoard{Board: o.ID}
		for _, p := range s.Plan.Placed {
			n, _ := strconv.Atoi(p.Item)
			b := blanks[n]
			number := b.numbers[used[n]]
			used[n]++
			l, w := b.Length, b.Width
			if p.Turned {
				l, w = w, l
			}
			cb.Pieces = append(cb.Pieces, plan.CutPiece{Blank: b.Key, N: number, Mark: b.Mark + strconv.Itoa(number), X: p.Rect.X + o.TrimLeft, Y: p.Rect.Y, Length: l, Width: w})
		}
		cb.Saws = sheetSaws(o, cb.Pieces, t.kerf)
		out.boards, out.opened = append(out.boards, cb), append(out.opened, o)
		out.total.add(aims{money: o.Price, wood: measure.AreaOf(o.Length, o.Width), boards: 1})
	}
	for n, b := range blanks {
		if m := len(b.numbers) - used[n]; m > 0 {
			out.short = append(out.short, plan.Short{Blank: b.Key, Count: m})
			out.total.made += m
		}
	}
	return out, took
}
