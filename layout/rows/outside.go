package rows

import "pilewright/plan/measure"

// outside brings good pieces to the two outer rows by swapping rows, turning
// runs of rows round and turning rows end for end, as long as every rule still
// holds. Which pieces are cut, and so all the earlier aims, stay as they are.
func (c *composer) outside(p Panel) Panel {
	best, plain := p, c.plainness(p.Arrangement())
	for changed := true; changed && plain > 0 && c.ctx.Err() == nil; {
		changed = false
		for _, a := range reorderings(best.Arrangement()) {
			v := c.plainness(a)
			if v >= plain {
				continue
			}
			q := measureUp(c.job, a)
			if len(Check(*c.job, q)) == 0 && !lessWood(&best, &q) {
				best, plain, changed = q, v, true
				break
			}
		}
	}
	return best
}

// plainness is the length of outer pieces times what their grade lacks of the
// best grade there is.
func (c *composer) plainness(a [][]Placed) int64 {
	grade := map[string]int{}
	top := 0
	for i, s := range c.job.Strips {
		grade[s.ID] = s.Grade
		if i == 0 || s.Grade > top {
			top = s.Grade
		}
	}
	count := func(row []Placed) (sum int64) {
		for _, q := range row {
			sum += int64(q.Length/measure.Micrometre) * int64(top-grade[q.Strip])
		}
		return sum
	}
	sum := count(a[0])
	if len(a) > 1 {
		sum += count(a[len(a)-1])
	}
	return sum
}

func reorderings(a [][]Placed) [][][]Placed {
	n := len(a)
	var out [][][]Placed
	variant := func(change func([][]Placed)) {
		b := append([][]Placed(nil), a...)
		change(b)
		out = append(out, b)
	}
	for k := 1; k < n; k++ {
		variant(func(b [][]Placed) { reverse(b[:k+1]) })
		variant(func(b [][]Placed) { reverse(b[n-1-k:]) })
	}
	for _, outer := range []int{0, n - 1} {
		for k := range n {
			if k == outer {
				continue
			}
			for turn := range 4 {
				variant(func(b [][]Placed) {
					b[outer], b[k] = b[k], b[outer]
					if turn&1 != 0 {
						b[outer] = turned(b[outer])
					}
					if turn&2 != 0 {
						b[k] = turned(b[k])
					}
				})
			}
		}
	}
	return out
}

func reverse(rows [][]Placed) {
	for i, k := 0, len(rows)-1; i < k; i, k = i+1, k-1 {
		rows[i], rows[k] = rows[k], rows[i]
	}
}

// turned is a row end for end.
func turned(row []Placed) []Placed {
	out := make([]Placed, len(row))
	for i, q := range row {
		out[len(row)-1-i] = q
	}
	return out
}
