package simplex

import (
	"math"
	"slices"
)

// factors is the inverse as sparse triangular factors of an earlier basis and
// the changes since (product form). Bases of patterns are nearly triangular:
// what singletons leave over is small.
//
// Method: Gilbert & Peierls 1988, "Sparse partial pivoting in time proportional
// to arithmetic operations", with columns ordered by their counts.
type factors struct {
	m    int
	prow []int32 // pivot row of a step
	diag []float64
	// L by step, only steps with entries; U by step, entries of earlier steps.
	lrow, lstart []int32
	lat          []int32
	lval         []float64
	ustart, uat  []int32
	uval         []float64
	// Changes: the column of row crow replaced.
	crow, cstart, cat []int32
	cpiv, cval        []float64
	tmp               []float64
}

func newFactors(m int) *factors {
	f := &factors{m: m, tmp: make([]float64, m), prow: make([]int32, m), diag: make([]float64, m), ustart: make([]int32, m+1)}
	f.unit()
	return f
}

func (f *factors) unit() {
	for i := range f.m {
		f.prow[i], f.diag[i], f.ustart[i+1] = int32(i), 1, 0
	}
	f.uat, f.uval = f.uat[:0], f.uval[:0]
	f.lrow, f.lstart, f.lat, f.lval = f.lrow[:0], append(f.lstart[:0], 0), f.lat[:0], f.lval[:0]
	f.forget()
}

func (f *factors) forget() {
	f.crow, f.cstart, f.cat, f.cpiv, f.cval = f.crow[:0], append(f.cstart[:0], 0), f.cat[:0], f.cpiv[:0], f.cval[:0]
}

func (f *factors) due() bool {
	return len(f.crow) >= 100 || len(f.cval) > 4*(len(f.uval)+len(f.lval)+2*f.m)
}

// pivotShare is how small a pivot may be beside its column's largest entry.
const pivotShare = 0.1

func (f *factors) factor(lp *LP, want []int32) ([]int32, int64) {
	m := f.m
	f.unit()
	f.uat, f.uval = f.uat[:0], f.uval[:0]
	out := make([]int32, m)
	// Columns by row.
	start := make([]int32, m+1)
	count, rcount := make([]int32, m), make([]int32, m)
	for c, j := range want {
		rows, _ := lp.column(int(j))
		count[c] = int32(len(rows))
		for _, r := range rows {
			rcount[r]++
		}
	}
	for r := range m {
		start[r+1] = start[r] + rcount[r]
	}
	in := make([]int32, start[m])
	fill := append([]int32(nil), start[:m]...)
	for c, j := range want {
		rows, _ := lp.column(int(j))
		for _, r := range rows {
			in[fill[r]] = int32(c)
			fill[r]++
		}
	}
	work := int64(8 * len(in))
	pivoted, done := make([]bool, m), make([]bool, m)
	step := 0
	place := func(c, r int32, v float64) {
		pivoted[r], done[c] = true, true
		f.prow[step], f.diag[step] = r, v
		out[r] = want[c]
		step++
		f.ustart[step] = int32(len(f.uat))
	}
	// A column with one row left.
	var queue []int32
	for c := range want {
		if count[c] == 1 {
			queue = append(queue, int32(c))
		}
	}
	for len(queue) > 0 {
		c := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		if done[c] || count[c] != 1 {
			continue
		}
		rows, vals := lp.column(int(want[c]))
		at, ok := -1, true
		for k, r := range rows {
			if !pivoted[r] {
				at = k
			}
		}
		for _, v := range vals {
			ok = ok && math.Abs(vals[at]) >= 1e-3*math.Abs(v)
		}
		if !ok || math.Abs(vals[at]) < 1e-3 {
			continue
		}
		for k, r := range rows {
			if k != at {
				f.uat, f.uval = append(f.uat, r), append(f.uval, vals[k])
			}
		}
		r := rows[at]
		place(c, r, vals[at])
		for _, q := range in[start[r]:start[r+1]] {
			if count[q]--; count[q] == 1 && !done[q] {
				queue = append(queue, q)
			}
		}
	}
	// A row with one column left.
	clear(rcount)
	for c, j := range want {
		if !done[c] {
			rows, _ := lp.column(int(j))
			for _, r := range rows {
				rcount[r]++
			}
		}
	}
	for r := range m {
		if !pivoted[r] && rcount[r] == 1 {
			queue = append(queue, int32(r))
		}
	}
	for len(queue) > 0 {
		r := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		if pivoted[r] || rcount[r] != 1 {
			continue
		}
		c := int32(-1)
		for _, q := range in[start[r]:start[r+1]] {
			if !done[q] {
				c = q
			}
		}
		rows, vals := lp.column(int(want[c]))
		at, ok := slices.Index(rows, r), true
		for k, q := range rows {
			ok = ok && (pivoted[q] || math.Abs(vals[at]) >= pivotShare*math.Abs(vals[k]))
		}
		if !ok || math.Abs(vals[at]) < 1e-3 {
			continue
		}
		f.begin(r)
		for k, q := range rows {
			if pivoted[q] {
				f.uat, f.uval = append(f.uat, q), append(f.uval, vals[k])
			} else if q != r {
				f.lat, f.lval = append(f.lat, q), append(f.lval, vals[k]/vals[at])
			}
			if rcount[q]--; rcount[q] == 1 && !pivoted[q] && q != r {
				queue = append(queue, q)
			}
		}
		f.end()
		place(c, r, vals[at])
	}
	// The rest, fewest rows first.
	var rest []int32
	for c, j := range want {
		if !done[c] {
			rest = append(rest, int32(c))
			count[c] = 0
			rows, _ := lp.column(int(j))
			for _, r := range rows {
				if !pivoted[r] {
					count[c]++
				}
			}
		}
	}
	slices.SortStableFunc(rest, func(a, b int32) int { return int(count[a] - count[b]) })
	x := f.tmp
	for _, c := range rest {
		clear(x)
		rows, vals := lp.column(int(want[c]))
		for k, r := range rows {
			x[r] = vals[k]
		}
		work += f.lower(x) + int64(m)
		most := pivTol
		for r, v := range x {
			if v != 0 && !pivoted[r] {
				most = max(most, math.Abs(v))
			}
		}
		at := int32(-1)
		for r, v := range x {
			if v == 0 || pivoted[r] || math.Abs(v) < pivotShare*most || math.Abs(v) <= pivTol {
				continue
			}
			if at < 0 || rcount[r] < rcount[at] || rcount[r] == rcount[at] && math.Abs(v) > math.Abs(x[at]) {
				at = int32(r)
			}
		}
		if at < 0 {
			f.unit()
			return nil, work
		}
		v := x[at]
		f.begin(at)
		for r, w := range x {
			switch {
			case math.Abs(w) < 1e-13 || int32(r) == at:
			case pivoted[r]:
				f.uat, f.uval = append(f.uat, int32(r)), append(f.uval, w)
			default:
				f.lat, f.lval = append(f.lat, int32(r)), append(f.lval, w/v)
			}
		}
		f.end()
		place(c, at, v)
	}
	return out, work + int64(len(f.uval)+len(f.lval))
}

// begin and end frame the entries of L of one step.
func (f *factors) begin(r int32) { f.lrow = append(f.lrow, r) }

func (f *factors) end() {
	if n := len(f.lrow) - 1; int(f.lstart[n]) == len(f.lat) {
		f.lrow = f.lrow[:n]
		return
	}
	f.lstart = append(f.lstart, int32(len(f.lat)))
}

// scatter takes v times a sparse vector from x.
func scatter(x []float64, at []int32, vals []float64, v float64) {
	for k, q := range at {
		x[q] -= v * vals[k]
	}
}

// gather is s less the product of a sparse vector with y.
func gather(s float64, at []int32, vals []float64, y []float64) float64 {
	for k, q := range at {
		s -= vals[k] * y[q]
	}
	return s
}

// lower is x = L^-1 x.
func (f *factors) lower(x []float64) int64 {
	for t, r := range f.lrow {
		v := x[r]
		if v == 0 {
			continue
		}
		a, b := f.lstart[t], f.lstart[t+1]
		scatter(x, f.lat[a:b], f.lval[a:b], v)
	}
	return int64(len(f.lrow) + len(f.lval))
}

// forward is x = B^-1 x.
func (f *factors) forward(x []float64) int64 {
	work := f.lower(x)
	for t := f.m - 1; t >= 0; t-- {
		r := f.prow[t]
		v := x[r]
		if v == 0 {
			continue
		}
		v /= f.diag[t]
		x[r] = v
		a, b := f.ustart[t], f.ustart[t+1]
		scatter(x, f.uat[a:b], f.uval[a:b], v)
	}
	for c, r := range f.crow {
		v := x[r]
		if v == 0 {
			continue
		}
		v /= f.cpiv[c]
		x[r] = v
		a, b := f.cstart[c], f.cstart[c+1]
		scatter(x, f.cat[a:b], f.cval[a:b], v)
	}
	return work + int64(f.m+len(f.uval)+len(f.cval))
}

// backward is y = y B^-1.
func (f *factors) backward(y []float64) int64 {
	for c := len(f.crow) - 1; c >= 0; c-- {
		a, b := f.cstart[c], f.cstart[c+1]
		r := f.crow[c]
		y[r] = gather(y[r], f.cat[a:b], f.cval[a:b], y) / f.cpiv[c]
	}
	for t, r := range f.prow {
		a, b := f.ustart[t], f.ustart[t+1]
		y[r] = gather(y[r], f.uat[a:b], f.uval[a:b], y) / f.diag[t]
	}
	for t := len(f.lrow) - 1; t >= 0; t-- {
		a, b := f.lstart[t], f.lstart[t+1]
		r := f.lrow[t]
		y[r] = gather(y[r], f.lat[a:b], f.lval[a:b], y)
	}
	return int64(2*f.m + len(f.uval) + len(f.lval) + len(f.cval))
}

func (f *factors) update(r int, a []float64) int64 {
	for i, v := range a {
		if i != r && (v > 1e-12 || v < -1e-12) {
			f.cat, f.cval = append(f.cat, int32(i)), append(f.cval, v)
		}
	}
	f.crow, f.cpiv, f.cstart = append(f.crow, int32(r)), append(f.cpiv, a[r]), append(f.cstart, int32(len(f.cat)))
	return int64(f.m)
}

func (f *factors) solve(rows []int32, vals, a []float64) int64 {
	clear(a)
	for k, r := range rows {
		a[r] = vals[k]
	}
	return f.forward(a)
}

func (f *factors) mul(b, x []float64) int64 {
	copy(x, b)
	return f.forward(x)
}

func (f *factors) prices(cost []float64, basis []int32, y []float64) int64 {
	for i, j := range basis {
		y[i] = cost[j]
	}
	return f.backward(y)
}

func (f *factors) row(r int, dst []float64) int64 {
	clear(dst)
	dst[r] = 1
	return f.backward(dst)
}

func (f *factors) addRow(r int, s float64, y []float64) int64 {
	work := f.row(r, f.tmp)
	for k, v := range f.tmp {
		y[k] += s * v
	}
	return work + int64(f.m)
}

func (f *factors) clone() inverse {
	return &factors{m: f.m, prow: slices.Clone(f.prow), diag: slices.Clone(f.diag), lrow: slices.Clone(f.lrow), lstart: slices.Clone(f.lstart),
		lat: slices.Clone(f.lat), lval: slices.Clone(f.lval), ustart: slices.Clone(f.ustart), uat: slices.Clone(f.uat), uval: slices.Clone(f.uval),
		crow: slices.Clone(f.crow), cstart: slices.Clone(f.cstart), cat: slices.Clone(f.cat), cpiv: slices.Clone(f.cpiv), cval: slices.Clone(f.cval),
		tmp: make([]float64, f.m)}
}
