package rows

import (
	"cmp"
	"slices"

	"pilewright/plan/measure"
)

func lengthOf(v, unit int64) measure.Length { return measure.Length(v * unit) }

// filler lays one row piece by piece: whole strips where they fit, one or more
// cut so that the row ends true, joints clear of those of the row before.
type filler struct {
	*searcher
	st      *state
	joints  []int64    // of the row before
	before  []cutPiece // the row before
	row     []cutPiece
	reserve []int64 // length of each strip kept for locks in later rows
	need    []Lock  // locks of this row
	found   [][]cutPiece
	places  int
}

// next gives the most promising states one row on.
func (d *searcher) next(st *state) []*state {
	f := &filler{searcher: d, st: st, before: st.row, need: d.locks[st.rows]}
	var at int64
	for i, q := range st.row {
		if at += q.length; i < len(st.row)-1 {
			f.joints = append(f.joints, at)
		}
	}
	f.reserve = make([]int64, d.n)
	for r, locks := range d.locks {
		if r > st.rows && (d.end == 0 || r < d.end) {
			for _, l := range locks {
				f.reserve[d.index[l.Strip]] += d.piece + d.cut
			}
		}
	}
	f.place(0)
	*d.used += f.places
	var out []*state
	for _, row := range f.found {
		if c := d.lay(st, row); c != nil {
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, compare)
	return out[:min(len(out), d.rowsKept())]
}

// clear is true when a joint at x keeps the stagger to the row before.
func (f *filler) clear(x int64) bool {
	for _, j := range f.joints {
		if d := x - j; d < f.stagger && -d < f.stagger {
			return false
		}
	}
	return true
}

// clearBelow is the last position up to x where a joint may be.
func (f *filler) clearBelow(x int64) int64 {
	for i := len(f.joints) - 1; i >= 0; i-- {
		if d := x - f.joints[i]; d < f.stagger && -d < f.stagger {
			x = f.joints[i] - f.stagger
		}
	}
	return x
}

// usable is what may be taken of a strip in this row at this moment.
func (f *filler) usable(i int) int64 {
	left := f.st.left[i] - f.reserve[i]
	for _, q := range f.row {
		if q.strip == i {
			left -= q.length + f.cut
		}
	}
	return left
}

// touches checks the steps of a piece laid from x on.
func (f *filler) touches(i int, x, length int64) bool {
	if n := len(f.row); n > 0 {
		if d := f.thick[f.row[n-1].strip] - f.thick[i]; d > f.step || -d > f.step {
			return false
		}
	}
	var at int64
	for _, q := range f.before {
		if at < x+length && x < at+q.length {
			if d := f.height[q.strip] - f.height[i]; d > f.step || -d > f.step {
				return false
			}
		}
		at += q.length
	}
	return true
}

func (f *filler) place(x int64) {
	if f.places > f.placeLimit() {
		return
	}
	rest := f.panel - x
	var seen [][3]int64
	for _, i := range f.candidates() {
		have := f.usable(i)
		if have < f.piece {
			continue
		}
		// Of strips that are alike one stands for all.
		like := [3]int64{have, f.across[i], f.height[i]}
		if len(f.need) == 0 && slices.Contains(seen, like) {
			continue
		}
		seen = append(seen, like)
		if have >= rest {
			f.put(i, x, rest)
		}
		if rest < 2*f.piece {
			continue
		}
		for _, y := range f.cuts(i, x, rest, have) {
			f.put(i, x, y)
		}
		if f.places > f.placeLimit() {
			return
		}
	}
}

// cuts are the lengths worth trying for a piece that does not end the row.
func (f *filler) cuts(i int, x, rest, have int64) []int64 {
	most := min(have, rest-f.piece)
	var out []int64
	add := func(y int64) {
		if y < f.piece || y > most || !f.clear(x+y) {
			return
		}
		for _, z := range out {
			if z == y {
				return
			}
		}
		out = append(out, y)
	}
	if have <= most {
		add(have)
	}
	// As long as the joints allow; so that the other end is still a piece; so
	// that another whole strip ends the row; half of it.
	add(f.clearBelow(x+most) - x)
	add(f.clearBelow(x+min(most, have-f.cut-f.piece)) - x)
	tried := 0
	for _, k := range f.order {
		if tried == 3 {
			break
		}
		if k != i && f.usable(k) >= f.piece && f.usable(k) < rest {
			add(rest - f.usable(k))
			tried++
		}
	}
	add(f.clearBelow(x+min(most, (have-f.cut)/2)) - x)
	return out
}

func (f *filler) put(i int, x, length int64) {
	if !f.touches(i, x, length) || !f.lockAllows(i, len(f.row)) {
		return
	}
	f.places++
	f.row = append(f.row, cutPiece{i, length})
	if x+length == f.panel {
		f.finish()
	} else {
		f.place(x + length)
	}
	f.row = f.row[:len(f.row)-1]
}

// lockAllows is true when place p is free of locks or locked to this strip.
func (f *filler) lockAllows(i, p int) bool {
	for _, l := range f.need {
		if l.Place == p+1 && f.index[l.Strip] != i {
			return false
		}
	}
	return true
}

// locksKept pairs the locks of this row with its pieces.
func (f *filler) locksKept() bool {
	taken := make([]bool, len(f.row))
	for pass := range 2 {
		for _, l := range f.need {
			if (l.Place > 0) != (pass == 0) {
				continue
			}
			ok := false
			for p, q := range f.row {
				if !taken[p] && f.index[l.Strip] == q.strip && (l.Place == 0 || l.Place == p+1) {
					taken[p], ok = true, true
					break
				}
			}
			if !ok {
				return false
			}
		}
	}
	return true
}

func (f *filler) finish() {
	if len(f.need) > 0 && !f.locksKept() {
		return
	}
	f.found = append(f.found, slices.Clone(f.row))
}

// candidates are the strips worth trying next: locked ones first; for the
// first piece of a row the cheapest left, then those that lose least beside
// the pieces already laid.
func (f *filler) candidates() []int {
	var out []int
	p := len(f.row)
	for _, l := range f.need {
		if l.Place == p+1 {
			return []int{f.index[l.Strip]}
		}
		if l.Place == 0 {
			out = append(out, f.index[l.Strip])
		}
	}
	type weighed struct {
		strip int
		loss  int64
	}
	var list []weighed
	narrow := never
	for _, q := range f.row {
		narrow = min(narrow, f.rowWidth(q.strip))
	}
	aim := int64(-1)
	if len(f.target) > 0 && p == 0 {
		aim = f.target[min(f.st.rows, len(f.target)-1)]
	}
	for _, i := range f.order {
		if f.usable(i) < f.piece {
			continue
		}
		w := weighed{strip: i}
		switch {
		case aim >= 0:
			w.loss = max(f.across[i]-aim, aim-f.across[i])
		case p > 0 && !f.even:
			w.loss = f.section(i, min(narrow, f.rowWidth(i)), f.t)
			if less := narrow - f.rowWidth(i); less > 0 {
				w.loss += (less * f.t) >> f.shift
			}
		}
		if len(f.need) == 0 && slices.ContainsFunc(list, func(o weighed) bool {
			return f.usable(o.strip) == f.usable(i) && f.across[o.strip] == f.across[i] && f.height[o.strip] == f.height[i]
		}) {
			continue
		}
		list = append(list, w)
		if aim < 0 && (p == 0 || f.even) && len(list) == lookAhead {
			break
		}
	}
	if aim >= 0 || p > 0 && !f.even {
		slices.SortStableFunc(list, func(a, b weighed) int { return cmp.Compare(a.loss, b.loss) })
	}
	for _, w := range list {
		if len(out) >= lookAhead {
			break
		}
		out = append(out, w.strip)
	}
	return out
}
