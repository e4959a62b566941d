package cutting

import (
	"pilewright/layout/cutting/pattern"
)

// oracle prices the boards of a reduced problem: lines from shared knapsack
// tables, other boards by sections and strips.
type oracle struct {
	r     *reduced
	lines pattern.Counter
	flat  *flat
	want  []bool
}

func (r *reduced) oracle() pattern.Oracle {
	l := &pattern.Lines{Safe: r.safe, Kerf: r.kc}
	classes := 0
	// Lines carry no covers: their items are the first rows.
	plain := 0
	for n := range r.rows {
		l.Size = append(l.Size, 1)
		if n < len(r.kinds) && r.kinds[n].row == n && !r.isCover(n) {
			l.Size[n], plain = r.kinds[n].l+r.kc, n+1
		}
	}
	for g := range r.groups {
		gr := &r.groups[g]
		var segs []int
		if gr.line {
			for _, s := range gr.segs {
				segs = append(segs, s.b-s.a+r.kc)
			}
		}
		l.Segs = append(l.Segs, segs)
		l.Class = append(l.Class, gr.class)
		classes = max(classes, gr.class+1)
	}
	l.Keep = r.segUse
	l.Allowed = make([][]bool, classes)
	for g := range r.groups {
		a := make([]bool, len(r.rows))
		copy(a, r.groups[g].allowed[:plain])
		l.Allowed[r.groups[g].class] = a
	}
	return &oracle{r: r, lines: pattern.NewLineOracle(l).(pattern.Counter), flat: newFlat(r), want: make([]bool, len(r.groups))}
}

// Price implements pattern.Oracle.
func (o *oracle) Price(pi []int64, limit []int, want []bool, value []int64) {
	any := false
	for g := range o.want {
		o.want[g] = want[g] && o.r.groups[g].line
		any = any || o.want[g]
	}
	if any {
		o.lines.Price(pi, limit, o.want, value)
	}
	any = false
	for g := range o.want {
		o.want[g] = want[g] && !o.r.groups[g].line
		any = any || o.want[g]
	}
	if any {
		o.flat.price(pi, limit, o.want, value)
	}
}

// Pattern implements pattern.Oracle.
func (o *oracle) Pattern(g int) *pattern.Column {
	if o.r.groups[g].line {
		return o.lines.Pattern(g)
	}
	return o.flat.pattern(g)
}

// Line implements pattern.Counter.
func (o *oracle) Line(g int) bool { return o.r.groups[g].line && o.lines.Line(g) }

// PriceBounded implements pattern.Counter.
func (o *oracle) PriceBounded(g int, b []pattern.CountBound, pi []int64, limit []int) (int64, *pattern.Column) {
	return o.lines.PriceBounded(g, b, pi, limit)
}

// Overuse implements pattern.Counter.
func (o *oracle) Overuse(g int, b []pattern.CountBound, pi []int64, limit []int) (seg, item, n int, ok bool) {
	return o.lines.Overuse(g, b, pi, limit)
}

// Loose implements pattern.Loosener.
func (o *oracle) Loose(on bool) {
	o.flat.loose = on
	o.lines.(pattern.Loosener).Loose(on)
}

// Keep implements pattern.Keeper.
func (o *oracle) Keep(scale int) {
	o.lines.(pattern.Keeper).Keep(scale)
	o.flat.keep = scale
}

// Size is a first guess of a blank's worth: its area with kerfs.
func (o *oracle) Size(i int) float64 {
	for n := i; n < len(o.r.kinds); n++ {
		if k := &o.r.kinds[n]; k.row == i {
			return float64(k.l+o.r.kc) * float64(k.w+o.r.kr) / float64(k.worth)
		}
	}
	return 1
}

// Work implements pattern.Oracle.
func (o *oracle) Work() int64 { return o.lines.Work() + o.flat.work }
