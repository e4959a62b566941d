package guillotine

import (
	"cmp"
	"context"
	"math/bits"
	"slices"
	"sort"
)

// A build is a guillotine pattern in its tightest rectangle: an item, or two
// builds side by side (across) or one above the other (along). Every limited
// pattern of the sheet is such a build, so listing all builds that may still
// lead to something better than the best is exact; listing only the most
// promising of each rectangle is a good heuristic with a bound. A build is
// dropped when its worth, at values less prices, and the most that the rest of
// the sheet can add do not beat the best; and when another with the same items
// fits in its rectangle. Rows of builds are made one by one from the left: the
// build added is never itself a row in the same direction.
type build struct {
	red    int64 // worth at values less prices, in sixty-fourths
	value  int64
	hash   uint64 // of the items, by addition
	a, b   int32  // parts; b < 0: the item of shape a
	i, j   int32  // its rectangle
	across bool
	stage  int8
}

type cell struct {
	all      []int32 // most worth first
	noAcross []int32
	noAlong  []int32
}

type candidate struct {
	red    int64
	a, b   int32
	across bool
}

type builder struct {
	*task
	ctx    context.Context
	x, y   *raster
	ny     int
	red    []int64 // reduced worth by kind
	paid   int64   // price of all copies
	rest   []int64 // most that surrounds a rectangle
	builds []build
	words  int
	counts []uint64 // words for each build
	word   []int    // place of each kind in them
	shift  []uint
	spare  []uint64 // added to a sum, sets a guard bit where there are too many
	guard  []uint64
	cells  []cell
	seen   map[uint64][]int32
	keep   int   // builds kept for a rectangle
	cut    int64 // best bound of what was dropped, in sixty-fourths
	best   int64
	top    candidate // the best pattern
	single int32     // or a build, when top.a < 0
	work   int64
	limit  int64
	full   int // most builds in all
	out    bool
	inCol  []int64 // most reduced worth of a build of each width
	inRow  []int64 // and of each height
}

const lots = int64(1) << 60

// maxBuilds keeps the search within some hundred megabytes.
const maxBuilds = 3_000_000

func (t *task) newBuilder(ctx context.Context, x, y *raster, price []int64, f *free, keep int) *builder {
	b := &builder{task: t, ctx: ctx, x: x, y: y, ny: len(y.at), keep: keep, seen: map[uint64][]int32{}, single: -1, top: candidate{a: -1}, full: maxBuilds}
	b.rest = f.around()
	b.cells = make([]cell, len(x.at)*b.ny)
	b.inCol, b.inRow = make([]int64, len(x.at)), make([]int64, b.ny)
	for i := range b.inCol {
		b.inCol[i] = -lots
	}
	for j := range b.inRow {
		b.inRow[j] = -lots
	}
	at := uint(0)
	b.words = 1
	for k, c := range t.count {
		b.red = append(b.red, t.value[k]*fine-price[k])
		b.paid += price[k] * c
		n := uint(bits.Len64(uint64(max(c, 1)))) + 1
		if at+n > 64 {
			b.words, at = b.words+1, 0
		}
		b.word, b.shift = append(b.word, b.words-1), append(b.shift, at)
		at += n
	}
	b.spare, b.guard = make([]uint64, b.words), make([]uint64, b.words)
	for k, c := range t.count {
		n := uint(bits.Len64(uint64(max(c, 1)))) + 1
		b.spare[b.word[k]] += (uint64(1)<<(n-1) - 1 - uint64(c)) << b.shift[k]
		b.guard[b.word[k]] |= uint64(1) << (n - 1) << b.shift[k]
	}
	return b
}

// mixed spreads the bits of a number; the sum of such numbers names a multiset.
func mixed(k int) uint64 {
	z := uint64(k+1) * 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// run lists builds; it ends early at its limits, and says so in out.
func (b *builder) run() {
	items := map[int][]build{}
	for s, sh := range b.shapes {
		if b.count[sh.kind] == 0 {
			continue
		}
		i, j := b.x.index(sh.w), b.y.index(sh.h)
		items[i*b.ny+j] = append(items[i*b.ny+j], build{red: b.red[sh.kind], value: b.value[sh.kind], hash: mixed(sh.kind), a: int32(s), b: -1, i: int32(i), j: int32(j)})
	}
	var list []candidate
	for i := 1; i < len(b.x.at); i++ {
		for j := 1; j < b.ny; j++ {
			list = list[:0]
			b.across(i, j, &list)
			b.along(i, j, &list)
			b.settle(i, j, items[i*b.ny+j], list)
			if b.work > b.limit || len(b.builds) > b.full || b.ctx.Err() != nil {
				b.out = true
				return
			}
		}
	}
}

// needed is the least reduced worth with which a build of rectangle k can
// still lead to a better pattern.
func (b *builder) needed(k int) int64 {
	return (b.best+1)*fine - b.paid - b.rest[k]
}

func (b *builder) across(i, j int, list *[]candidate) {
	need := b.needed(i*b.ny + j)
	exact := b.x.exact[i]
	for a := 1; a < i; a++ {
		o := exact[a]
		if o < 1 {
			continue
		}
		b.work++
		if b.inCol[a]+b.inCol[o] < need {
			continue
		}
		left, right := b.cells[a*b.ny:(a+1)*b.ny], b.cells[int(o)*b.ny:(int(o)+1)*b.ny]
		if l := left[j].all; len(l) > 0 && b.builds[l[0]].red+b.inCol[o] >= need {
			for k := 1; k <= j; k++ {
				if len(right[k].noAcross) > 0 {
					b.join(left[j].all, right[k].noAcross, need, true, list)
				}
			}
			need = b.shorten(i*b.ny+j, need, list)
		}
		if r := right[j].noAcross; len(r) > 0 && b.builds[r[0]].red+b.inCol[a] >= need {
			for k := 1; k < j; k++ {
				if len(left[k].all) > 0 {
					b.join(left[k].all, right[j].noAcross, need, true, list)
				}
			}
			need = b.shorten(i*b.ny+j, need, list)
		}
		b.work += int64(j)
	}
}

func (b *builder) along(i, j int, list *[]candidate) {
	need := b.needed(i*b.ny + j)
	exact := b.y.exact[j]
	for a := 1; a < j; a++ {
		o := int(exact[a])
		if o < 1 {
			continue
		}
		b.work++
		if b.inRow[a]+b.inRow[o] < need {
			continue
		}
		if low := b.cells[i*b.ny+a].all; len(low) > 0 && b.builds[low[0]].red+b.inRow[o] >= need {
			for k := 1; k <= i; k++ {
				if high := b.cells[k*b.ny+o].noAlong; len(high) > 0 {
					b.join(low, high, need, false, list)
				}
			}
			need = b.shorten(i*b.ny+j, need, list)
		}
		if high := b.cells[i*b.ny+o].noAlong; len(high) > 0 && b.builds[high[0]].red+b.inRow[a] >= need {
			for k := 1; k < i; k++ {
				if low := b.cells[k*b.ny+a].all; len(low) > 0 {
					b.join(low, high, need, false, list)
				}
			}
			need = b.shorten(i*b.ny+j, need, list)
		}
		b.work += int64(i)
	}
}

// shorten keeps a list of candidates from growing far beyond what is kept of it;
// what it drops counts in the bound. It gives the worth needed from here on.
func (b *builder) shorten(k int, need int64, list *[]candidate) int64 {
	most := 16*b.keep + 1000
	if len(*list) < 2*most {
		return need
	}
	byRed(*list)
	last := (*list)[most].red
	b.cut = max(b.cut, last+b.rest[k]+b.paid)
	*list = (*list)[:most]
	return max(need, last)
}

// byRed sorts the most worth first, ties by the parts.
func byRed(list []candidate) {
	slices.SortFunc(list, func(x, y candidate) int {
		if c := cmp.Or(cmp.Compare(y.red, x.red), cmp.Compare(x.a, y.a), cmp.Compare(x.b, y.b)); c != 0 || x.across == y.across {
			return c
		}
		if x.across {
			return -1
		}
		return 1
	})
}

// join pairs two lists, both with the most worth first.
func (b *builder) join(p, q []int32, need int64, across bool, list *[]candidate) {
	for _, x := range p {
		if b.builds[x].red+b.builds[q[0]].red < need {
			return
		}
		for _, y := range q {
			b.work += 4
			red := b.builds[x].red + b.builds[y].red
			if red < need {
				break
			}
			if !b.enough(x, y) || b.stages(x, y, across) == 0 {
				continue
			}
			if v := b.builds[x].value + b.builds[y].value; v > b.best {
				b.best, b.top, b.single = v, candidate{red, x, y, across}, -1
			}
			*list = append(*list, candidate{red, x, y, across})
		}
	}
}

// enough is true when the copies of two builds together are there.
func (b *builder) enough(x, y int32) bool {
	p, q := b.counts[int(x)*b.words:], b.counts[int(y)*b.words:]
	for w := range b.words {
		if (p[w]+q[w]+b.spare[w])&b.guard[w] != 0 {
			return false
		}
	}
	return true
}

// stages is the number of stages of two builds joined, 0 when over the limit.
func (b *builder) stages(x, y int32, across bool) int8 {
	if b.opt.Stages <= 0 {
		return 1
	}
	s := max(b.stagesIn(x, across), b.stagesIn(y, across))
	if int(s) > b.opt.Stages {
		return 0
	}
	return s
}

func (b *builder) stagesIn(x int32, across bool) int8 {
	p := &b.builds[x]
	if p.b < 0 || p.across != across {
		return p.stage + 1
	}
	return p.stage
}

// settle keeps the best builds of a rectangle.
func (b *builder) settle(i, j int, items []build, list []candidate) {
	k := i*b.ny + j
	need := b.needed(k)
	for _, it := range items {
		if it.red < need && it.value <= b.best {
			continue
		}
		if it.value > b.best {
			b.best, b.single = it.value, int32(len(b.builds))
		}
		kind := b.shapes[it.a].kind
		b.add(it, func(c []uint64) { c[b.word[kind]] = 1 << b.shift[kind] })
	}
	byRed(list)
	need = b.needed(k)
	kept := 0
	for _, c := range list {
		if c.red < need {
			break
		}
		if kept >= b.keep {
			b.cut = max(b.cut, c.red+b.rest[k]+b.paid)
			break
		}
		p, q := &b.builds[c.a], &b.builds[c.b]
		x := build{red: c.red, value: p.value + q.value, hash: p.hash + q.hash, a: c.a, b: c.b, i: int32(i), j: int32(j), across: c.across, stage: b.stages(c.a, c.b, c.across)}
		if b.add(x, func(into []uint64) {
			u, v := b.counts[int(c.a)*b.words:], b.counts[int(c.b)*b.words:]
			for w := range into {
				into[w] = u[w] + v[w]
			}
		}) {
			kept++
		}
	}
	if c := &b.cells[k]; len(c.all) > 1 {
		byWorth := func(l []int32) {
			sort.SliceStable(l, func(p, q int) bool { return b.builds[l[p]].red > b.builds[l[q]].red })
		}
		byWorth(c.all)
		byWorth(c.noAcross)
		byWorth(c.noAlong)
	}
}

// add keeps a build unless one with the same items is as small.
func (b *builder) add(x build, fill func([]uint64)) bool {
	at := len(b.counts)
	for range b.words {
		b.counts = append(b.counts, 0)
	}
	fill(b.counts[at:])
	for _, o := range b.seen[x.hash] {
		p := &b.builds[o]
		if p.i <= x.i && p.j <= x.j && b.noHarder(p, &x) && b.same(int(o), at) {
			b.counts = b.counts[:at]
			return false
		}
	}
	n := int32(len(b.builds))
	b.builds = append(b.builds, x)
	b.seen[x.hash] = append(b.seen[x.hash], n)
	b.inCol[x.i], b.inRow[x.j] = max(b.inCol[x.i], x.red), max(b.inRow[x.j], x.red)
	c := &b.cells[int(x.i)*b.ny+int(x.j)]
	c.all = append(c.all, n)
	if x.b < 0 || !x.across {
		c.noAcross = append(c.noAcross, n)
	}
	if x.b < 0 || x.across {
		c.noAlong = append(c.noAlong, n)
	}
	return true
}

func (b *builder) same(o, at int) bool {
	for w := range b.words {
		if b.counts[o*b.words+w] != b.counts[at+w] {
			return false
		}
	}
	return true
}

// noHarder is true when p takes no more stages than x wherever it is put.
func (b *builder) noHarder(p, x *build) bool {
	if b.opt.Stages <= 0 || p.b < 0 {
		return true
	}
	in := func(v *build, across bool) int8 {
		if v.b < 0 || v.across != across {
			return v.stage + 1
		}
		return v.stage
	}
	return in(p, true) <= in(x, true) && in(p, false) <= in(x, false)
}

// bound is what no pattern beats: the best, or what was dropped.
func (b *builder) bound() int64 {
	if b.out {
		return int64(1) << 62
	}
	return max(b.best, b.cut/fine)
}

// pattern is the best pattern found, nil when there is none.
func (b *builder) pattern() *node {
	switch {
	case b.single >= 0:
		return b.nodeOf(b.single)
	case b.top.a < 0:
		return nil
	}
	return b.joined(b.top.a, b.top.b, b.top.across)
}

func (b *builder) nodeOf(n int32) *node {
	x := b.builds[n]
	if x.b < 0 {
		s := b.shapes[x.a]
		return &node{shape: int(x.a), w: s.w, h: s.h}
	}
	return b.joined(x.a, x.b, x.across)
}

func (b *builder) joined(p, q int32, across bool) *node {
	u, v := b.nodeOf(p), b.nodeOf(q)
	if across {
		return &node{across: true, parts: []*node{u, v}, w: u.w + v.w, h: max(u.h, v.h)}
	}
	return &node{parts: []*node{u, v}, w: max(u.w, v.w), h: u.h + v.h}
}
