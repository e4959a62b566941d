package cutting

import (
	"math/bits"
	"slices"
	"sort"

	"pilewright/layout/cutting/knapsack"
)

// run is a stretch clear of hard defects, and the soft ones in it.
type run struct {
	a, b int
	soft []span
}

// tail is where the part of a run behind its last soft defect begins.
func (s *run) tail() int {
	t := 0
	for _, d := range s.soft {
		t = max(t, min(d.b, s.b)-s.a)
	}
	return t
}

// axis is one way to divide a board: into sections along it, or strips across.
type axis struct {
	begin, end, kerf int
	sizes            []int    // descending
	stops            []int    // ends of defects behind begin, ascending
	runs             [][]mark // by size: the runs of sections by where they begin
	path             []step   // of the last sweep
}

// mark says that sections that begin at At or later have the run list Runs.
type mark struct{ at, runs int }

// step is a section (piece) of a path: its begin, and which size (piece) it is.
type step struct{ at, pick int }

// runsAt is the run list of a section of size k that begins at a place.
func (x *axis) runsAt(k, at int) int {
	m := x.runs[k]
	n := sort.Search(len(m), func(n int) bool { return m[n].at > at })
	return m[n-1].runs
}

// front is the best totals by the place reached. A place is kept only while no
// earlier one has as much: what can follow the later can follow the earlier.
type front struct {
	seen  []uint64 // bit set of places reached
	value []int64
	prev  []int32 // the place the last piece leaned on
	start []int32 // where it begins, -1 none
	pick  []int32
}

// open prepares places 0 to n-1, with begin reached.
func (w *front) open(n, begin int, stops []int) {
	if cap(w.value) < n {
		w.value, w.prev, w.start, w.pick = make([]int64, n), make([]int32, n), make([]int32, n), make([]int32, n)
		w.seen = make([]uint64, n/64+1)
	}
	w.seen = w.seen[:n/64+1]
	w.value, w.prev, w.start, w.pick = w.value[:n], w.prev[:n], w.start[:n], w.pick[:n]
	clear(w.seen)
	for _, s := range stops {
		w.seen[s>>6] |= 1 << (s & 63)
		w.value[s] = -1
	}
	w.seen[begin>>6] |= 1 << (begin & 63)
	w.value[begin], w.start[begin] = 0, -1
}

// reach notes a total v at place e, by a piece that begins at start.
func (w *front) reach(e int, v int64, prev, start, pick int) {
	if bit := uint64(1) << (e & 63); w.seen[e>>6]&bit == 0 {
		w.seen[e>>6] |= bit
	} else if w.value[e] >= v {
		return
	}
	w.value[e], w.prev[e], w.start[e], w.pick[e] = v, int32(prev), int32(start), int32(pick)
}

// path lists the pieces that led to a place, in order.
func (w *front) path(dst []step, p int) []step {
	dst = dst[:0]
	for ; p >= 0 && w.start[p] >= 0; p = int(w.prev[p]) {
		dst = append(dst, step{int(w.start[p]), int(w.pick[p])})
	}
	slices.Reverse(dst)
	return dst
}

// sweep is the greatest total of sections (strips) of a board; active are the
// sizes to use, ascending, worth their value on a run list. A section begins
// where the one before ended or where a defect ends: from anywhere else it can
// be moved towards the begin and touches no more defects there. rest, when not
// nil, is added for what lies behind the place reached; it falls along the board,
// and there must be a piece: the value is -1 when there can't.
func (f *flat) sweep(x *axis, lists [][]run, active []int, worth func(k int, runs []run) int64, rest func(p int) int64) int64 {
	n := x.end + x.kerf + 1
	w := &f.front
	w.open(n, x.begin, x.stops)
	if need := len(lists) * len(x.sizes); cap(f.cache) < need {
		f.cache = make([]int64, need)
	}
	cache := f.cache[:len(lists)*len(x.sizes)]
	for k := range cache {
		cache[k] = -1
	}
	f.cursor = f.cursor[:0]
	for range active {
		f.cursor = append(f.cursor, 0)
	}
	top, topAt, stop := int64(-1), -1, 0
	best, bestAt := int64(-1), -1
	for q := range w.seen {
		for w.seen[q] != 0 {
			p := q<<6 + bits.TrailingZeros64(w.seen[q])
			w.seen[q] &= w.seen[q] - 1
			better := w.value[p] > top
			if better {
				top, topAt = w.value[p], p
				total := top
				if rest != nil {
					total += rest(p)
				}
				if total > best && (rest == nil || top > 0) {
					best, bestAt = total, p
				}
			}
			for stop < len(x.stops) && x.stops[stop] < p {
				stop++
			}
			if !better && (stop == len(x.stops) || x.stops[stop] != p) {
				continue
			}
			f.work += int64(len(active))
			most := int64(0)
			for a, k := range active {
				s := x.sizes[k]
				if p+s > x.end {
					break
				}
				marks, c := x.runs[k], f.cursor[a]
				for c+1 < len(marks) && marks[c+1].at <= p {
					c++
				}
				f.cursor[a] = c
				v := &cache[marks[c].runs*len(x.sizes)+k]
				if *v < 0 {
					*v = worth(k, lists[marks[c].runs])
				}
				if *v > most { // else a shorter section has as much
					most = *v
					w.reach(p+s+x.kerf, top+most, topAt, p, k)
				}
			}
		}
	}
	f.work += int64(n >> 4)
	x.path = w.path(x.path, bestAt)
	return best
}

// gradedPiece is what graded needs of a blank.
type gradedPiece struct {
	size   int
	value  int64
	hidden bool
	at     int
}

// graded fills a run that holds soft defects: behind the last of them from the
// table t, before it place by place, hidden blanks anywhere and others clear of
// defects. Place by place it does not know how many copies are left, so its
// value is an upper bound; there, short pieces that need a train are left out.
// index are the table's blanks. The pieces before the last soft defect are left
// in gradedPath.
func (f *flat) graded(t knapsack.Filler, index []int, s run, kerf int, along bool) int64 {
	n, tail := s.b-s.a, s.tail()
	f.pieces = f.pieces[:0]
	if f.at == nil {
		f.at = make([]int32, len(f.r.kinds))
	}
	for k, i := range index {
		f.at[i] = int32(k) + 1
	}
	for _, i := range f.order(along) { // the shortest first
		size := f.side(i, along)
		if k := f.at[i]; k > 0 && size <= n && (!along || size >= f.r.safe) {
			f.pieces = append(f.pieces, gradedPiece{size, f.pi[i], f.r.kinds[i].hidden, int(k) - 1})
		}
		f.at[i] = 0
	}
	f.stops = f.stops[:0]
	for _, d := range s.soft {
		if e := min(d.b, s.b) - s.a; e > 0 && e < n {
			f.stops = append(f.stops, e)
		}
	}
	slices.Sort(f.stops)
	w := &f.stained
	w.open(n+kerf+1, 0, f.stops)
	top, topAt, stop := int64(-1), -1, 0
	best, bestAt := int64(-1), -1
	for q := range w.seen {
		for w.seen[q] != 0 {
			p := q<<6 + bits.TrailingZeros64(w.seen[q])
			w.seen[q] &= w.seen[q] - 1
			better := w.value[p] > top
			if better {
				top, topAt = w.value[p], p
			}
			for stop < len(f.stops) && f.stops[stop] < p {
				stop++
			}
			if !better && (stop == len(f.stops) || f.stops[stop] != p) {
				continue
			}
			if p >= tail {
				if v := top + t.Best(n-p+kerf); v > best {
					best, bestAt = v, topAt
				}
				continue
			}
			clear := n - p // length free of soft defects from here
			for _, d := range s.soft {
				if d.b > s.a+p {
					clear = min(clear, max(0, d.a-s.a-p))
				}
			}
			f.work += int64(len(f.pieces))
			most := int64(0)
			for k := range f.pieces {
				g := &f.pieces[k]
				if g.size > n-p {
					break
				}
				if g.value > most && (g.hidden || g.size <= clear) {
					most = g.value
					w.reach(p+g.size+kerf, top+most, topAt, p, g.at)
				}
			}
		}
	}
	if tail >= n { // nothing behind the last soft defect
		if top > best {
			best, bestAt = top, topAt
		}
	}
	f.gradedPath = w.path(f.gradedPath, bestAt)
	return best
}
