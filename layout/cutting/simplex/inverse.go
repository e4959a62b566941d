package simplex

import "math"

// inverse is the inverse of the basis. Slot i of a solution belongs to the basic
// column of row i. Methods return the work they took.
type inverse interface {
	// unit is the inverse of the unit basis.
	unit()
	// factor inverts the columns wanted and gives the column of each row, nil
	// when they are singular: then the inverse is that of the unit basis.
	factor(lp *LP, want []int32) ([]int32, int64)
	// update replaces the column of row r by the one that a is the solution of.
	update(r int, a []float64) int64
	// due reports that the inverse is better made anew.
	due() bool
	// solve is a = B^-1 of a column, mul x = B^-1 b.
	solve(rows []int32, vals, a []float64) int64
	mul(b, x []float64) int64
	// prices is y = cost of the basis times B^-1, row the row r of B^-1, and
	// addRow y += f times row r.
	prices(cost []float64, basis []int32, y []float64) int64
	row(r int, dst []float64) int64
	addRow(r int, f float64, y []float64) int64
	clone() inverse
}

// dense is the inverse itself, row by row.
type dense struct {
	m     int
	binv  []float64
	nz    []int32
	since int
}

func (d *dense) unit() {
	clear(d.binv)
	for i := range d.m {
		d.binv[i*d.m+i] = 1
	}
	d.since = 0
}

func (d *dense) due() bool { return d.since >= refactor }

func (d *dense) factor(lp *LP, want []int32) ([]int32, int64) {
	d.unit()
	work := int64(0)
	taken := make([]bool, d.m)
	out := make([]int32, d.m)
	var rest []int32
	for _, j := range want {
		rows, vals := lp.column(int(j))
		if len(rows) == 1 && !taken[rows[0]] {
			r := rows[0]
			taken[r] = true
			out[r] = j
			d.binv[int(r)*d.m+int(r)] = 1 / vals[0]
			continue
		}
		rest = append(rest, j)
	}
	a := make([]float64, d.m)
	for _, j := range rest {
		rows, vals := lp.column(int(j))
		work += d.solve(rows, vals, a)
		best, r := pivTol, -1
		for i, v := range a {
			if !taken[i] && math.Abs(v) > best {
				best, r = math.Abs(v), i
			}
		}
		if r < 0 {
			d.unit()
			return nil, work
		}
		taken[r] = true
		work += d.update(r, a)
		out[r] = j
	}
	d.since = 0
	return out, work
}

func (d *dense) update(r int, a []float64) int64 {
	m := d.m
	work := int64(0)
	row := d.binv[r*m : r*m+m]
	inv := 1 / a[r]
	d.nz = d.nz[:0]
	for k, v := range row {
		if v != 0 {
			d.nz = append(d.nz, int32(k))
			row[k] = v * inv
		}
	}
	few := len(d.nz)*3 < m
	for i := range m {
		f := a[i]
		if i == r || (f < 1e-12 && f > -1e-12) {
			continue
		}
		dst := d.binv[i*m : i*m+m]
		if few {
			for _, k := range d.nz {
				dst[k] -= f * row[k]
			}
			work += int64(len(d.nz))
		} else {
			axpy(dst, row, f)
			work += int64(m)
		}
	}
	d.since++
	return work
}

func axpy(dst, row []float64, f float64) {
	dst = dst[:len(row)]
	k := 0
	for ; k+4 <= len(row); k += 4 {
		d := dst[k : k+4 : k+4]
		s := row[k : k+4 : k+4]
		d[0] -= f * s[0]
		d[1] -= f * s[1]
		d[2] -= f * s[2]
		d[3] -= f * s[3]
	}
	for ; k < len(row); k++ {
		dst[k] -= f * row[k]
	}
}

func (d *dense) solve(rows []int32, vals, a []float64) int64 {
	clear(a)
	for k, r := range rows {
		v := vals[k]
		at := int(r)
		for i := range a {
			a[i] += v * d.binv[at]
			at += d.m
		}
	}
	return int64(d.m * len(rows))
}

func (d *dense) mul(b, x []float64) int64 {
	for i := range d.m {
		s := 0.0
		for k, r := range d.binv[i*d.m : i*d.m+d.m] {
			if r != 0 {
				s += r * b[k]
			}
		}
		x[i] = s
	}
	return int64(d.m) * int64(d.m)
}

func (d *dense) prices(cost []float64, basis []int32, y []float64) int64 {
	clear(y)
	for i := range d.m {
		c := cost[basis[i]]
		if c == 0 {
			continue
		}
		for k, r := range d.binv[i*d.m : i*d.m+d.m] {
			y[k] += c * r
		}
	}
	return int64(d.m) * int64(d.m)
}

func (d *dense) row(r int, dst []float64) int64 {
	copy(dst, d.binv[r*d.m:r*d.m+d.m])
	return 0
}

func (d *dense) addRow(r int, f float64, y []float64) int64 {
	for k, v := range d.binv[r*d.m : r*d.m+d.m] {
		if v != 0 {
			y[k] += f * v
		}
	}
	return 0
}

func (d *dense) clone() inverse {
	return &dense{m: d.m, binv: append([]float64(nil), d.binv...), since: d.since}
}
