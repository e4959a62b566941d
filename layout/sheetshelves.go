package layout

import (
	"cmp"
	"math"
	"slices"

	"pilewright/layout/guillotine"
	"pilewright/plan/measure"
)

// A plain way to fill sheets, quick and sure of a plan: shelves from one edge to
// the other, columns on each shelf, blanks on top of each other in a column. It
// takes real sizes and goes round defects.

// mostTried bounds the choices of sheets tried, the cheapest first.
const mostTried = 60

// shelves cuts the question's blanks from the cheapest choice of sheets that
// shelves can fill them from; where none holds all, from all sheets.
func (q *question) shelves() guillotine.Cutting {
	need, wanted := 0.0, 0
	for _, i := range q.items {
		need += float64(i.Length) * float64(i.Width) * float64(i.Count)
		wanted += i.Count
	}
	type mix struct {
		counts []int
		cost   int64
	}
	var mixes []mix
	all := mix{counts: make([]int, len(q.stock))}
	for k, s := range q.stock {
		all.counts[k], all.cost = s.Supply, all.cost+int64(s.Supply)*s.Price
	}
	counts := make([]int, len(q.stock))
	var list func(k int, cost int64, has float64)
	list = func(k int, cost int64, has float64) {
		if len(mixes) > mostMixes {
			return
		}
		if k == len(q.stock) {
			if has >= need {
				mixes = append(mixes, mix{slices.Clone(counts), cost})
			}
			return
		}
		s := q.stock[k].Sheet
		for n := range q.stock[k].Supply + 1 {
			counts[k] = n
			list(k+1, cost+int64(n)*q.stock[k].Price, has+float64(n)*float64(s.Length)*float64(s.Width))
		}
		counts[k] = 0
	}
	list(0, 0, 0)
	slices.SortStableFunc(mixes, func(a, b mix) int { return cmp.Compare(a.cost, b.cost) })
	for _, m := range mixes[:min(len(mixes), mostTried)] {
		if c, n := q.fillMix(m.counts); n == wanted {
			c.Cost = m.cost
			return c
		}
	}
	c, _ := q.fillMix(all.counts)
	return c
}

// fillMix fills the sheets one after the other, the largest first.
func (q *question) fillMix(counts []int) (guillotine.Cutting, int) {
	order := make([]int, len(q.stock))
	for k := range order {
		order[k] = k
	}
	size := func(k int) float64 { return float64(q.stock[k].Sheet.Length) * float64(q.stock[k].Sheet.Width) }
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(size(b), size(a)) })
	left := make([]int, len(q.items))
	for n, i := range q.items {
		left[n] = i.Count
	}
	var out guillotine.Cutting
	made := 0
	for _, k := range order {
		for range counts[k] {
			f := shelving{sheet: q.stock[k].Sheet, items: q.items, kerf: q.opt.Kerf}
			a, restA := f.fill(left)
			f.upright()
			b, restB := f.fill(left)
			for n := range b {
				b[n] = flipped(b[n])
			}
			if covered(b) > covered(a) {
				a, restA = b, restB
			}
			if len(a) == 0 {
				break
			}
			left = restA
			made += len(a)
			out.Sheets = append(out.Sheets, guillotine.CutSheet{Stock: q.stock[k].ID, Plan: guillotine.Plan{Placed: a}})
		}
	}
	return out, made
}

func covered(ps []guillotine.Placed) float64 {
	sum := 0.0
	for _, p := range ps {
		sum += float64(p.Rect.Length) * float64(p.Rect.Width)
	}
	return sum
}

// shelving is one sheet that is filled with shelves along its length; flip says
// that its axes are exchanged.
type shelving struct {
	sheet guillotine.Sheet
	items []guillotine.Item
	kerf  measure.Length
	flip  bool
}

func flippedRect(r guillotine.Rect) guillotine.Rect {
	return guillotine.Rect{X: r.Y, Y: r.X, Length: r.Width, Width: r.Length}
}

func flipped(p guillotine.Placed) guillotine.Placed {
	p.Rect = flippedRect(p.Rect)
	return p
}

func (f *shelving) upright() {
	f.flip = true
	f.sheet.Length, f.sheet.Width = f.sheet.Width, f.sheet.Length
	f.sheet.Defects = slices.Clone(f.sheet.Defects)
	for n, d := range f.sheet.Defects {
		f.sheet.Defects[n] = flippedRect(d)
	}
}

// lying is a blank in one orientation, as it lies on the sheet.
type lying struct {
	item   int
	l, w   measure.Length
	turned bool
}

func (f *shelving) lyings(left []int) []lying {
	var out []lying
	for n, i := range f.items {
		if left[n] == 0 {
			continue
		}
		l, w := i.Length, i.Width
		if f.flip {
			l, w = w, l
		}
		out = append(out, lying{n, l, w, false})
		if i.Turn && l != w {
			out = append(out, lying{n, w, l, true})
		}
	}
	slices.SortStableFunc(out, func(a, b lying) int {
		return cmp.Or(cmp.Compare(b.w, a.w), cmp.Compare(b.l, a.l))
	})
	return out
}

// fill lays the shelf that is filled best for the width it takes, again and again.
func (f *shelving) fill(left []int) ([]guillotine.Placed, []int) {
	var out []guillotine.Placed
	y := measure.Length(0)
	for {
		starts := []measure.Length{y}
		for _, d := range f.sheet.Defects {
			if e := d.Y + d.Width; e > y {
				starts = append(starts, e)
			}
		}
		best, most := []guillotine.Placed(nil), 0.0
		var rest []int
		var end measure.Length
		for _, s := range starts {
			for _, high := range f.lyings(left) {
				if s+high.w > f.sheet.Width || high.l > f.sheet.Length {
					continue
				}
				shelf, l := f.shelf(s, high.w, left)
				if v := covered(shelf) / float64(s+high.w+f.kerf-y); v > most {
					best, most, rest, end = shelf, v, l, s+high.w
				}
			}
		}
		if best == nil {
			return out, left
		}
		out, left, y = append(out, best...), rest, end+f.kerf
	}
}

// shelf fills a shelf from the left with columns.
func (f *shelving) shelf(y, high measure.Length, left []int) ([]guillotine.Placed, []int) {
	left = slices.Clone(left)
	var out []guillotine.Placed
	x := measure.Length(0)
	for {
		at, first := measure.Length(math.MaxInt64), lying{}
		for _, l := range f.lyings(left) {
			if l.w > high {
				continue
			}
			if p := f.clear(x, y, l); p+l.l <= f.sheet.Length && (p < at || p == at && l.w == first.w && l.l > first.l) {
				at, first = p, l
			}
		}
		if first.l == 0 {
			return out, left
		}
		put := func(l lying, y measure.Length) {
			out = append(out, guillotine.Placed{Item: f.items[l.item].ID, Rect: guillotine.Rect{X: at, Y: y, Length: l.l, Width: l.w}, Turned: l.turned})
			left[l.item]--
		}
		put(first, y)
		for up := y + first.w + f.kerf; ; {
			ls := f.lyings(left)
			n := slices.IndexFunc(ls, func(l lying) bool {
				return l.l <= first.l && up+l.w <= y+high && f.clear(at, up, l) == at
			})
			if n < 0 {
				break
			}
			put(ls[n], up)
			up += ls[n].w + f.kerf
		}
		x = at + first.l + f.kerf
	}
}

// clear is the first place from x on where the blank lies off the defects.
func (f *shelving) clear(x, y measure.Length, l lying) measure.Length {
	for moved := true; moved; {
		moved = false
		for _, d := range f.sheet.Defects {
			if x < d.X+d.Length && d.X < x+l.l && y < d.Y+d.Width && d.Y < y+l.w {
				x, moved = d.X+d.Length, true
			}
		}
	}
	return x
}
