package guillotine

import (
	"sort"

	"pilewright/plan/measure"
)

// shape is a type of item in one orientation, kerf added on both sizes.
type shape struct {
	w, h   int64
	kind   int
	turned bool
}

// task is a question in whole multiples of the unit, the greatest common
// divisor of all sizes. The kerf is added to every item and once to the sheet,
// which is exact for cuts that run through: each item is followed by a kerf and
// the last one lies beyond the edge.
type task struct {
	sheet  Sheet
	items  []Item
	opt    Options
	unit   int64
	kerf   int64
	w, h   int64
	value  []int64
	count  []int64 // most copies that can be on one sheet
	shapes []shape
	bad    []box // defects
}

type box struct{ x, y, w, h int64 }

func newTask(s Sheet, items []Item, opt Options) *task {
	t := &task{sheet: s, items: items, opt: opt}
	var g int64
	use := func(v measure.Length) {
		a := int64(v)
		for a != 0 {
			g, a = a, g%a
		}
	}
	use(s.Length)
	use(s.Width)
	use(opt.Kerf)
	for _, i := range items {
		use(i.Length)
		use(i.Width)
	}
	for _, d := range s.Defects {
		use(d.X)
		use(d.Y)
		use(d.Length)
		use(d.Width)
	}
	t.unit = g
	in := func(v measure.Length) int64 { return int64(v) / g }
	t.kerf = in(opt.Kerf)
	t.w, t.h = in(s.Length)+t.kerf, in(s.Width)+t.kerf
	for _, d := range s.Defects {
		t.bad = append(t.bad, box{in(d.X), in(d.Y), in(d.Length), in(d.Width)})
	}
	for k, i := range items {
		w, h := in(i.Length), in(i.Width)
		v := i.Value
		if v == 0 {
			v = w * h
		}
		t.value = append(t.value, v)
		var most int64
		add := func(w, h int64, turned bool) {
			w, h = w+t.kerf, h+t.kerf
			if w > t.w || h > t.h {
				return
			}
			t.shapes = append(t.shapes, shape{w, h, k, turned})
			most = max(most, (t.w*t.h)/(w*h))
		}
		add(w, h, false)
		if i.Turn && w != h {
			add(h, w, true)
		}
		if i.Count > 0 {
			most = min(most, int64(i.Count))
		}
		t.count = append(t.count, most)
	}
	return t
}

// unlimited is true when no item is limited below what fits.
func (t *task) unlimited() bool {
	for k, i := range t.items {
		if i.Count > 0 && int64(i.Count) <= t.count[k] {
			return false
		}
	}
	return true
}

// raster holds the positions worth cutting at: sums of item sizes.
type raster struct {
	at    []int64
	below [][]int32 // below[i][a] = last position not above at[i]-at[a]
	exact [][]int32 // the same, or -1 where at[i]-at[a] is no position
}

// maxRaster keeps the tables of a task within memory.
const maxRaster = 1600

// sums lists the sums of sizes up to limit, each size used at most its count.
func sums(limit int64, size func(shape) int64, t *task) []int64 {
	type entry struct {
		kind int
		size int64
	}
	var list []entry
	copies := map[entry]int64{}
	for _, s := range t.shapes {
		e := entry{s.kind, size(s)}
		if copies[e] == 0 {
			list = append(list, e)
		}
		copies[e] = t.count[s.kind]
	}
	// A type that may be turned gives each of its sizes its whole count: more
	// positions than needed, never fewer.
	reached := map[int64]bool{0: true}
	at := []int64{0}
	for _, e := range list {
		grown := at
		front := at
		for c := int64(0); c < copies[e] && len(front) > 0; c++ {
			var next []int64
			for _, x := range front {
				if y := x + e.size; y <= limit && !reached[y] {
					reached[y] = true
					next = append(next, y)
				}
			}
			grown = append(grown, next...)
			front = next
			if len(grown) > 4*maxRaster {
				return grown
			}
		}
		at = grown
	}
	sort.Slice(at, func(i, k int) bool { return at[i] < at[k] })
	return at
}

func newRaster(at []int64) raster {
	r := raster{at: at}
	n := len(at)
	r.below = make([][]int32, n)
	r.exact = make([][]int32, n)
	for i := range n {
		r.below[i] = make([]int32, i+1)
		r.exact[i] = make([]int32, i+1)
		k := i
		for a := 0; a <= i; a++ {
			for at[k] > at[i]-at[a] {
				k--
			}
			r.below[i][a], r.exact[i][a] = int32(k), -1
			if at[k] == at[i]-at[a] {
				r.exact[i][a] = int32(k)
			}
		}
	}
	return r
}

// index is the position x itself; x is one.
func (r *raster) index(x int64) int {
	return sort.Search(len(r.at), func(i int) bool { return r.at[i] >= x })
}
