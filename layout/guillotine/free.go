package guillotine

// free is the dynamic programme without limits on copies: best[i*ny+j] is the
// most that a rectangle of the i-th width and j-th height is worth at given
// prices, and how tells why.
type free struct {
	x, y   *raster
	ny     int
	best   []int64
	how    []int32 // 0 nothing, 1 smaller in x, 2 smaller in y, 3+shape, or a cut
	shapes []shape
	steps  int64
}

const (
	howNothing = iota
	howNarrow
	howLow
	howItem
)

// cut codes: negative; -1-2a is a cut at x index a, -2-2a one at y index a.

func newFree(x, y *raster, shapes []shape) *free {
	n := len(x.at) * len(y.at)
	return &free{x: x, y: y, ny: len(y.at), best: make([]int64, n), how: make([]int32, n), shapes: shapes}
}

// run fills the table for prices by kind of item; items priced at or below
// zero are left out.
func (f *free) run(price []int64) {
	nx, ny := len(f.x.at), f.ny
	for k := range f.best {
		f.best[k], f.how[k] = 0, howNothing
	}
	for s, sh := range f.shapes {
		k := f.x.index(sh.w)*ny + f.y.index(sh.h)
		if p := price[sh.kind]; p > f.best[k] {
			f.best[k], f.how[k] = p, int32(howItem+s)
		}
	}
	for i := 1; i < nx; i++ {
		row := f.best[i*ny : (i+1)*ny]
		how := f.how[i*ny : (i+1)*ny]
		prev := f.best[(i-1)*ny : i*ny]
		for j := range row {
			if prev[j] > row[j] {
				row[j], how[j] = prev[j], howNarrow
			}
		}
		below := f.x.below[i]
		for a := 1; a < i && 2*f.x.at[a] <= f.x.at[i]; a++ {
			left := f.best[a*ny : (a+1)*ny]
			right := f.best[int(below[a])*ny : (int(below[a])+1)*ny]
			for j, v := range left {
				if v += right[j]; v > row[j] {
					row[j], how[j] = v, int32(-1-2*a)
				}
			}
			f.steps += int64(ny)
		}
		for j := 1; j < ny; j++ {
			v, h := row[j], how[j]
			if row[j-1] > v {
				v, h = row[j-1], howLow
			}
			below := f.y.below[j]
			for b := 1; b < j && 2*f.y.at[b] <= f.y.at[j]; b++ {
				if u := row[b] + row[below[b]]; u > v {
					v, h = u, int32(-2-2*b)
				}
			}
			f.steps += int64(j / 2)
			row[j], how[j] = v, h
		}
	}
}

// whole is the worth of the whole sheet.
func (f *free) whole() int64 { return f.best[len(f.best)-1] }

// use counts the items of each kind in the best pattern of (i, j).
func (f *free) use(i, j int, into []int64) {
	for {
		h := f.how[i*f.ny+j]
		switch {
		case h == howNothing:
			return
		case h == howNarrow:
			i--
		case h == howLow:
			j--
		case h >= howItem:
			into[f.shapes[h-howItem].kind]++
			return
		case h%2 != 0: // across
			a := int(-1-h) / 2
			f.use(a, j, into)
			i = int(f.x.below[i][a])
		default:
			b := int(-2-h) / 2
			f.use(i, b, into)
			j = int(f.y.below[j][b])
		}
	}
}

// around gives, for a build of the i-th width and j-th height in a corner of
// the sheet, the most that everything beside and above it can be worth.
func (f *free) around() []int64 {
	nx, ny := len(f.x.at), f.ny
	out := make([]int64, nx*ny)
	for i := nx - 1; i >= 0; i-- {
		for j := ny - 1; j >= 0; j-- {
			var v int64
			if i+1 < nx {
				v = out[(i+1)*ny+j]
			}
			if j+1 < ny {
				v = max(v, out[i*ny+j+1])
			}
			if i > 0 && j > 0 {
				for k := i + 1; k < nx; k++ {
					v = max(v, f.best[int(f.x.below[k][i])*ny+j]+out[k*ny+j])
				}
				for k := j + 1; k < ny; k++ {
					v = max(v, f.best[i*ny+int(f.y.below[k][j])]+out[i*ny+k])
				}
			}
			out[i*ny+j] = v
		}
	}
	f.steps += int64(nx) * int64(ny) * int64(nx+ny) / 2
	return out
}
