package cutting

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"sync"

	"pilewright/layout/cutting/pattern"
	"pilewright/plan/measure"
)

// reduced is a problem in whole units: equal blanks are one kind, equal boards
// one group.
type reduced struct {
	p      *Problem
	ux, uy int64 // nm in one unit along and across
	kc, kr int   // kerfs in units
	safe   int
	// of leftovers: the grain of their use in nm, the least length in units along,
	// rounded up, and the least width of a strip in units across
	grain             int64
	keepMin, keepWide int
	kinds             []kind
	rows              []demandRow // what is demanded: one a kind of blank, then one a cover
	groups            []group
	// over, when not nil, says that the solve is over and pricing may stop.
	over func() bool

	mu      sync.Mutex
	surveys []*flatBoard // by group, shared by all oracles
}

// kind is blanks that are cut alike: those of the row of the same index, or the
// strips of one width of a cover, each worth so many units of its row.
type kind struct {
	l, w   int
	hidden bool
	items  []int // of Problem.Items
	count  int   // copies that can be of use
	row    int
	worth  int
}

// demandRow is one demand, in blanks or in units of a cover.
type demandRow struct {
	items []int
	need  int
}

// demand is the rows' needs.
func (r *reduced) demand() []int {
	d := make([]int, len(r.rows))
	for n := range r.rows {
		d[n] = r.rows[n].need
	}
	return d
}

// copies is how many of a kind are of use when a row still needs so much.
func (k *kind) copies(left int) int { return (left + k.worth - 1) / k.worth }

// group is boards that are alike in everything but their marks.
type group struct {
	boards  []int // of Problem.Boards
	allowed []bool
	x0, x1  int // usable length
	w       int
	hard    []box  // defects no piece may contain
	soft    []box  // defects only hidden pieces may contain
	line    bool   // crosscuts only: clear runs are segments
	segs    []span // of a line
	class   int    // equal allowed vectors
	all     []box  // every defect
	lame    int    // where the last defect ends, along
	bare    int    // where the highest defect ends, across
	clean   []int  // of a line: how far defects that do not matter reach into a segment
}

type box struct{ x0, x1, y0, y1 int }

type span struct{ a, b int }

func gcdOf(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// unitOf is a divisor of a common divisor: areas of two must not overflow.
func unitOf(g int64) int64 {
	if g > int64(measure.Metre) {
		g = gcdOf(g, int64(measure.Metre))
	}
	return max(g, 1)
}

// reduce makes whole units of the problem.
func reduce(p *Problem) *reduced {
	r := &reduced{p: p}
	gx, gy := int64(p.CrosscutKerf), int64(p.RipKerf)
	gx = gcdOf(gx, int64(p.MinSafeLength))
	for _, b := range p.Boards {
		gx = gcdOf(gcdOf(gcdOf(gx, int64(b.Length)), int64(b.TrimLeft)), int64(b.TrimRight))
		gy = gcdOf(gy, int64(b.Width))
		for _, d := range b.Defects {
			gx = gcdOf(gcdOf(gx, int64(d.From)), int64(d.To))
			gy = gcdOf(gcdOf(gy, int64(d.AcrossFrom)), int64(d.AcrossTo))
		}
	}
	for _, it := range p.Items {
		gx, gy = gcdOf(gx, int64(it.Length)), gcdOf(gy, int64(it.Width))
		if it.Cover != nil {
			for _, w := range it.Cover.Widths {
				gy = gcdOf(gy, int64(w))
			}
		}
	}
	r.ux, r.uy = unitOf(gx), unitOf(gy)
	r.grain = int64(p.Grain())
	r.keepMin, r.keepWide = int((int64(p.LeftoverMin)+r.ux-1)/r.ux), int((int64(p.narrowest())+r.uy-1)/r.uy)
	r.kc, r.kr, r.safe = r.x(p.CrosscutKerf), r.y(p.RipKerf), r.x(p.MinSafeLength)
	r.mergeItems()
	r.mergeBoards()
	return r
}

func (r *reduced) ended() bool { return r.over != nil && r.over() }

func (r *reduced) x(l measure.Length) int { return int(int64(l) / r.ux) }
func (r *reduced) y(l measure.Length) int { return int(int64(l) / r.uy) }

func (r *reduced) mergeItems() {
	at := map[string]int{}
	for k, it := range r.p.Items {
		if it.Count == 0 {
			continue
		}
		not := append([]string(nil), it.NotOn...)
		sort.Strings(not)
		key := fmt.Sprint(it.Length, it.Width, it.Thickness, it.Hidden, "|", it.Species, "|", it.OnBoard, "|", strings.Join(not, "|"))
		n, ok := at[key]
		if !ok {
			n = len(r.kinds)
			at[key] = n
			r.kinds = append(r.kinds, kind{l: r.x(it.Length), w: r.y(it.Width), hidden: it.Hidden, row: n, worth: 1})
		}
		r.kinds[n].items = append(r.kinds[n].items, k)
		r.kinds[n].count += it.Count
	}
	for _, k := range r.kinds {
		r.rows = append(r.rows, demandRow{k.items, k.count})
	}
	for n, it := range r.p.Items {
		if it.Cover == nil {
			continue
		}
		w := demandRow{[]int{n}, it.Cover.need()}
		for _, width := range it.Cover.Widths {
			k := kind{l: r.x(it.Length), w: r.y(width), hidden: it.Hidden, items: w.items, row: len(r.rows), worth: it.Cover.worth(width)}
			k.count = k.copies(w.need)
			r.kinds = append(r.kinds, k)
		}
		r.rows = append(r.rows, w)
	}
}

// suits reports whether a board may carry a blank, length and width aside.
func (r *reduced) suits(b *Board, it *Item) bool {
	if b.Closed || (it.Species != "" && it.Species != b.Species) || (it.OnBoard != "" && it.OnBoard != b.ID) {
		return false
	}
	if it.Thickness > 0 && (b.Thickness < it.Thickness || (r.p.MaxPlaneOff > 0 && b.Thickness-it.Thickness > r.p.MaxPlaneOff)) {
		return false
	}
	for _, id := range it.NotOn {
		if id == b.ID {
			return false
		}
	}
	return true
}

func (r *reduced) mergeBoards() {
	at := map[string]int{}
	classes := map[string]int{}
	for k := range r.p.Boards {
		b := &r.p.Boards[k]
		g := group{x0: r.x(b.TrimLeft), x1: r.x(b.Length - b.TrimRight), w: r.y(b.Width), allowed: make([]bool, len(r.kinds))}
		if b.Closed || g.x1 <= g.x0 {
			continue
		}
		any, hidden, visible := false, false, false
		suited := make([]bool, len(r.kinds))
		for n := range r.kinds {
			q := &r.kinds[n]
			suited[n] = r.suits(b, &r.p.Items[q.items[0]])
			if suited[n] && q.l <= g.x1-g.x0 && q.w <= g.w {
				g.allowed[n] = true
				any = true
				hidden = hidden || q.hidden
				visible = visible || !q.hidden
			}
		}
		if !any {
			continue
		}
		for _, d := range b.Defects {
			y1 := r.y(d.AcrossTo)
			if d.AcrossTo == 0 {
				y1 = g.w
			}
			bx := box{r.x(d.From), r.x(d.To), r.y(d.AcrossFrom), y1}
			// The cut that removes a narrow defect is one kerf wide.
			if bx.x1-bx.x0 < r.kc {
				if bx.x1 = bx.x0 + r.kc; bx.x1 > r.x(b.Length) {
					bx.x0, bx.x1 = bx.x1-r.kc, r.x(b.Length)
					bx.x0 = bx.x1 - r.kc
				}
			}
			g.all = append(g.all, bx)
			g.lame, g.bare = max(g.lame, min(bx.x1, g.x1)), max(g.bare, bx.y1)
			switch {
			case !d.HiddenOK || !hidden:
				g.hard = append(g.hard, bx)
			case visible:
				g.soft = append(g.soft, bx)
			}
		}
		byPlace := func(s []box) {
			sort.Slice(s, func(i, j int) bool {
				a, b := s[i], s[j]
				if a.x0 != b.x0 {
					return a.x0 < b.x0
				}
				if a.y0 != b.y0 {
					return a.y0 < b.y0
				}
				if a.x1 != b.x1 {
					return a.x1 < b.x1
				}
				return a.y1 < b.y1
			})
		}
		byPlace(g.hard)
		byPlace(g.soft)
		byPlace(g.all)
		r.shape(&g)
		if !g.line { // what is too large is left out by its size: more boards share tables
			g.allowed = suited
		}
		mask := maskOf(g.allowed)
		key := fmt.Sprint(g.x0, g.x1, g.w, b.Width, b.Length, b.Price, b.KeepWhole, g.hard, g.soft, g.all, mask)
		n, ok := at[key]
		if !ok {
			c, known := classes[mask]
			if !known {
				c = len(classes)
				classes[mask] = c
			}
			g.class = c
			n = len(r.groups)
			at[key] = n
			r.groups = append(r.groups, g)
		}
		r.groups[n].boards = append(r.groups[n].boards, k)
	}
}

// isCover reports whether a kind is a width of a cover.
func (r *reduced) isCover(k int) bool { return r.p.Items[r.kinds[k].items[0]].Cover != nil }

// maskOf is a key of equal vectors.
func maskOf(allowed []bool) string {
	b := make([]byte, len(allowed))
	for k, ok := range allowed {
		if ok {
			b[k] = 1
		}
	}
	return string(b)
}

// shape decides whether the board is a line of full-width segments: no two of
// its blanks fit side by side, none can pass beside a defect, no soft defects.
func (r *reduced) shape(g *group) {
	narrow, second := math.MaxInt, math.MaxInt
	for n, ok := range g.allowed {
		if ok {
			w := r.kinds[n].w
			if w < narrow {
				narrow, second = w, narrow
			} else if w < second {
				second = w
			}
			if r.kinds[n].count > 1 {
				second = min(second, w)
			}
		}
	}
	covers := false
	for n, ok := range g.allowed {
		covers = covers || ok && r.isCover(n)
	}
	g.line = !covers && len(g.soft) == 0 && (second == math.MaxInt || narrow+r.kr+second > g.w)
	if r.kinds != nil && g.line {
		for _, d := range g.hard {
			if d.y0 >= narrow || g.w-d.y1 >= narrow {
				g.line = false
			}
		}
	}
	if g.line {
		g.segs = clearRuns(g.x0, g.x1, g.hard, r.kc)
		for n := range g.segs {
			g.clean = append(g.clean, g.stained(n))
		}
	}
}

// clearRuns are the runs of [a,b) that no box touches along x; a run begins at
// least one kerf after the one before.
func clearRuns(a, b int, boxes []box, kerf int) []span {
	spans := make([]span, 0, len(boxes))
	for _, d := range boxes {
		spans = append(spans, span{d.x0, d.x1})
	}
	return gaps(a, b, spans, kerf)
}

// gaps are the runs of [a,b) outside the spans.
func gaps(a, b int, blocked []span, kerf int) []span {
	sort.Slice(blocked, func(i, j int) bool { return blocked[i].a < blocked[j].a })
	var out []span
	at := a
	for _, s := range blocked {
		if s.a > at && min(s.a, b) > at {
			out = append(out, span{at, min(s.a, b)})
			at = max(s.b, min(s.a, b)+kerf)
		}
		at = max(at, s.b)
	}
	if at < b {
		out = append(out, span{at, b})
	}
	return out
}

// tooFine reports sizes whose common unit is so small that sums of areas would
// not be exact.
func (r *reduced) tooFine() error {
	total := 0.0
	for _, b := range r.p.Boards {
		total += float64(int64(b.Length)/r.ux) * float64(int64(b.Width)/r.uy)
	}
	if total <= 1e15 {
		return nil
	}
	var errs InputErrors
	odd := func(l measure.Length) bool { return l%measure.SixtyFourth != 0 && l%(measure.Millimetre/100) != 0 }
	look := func(row, field string, board, item int, l measure.Length) {
		if odd(l) {
			errs = append(errs, InputError{row, field, show(l) + " is given too finely to be added exactly; round it to 1/64 in or 0.01 mm", board, item})
		}
	}
	for k, b := range r.p.Boards {
		look("board "+b.ID, "length", k+1, 0, b.Length)
		look("board "+b.ID, "width", k+1, 0, b.Width)
		look("board "+b.ID, "left trim", k+1, 0, b.TrimLeft)
		look("board "+b.ID, "right trim", k+1, 0, b.TrimRight)
		for n, d := range b.Defects {
			for _, l := range []measure.Length{d.From, d.To, d.AcrossFrom, d.AcrossTo} {
				look("board "+b.ID, fmt.Sprintf("defect %d", n+1), k+1, 0, l)
			}
		}
	}
	for k, it := range r.p.Items {
		look("blank "+it.ID, "length", 0, k+1, it.Length)
		look("blank "+it.ID, "width", 0, k+1, it.Width)
		if it.Cover != nil {
			for _, w := range it.Cover.Widths {
				look("blank "+it.ID, "cover", 0, k+1, w)
			}
		}
	}
	look("saw", "crosscut kerf", 0, 0, r.p.CrosscutKerf)
	look("saw", "rip kerf", 0, 0, r.p.RipKerf)
	if len(errs) == 0 {
		errs = InputErrors{{Row: "pile", Field: "sizes", Say: "are too many and too fine to be added exactly; round them to 1/16 in or 1 mm"}}
	}
	return errs
}

// cost is what a group's board counts in an aim, in nm², nm, prices or one.
func (r *reduced) cost(a Aim, g int) int64 {
	b := &r.p.Boards[r.groups[g].boards[0]]
	switch a {
	case AimKept:
		if b.KeepWhole {
			return 1
		}
		return 0
	case AimMoney:
		return b.Price
	case AimWood:
		// In products of units; tooFine keeps their sums exact.
		return (int64(b.Length) / r.ux) * (int64(b.Width) / r.uy)
	case AimBoards:
		return 1
	case AimLength:
		return int64(b.Length)
	case AimLeftovers:
		return r.boardUse(g)
	}
	return 0
}

// costs are the groups' costs in an aim, divided by their common unit.
func (r *reduced) costs(a Aim) (c []int64, unit int64) {
	c = make([]int64, len(r.groups))
	g := int64(0)
	for k := range r.groups {
		c[k] = r.cost(a, k)
		g = gcdOf(g, c[k])
	}
	if g == 0 || a == AimLeftovers { // leftovers are no multiples
		return c, 1
	}
	if a == AimWood && g > math.MaxInt64/(r.ux*r.uy) {
		g = 1 // what one of a level's units is must be told in nm²
	}
	for k := range c {
		c[k] /= g
	}
	if a == AimWood {
		return c, g * r.ux * r.uy
	}
	return c, g
}

// modelOf states one level.
func (r *reduced) modelOf(a Aim, demand []int, weights [][]int64, budgets []int64) *pattern.Model {
	cost, _ := r.costs(a)
	m := r.model(demand, cost, weights, budgets)
	if a == AimLeftovers {
		m.Rest = r.rest
	}
	return m
}

// model states a level of boards.
func (r *reduced) model(demand []int, cost []int64, weights [][]int64, budgets []int64) *pattern.Model {
	m := &pattern.Model{Demand: demand, Budgets: budgets, Oracle: r.oracle}
	for g := range r.groups {
		gr := pattern.Group{Cost: cost[g], Supply: len(r.groups[g].boards)}
		for _, w := range weights {
			gr.Weight = append(gr.Weight, w[g])
		}
		m.Groups = append(m.Groups, gr)
	}
	return m
}
