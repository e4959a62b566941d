package cutting

import (
	"sort"

	"pilewright/layout/cutting/knapsack"
	"pilewright/layout/cutting/pattern"
)

// A flat board is cut in one of two ways, each at most three cuts deep:
// across first, into sections that are ripped into strips, or along first, into
// strips that are crosscut; a piece smaller than its section or strip is
// trimmed. Inside a section (strip) only the runs across (along) that no defect
// touches are used, so a section or strip is again a line of clear runs, and
// all boards share one knapsack table a section length (strip width).
//
// The values of sections and strips depend on prices, the runs do not: they
// are found once a board.
type flat struct {
	r      *reduced
	boards []*flatBoard // by group, nil for lines
	class  []*flatClass
	work   int64
	loose  bool // patterns as valued, with more copies than the limit
	pi     []int64
	limit  []int
	items  []knapsack.Item
	scrap  knapsack.List
	// scrapTrains is scrap where short pieces need a train.
	scrapTrains knapsack.Trains
	g           []int64 // graded: best from a place on
	from        []int32 // graded: blank that begins there, -1 none
	pieces      []gradedPiece
}

// run is a stretch clear of hard defects, and the soft ones in it.
type run struct {
	a, b int
	soft []span
}

// flatBoard is the geometry of one board.
type flatBoard struct {
	g     int
	xs    []int     // section starts, ascending, then the end
	lens  []int     // section lengths, descending
	secAt [][]int32 // by start and length: index in runs, -1 when too long
	next  [][]int32 // by start and length: the next start
	ys    []int
	wids  []int
	strAt [][]int32
	nextY [][]int32
	runs  [][]run // distinct run lists
	f     []int64 // by section start
	fb    []int32 // chosen length, -1: go on
	gy    []int64
	gb    []int32
	down  bool // the last price preferred strips
}

// flatClass is the tables of boards that carry the same blanks.
type flatClass struct {
	allowed []bool
	lens    []int // distinct blank lengths
	wids    []int
	across  []knapsack.Table  // by length: blanks no longer than it, ripped
	along   []knapsack.Filler // by width
	acrossI [][]int
	alongI  [][]int
	maxW    int
	maxL    int
	fresh   bool
}

// maxStarts bounds the section starts of a board, maxCells those of all boards
// times their lengths; with more, sections are tried at fewer places.
const (
	maxStarts = 6000
	maxCells  = 12_000_000
)

func newFlat(r *reduced) *flat {
	f := &flat{r: r, boards: make([]*flatBoard, len(r.groups)), scrapTrains: knapsack.Trains{Safe: r.safe, Kerf: r.kc}}
	for g := range r.groups {
		gr := &r.groups[g]
		if gr.line {
			continue
		}
		for len(f.class) <= gr.class {
			f.class = append(f.class, nil)
		}
		c := f.class[gr.class]
		if c == nil {
			c = &flatClass{allowed: gr.allowed}
			c.lens = r.distinct(gr.allowed, func(k *kind) int { return k.l })
			c.wids = r.distinct(gr.allowed, func(k *kind) int { return k.w })
			c.across, c.along = make([]knapsack.Table, len(c.lens)), make([]knapsack.Filler, len(c.wids))
			for n := range c.along {
				c.along[n] = &knapsack.Table{}
				if r.safe > 0 {
					c.along[n] = &knapsack.Trains{Safe: r.safe, Kerf: r.kc}
				}
			}
			c.acrossI, c.alongI = make([][]int, len(c.lens)), make([][]int, len(c.wids))
			f.class[gr.class] = c
		}
		c.maxW = max(c.maxW, gr.w)
		c.maxL = max(c.maxL, gr.x1-gr.x0)
		f.boards[g] = r.surveyed(g, c)
	}
	return f
}

// tables fills a class's knapsacks.
func (f *flat) tables(c *flatClass) {
	c.fresh = true
	pick := func(fits func(k *kind) bool, size func(k *kind) int) (index []int) {
		f.items = f.items[:0]
		for n := range f.r.kinds {
			k := &f.r.kinds[n]
			if c.allowed[n] && f.limit[n] > 0 && f.pi[n] > 0 && fits(k) {
				f.items = append(f.items, knapsack.Item{Size: size(k), Limit: f.limit[n], Value: f.pi[n]})
				index = append(index, n)
			}
		}
		return index
	}
	for n, l := range c.lens {
		c.acrossI[n] = pick(func(k *kind) bool { return k.l <= l }, func(k *kind) int { return k.w + f.r.kr })
		before := c.across[n].Work()
		c.across[n].Fill(c.maxW+f.r.kr, f.items)
		f.work += c.across[n].Work() - before
	}
	for n, w := range c.wids {
		c.alongI[n] = pick(func(k *kind) bool { return k.w <= w }, func(k *kind) int { return k.l + f.r.kc })
		if _, dense := c.along[n].(*knapsack.Table); dense && c.maxL > 25_000 {
			c.along[n] = &knapsack.List{} // fine units: only sums that occur
		}
		before := c.along[n].Work()
		c.along[n].Fill(c.maxL+f.r.kc, f.items)
		f.work += c.along[n].Work() - before
	}
}

// lenTable is the class's table for sections of length l: blanks no longer.
func (c *flatClass) lenTable(l int) int {
	for n, v := range c.lens {
		if v <= l {
			return n
		}
	}
	return -1
}

func (f *flat) price(pi []int64, limit []int, want []bool, value []int64) {
	f.pi, f.limit = pi, limit
	for _, c := range f.class {
		if c != nil {
			c.fresh = false
		}
	}
	for g, b := range f.boards {
		if b == nil || !want[g] {
			continue
		}
		c := f.class[f.r.groups[g].class]
		if !c.fresh {
			f.tables(c)
		}
		va := b.best(b.xs, b.lens, b.secAt, b.next, b.f, b.fb, f.active(c, b.lens, true), func(k int, runs []run) int64 {
			n := c.lenTable(b.lens[k])
			v := int64(0)
			for _, s := range runs {
				if len(s.soft) > 0 {
					v += f.graded(&c.across[n], c.acrossI[n], s, f.r.kr, false)
				} else {
					v += c.across[n].Best(s.b - s.a + f.r.kr)
				}
			}
			return v
		})
		vb := b.best(b.ys, b.wids, b.strAt, b.nextY, b.gy, b.gb, f.active(c, b.wids, false), func(k int, runs []run) int64 {
			n := c.widTable(b.wids[k])
			v := int64(0)
			for _, s := range runs {
				if len(s.soft) > 0 {
					v += f.graded(c.along[n], c.alongI[n], s, f.r.kc, true)
				} else {
					v += c.along[n].Best(s.b - s.a + f.r.kc)
				}
			}
			return v
		})
		f.work += int64(len(b.xs)*len(b.lens) + len(b.ys)*len(b.wids))
		b.down = vb > va
		value[g] = max(va, vb)
	}
}

func (c *flatClass) widTable(w int) int {
	for n, v := range c.wids {
		if v == w {
			return n
		}
	}
	return -1
}

// active are the section lengths (strip widths) that some blank worth cutting
// has: sections of other lengths can only waste.
func (f *flat) active(c *flatClass, sizes []int, along bool) []int {
	var out []int
	for k, s := range sizes {
		for n := range f.r.kinds {
			size := f.side(n, along)
			if along {
				size = max(size, f.r.safe)
			}
			if size == s && c.allowed[n] && f.limit[n] > 0 && f.pi[n] > 0 {
				out = append(out, k)
				break
			}
		}
	}
	return out
}

// best is the dynamic program over starts: the greatest total of sections.
func (b *flatBoard) best(at, sizes []int, where, next [][]int32, f []int64, choice []int32, active []int, worth func(k int, runs []run) int64) int64 {
	cache := make([]int64, len(b.runs)*len(sizes))
	for k := range cache {
		cache[k] = -1
	}
	n := len(at)
	f[n] = 0
	for x := n - 1; x >= 0; x-- {
		v, c := f[x+1], int32(-1)
		lists, nexts := where[x], next[x]
		for _, k := range active {
			list := lists[k]
			if list < 0 {
				continue
			}
			w := &cache[int(list)*len(sizes)+k]
			if *w < 0 {
				*w = worth(k, b.runs[list])
			}
			if t := *w + f[nexts[k]]; t > v {
				v, c = t, int32(k)
			}
		}
		f[x], choice[x] = v, c
	}
	return f[0]
}

// pattern rebuilds the best pattern of the last price: parts carry their corner
// in units; Seg is 0 for sections, 1 for strips.
func (f *flat) pattern(g int) *pattern.Column {
	b := f.boards[g]
	c := f.class[f.r.groups[g].class]
	left := append([]int(nil), f.limit...)
	if f.loose {
		for i := range left {
			left[i] = 1 << 30
		}
	}
	var parts []pattern.Part
	// line fills the runs of one section or strip with what is left.
	line := func(t knapsack.Filler, index []int, runs []run, kerf int, along bool, put func(n, at int)) {
		for _, s := range runs {
			if len(s.soft) > 0 {
				f.graded(t, index, s, kerf, along)
				x, end := s.a, s.a+s.tail()
				for x < end {
					k := f.from[x-s.a]
					if k < 0 {
						x++
						continue
					}
					i := index[k]
					if left[i] > 0 {
						left[i]--
						put(i, x)
					}
					x += f.side(i, along) + kerf
				}
				if s.a = x; s.a >= s.b {
					continue
				}
			}
			counts := make([]int, len(index))
			t.Take(s.b-s.a+kerf, counts)
			for k, n := range counts {
				if n > left[index[k]] {
					f.items = f.items[:0]
					for _, i := range index {
						f.items = append(f.items, knapsack.Item{Size: f.side(i, along) + kerf, Limit: left[i], Value: f.pi[i]})
					}
					clear(counts)
					var again knapsack.Filler = &f.scrap
					if along && f.r.safe > 0 {
						again = &f.scrapTrains
					}
					before := again.Work()
					again.Fill(s.b-s.a+kerf, f.items)
					again.Take(s.b-s.a+kerf, counts)
					f.work += again.Work() - before
					break
				}
			}
			at := s.a
			order := make([]int, 0, len(counts))
			for k, n := range counts {
				for range n {
					order = append(order, index[k])
				}
			}
			sort.SliceStable(order, func(a, b int) bool { return f.side(order[a], along) > f.side(order[b], along) })
			for _, i := range order {
				left[i]--
				put(i, at)
				at += f.side(i, along) + kerf
			}
		}
	}
	if r := f.r; b.down {
		for y := 0; y < len(b.ys); {
			k := b.gb[y]
			if k < 0 {
				y++
				continue
			}
			n := c.widTable(b.wids[k])
			line(c.along[n], c.alongI[n], b.runs[b.strAt[y][k]], r.kc, true, func(i, x int) {
				parts = append(parts, pattern.Part{Item: i, N: 1, Seg: 1, X: int64(x), Y: int64(b.ys[y])})
			})
			y = int(b.nextY[y][k])
		}
	} else {
		for x := 0; x < len(b.xs); {
			k := b.fb[x]
			if k < 0 {
				x++
				continue
			}
			n := c.lenTable(b.lens[k])
			line(&c.across[n], c.acrossI[n], b.runs[b.secAt[x][k]], r.kr, false, func(i, y int) {
				parts = append(parts, pattern.Part{Item: i, N: 1, Seg: 0, X: int64(b.xs[x]), Y: int64(y)})
			})
			x = int(b.next[x][k])
		}
	}
	if len(parts) == 0 {
		return nil
	}
	return pattern.NewColumn(g, parts)
}

// side is a blank's size along or across.
func (f *flat) side(i int, along bool) int {
	if along {
		return f.r.kinds[i].l
	}
	return f.r.kinds[i].w
}

// graded fills a run that holds soft defects: behind the last of them from the
// table t, before it place by place, hidden blanks anywhere and others clear of
// defects. Place by place it does not know how many copies are left, so its
// value is an upper bound; there, short pieces that need a train are left out.
func (f *flat) graded(t knapsack.Filler, index []int, s run, kerf int, along bool) int64 {
	n := s.b - s.a
	if cap(f.g) < n+kerf+1 {
		f.g, f.from = make([]int64, n+kerf+1), make([]int32, n+kerf+1)
	}
	g, from := f.g[:n+kerf+1], f.from[:n+kerf+1]
	tail := s.tail()
	for x := n; x <= n+kerf; x++ {
		g[x] = 0
	}
	for x := n - 1; x >= tail; x-- {
		g[x] = t.Best(n - x + kerf)
	}
	f.pieces = f.pieces[:0]
	for k, i := range index {
		if size := f.side(i, along); size <= n && (!along || size >= f.r.safe) {
			f.pieces = append(f.pieces, gradedPiece{size, f.pi[i], f.r.kinds[i].hidden, int32(k)})
		}
	}
	for x := tail - 1; x >= 0; x-- {
		best, who := g[x+1], int32(-1)
		clear := n - x // length free of soft defects from here
		for _, d := range s.soft {
			if d.b > s.a+x {
				clear = min(clear, max(0, d.a-s.a-x))
			}
		}
		for k := range f.pieces {
			q := &f.pieces[k]
			if q.size > clear && (!q.hidden || q.size > n-x) {
				continue
			}
			if v := q.value + g[x+q.size+kerf]; v > best {
				best, who = v, q.at
			}
		}
		g[x], from[x] = best, who
	}
	f.work += int64(tail * len(index))
	return g[0]
}

// gradedPiece is what graded needs of a blank.
type gradedPiece struct {
	size   int
	value  int64
	hidden bool
	at     int32
}

// tail is where the part of a run behind its last soft defect begins.
func (s *run) tail() int {
	t := 0
	for _, d := range s.soft {
		t = max(t, min(d.b, s.b)-s.a)
	}
	return t
}
