package rows

import (
	"slices"
)

// Where strips differ only in what they take of the panel's thickness, the loss
// has an exact structure. Choose a price of length, that of the dearest strips
// needed (the fill). A strip that loses less saves its difference on every unit
// of length used, so what counts is how much of such strips is not used: kerfs
// and ends. Rows that share a strip hang together; a chain is the strips and
// rows of one such connected set, the fill left out. Of a chain of r rows
//
//   - at least r-1 cuts are made in its strips, because v strips and r rows hang
//     together by at least v+r-1 pieces, and v pieces need no cut;
//   - with more rows than one, each holds a piece of a strip that is cut (a hub),
//     so no more whole strips than fit beside the shortest piece;
//   - its strips fill at most r rows, and where they do not fill them all, a
//     piece of fill, no shorter than the shortest allowed, is in one of them.
//
// So the wood a chain leaves unused depends on its total length, its rows and
// which strips are hubs; a hub pays for one cut, what else is unused is worth at
// least the smallest saving among its strips. Every composition is a partition of
// the strips into chains with no more rows than the panel has; the least cost of
// a partition bounds the loss. Its linear relaxation is solved by generating
// chains: the best for given prices is a knapsack over length, whole strips and
// hubs. What a short chain costs is reckoned nearer, by the trees that its hubs and
// rows may make (hanging). Steps and staggers are left out of the bound and kept by
// the rows laid.
type chains struct {
	s      *scaled
	strips []int         // that save, by rising saving
	saving []int64       // of strips, for a unit of length
	length []int64       // of strips, in grains
	over   []int64       // of strips: what a whole one leaves unused at least beside a piece, in grains
	fills  []int         // strips that save nothing, the cheapest first
	loss   map[int]int64 // of fills, for a unit of length
	grain  int64         // greatest common divisor of the strips' lengths
	coin   int64         // of the savings; costs are counted in it
	total  int64         // length of all strips, in grains
	step   int64         // every length unused is a multiple of it
	base   int64         // loss if nothing of the strips were left unused
	rows   int64
	work   *int64

	room    int64 // for whole strips in a row that hangs together with others
	abreast int64 // whole strips that fit in it
	cuts    int64 // most cuts that one strip takes
	short   int64 // length of the shortest strip, in grains
	usesOf  [][]use
	tables  *tables
	opens   [][3]int64
	loose   bool  // chains are taken to hang together as cheaply as can be
	tight   int64 // how much one more is too long at least
}

// chain is a set of strips (indexes into chains.strips, rising) that hang together
// in a number of rows.
type chain struct {
	strips []int
	rows   int64
	cost   int64 // at least
}

// mostGrains bounds the knapsack: the length of all strips in grains.
const mostGrains = 200_000

// chainsAbove reads the structure for panels no thinner than a floor; nil where
// it does not apply.
func (s *scaled) chainsAbove(floor int64, work *int64) *chains {
	if !s.even || s.job.Rows <= 0 || len(s.job.Locks) > 0 || s.shift > 0 {
		return nil
	}
	t := floor - s.cleanup2
	order := s.byCost(floor)
	c := &chains{s: s, rows: int64(s.job.Rows), work: work, loss: map[int]int64{}, tables: &tables{}}
	need, fill := c.rows*s.panel, int64(0)
	for _, i := range order {
		if need <= 0 {
			break
		}
		need -= s.length[i]
		fill = s.section(i, s.rowWidth(i), t)
	}
	if need > 0 {
		return nil
	}
	c.base = fill * c.rows * s.panel
	for _, i := range order {
		save := fill - s.section(i, s.rowWidth(i), t)
		if save <= 0 {
			c.fills, c.loss[i] = append(c.fills, i), -save
			continue
		}
		c.strips, c.saving = append(c.strips, i), append(c.saving, save)
		c.grain, c.coin = gcd(c.grain, s.length[i]), gcd(c.coin, save)
		c.base -= save * s.length[i]
	}
	slices.Reverse(c.strips)
	slices.Reverse(c.saving)
	if len(c.strips) == 0 {
		return c
	}
	var total int64
	for k, i := range c.strips {
		c.saving[k] /= c.coin
		c.length = append(c.length, s.length[i]/c.grain)
		total += c.length[k]
	}
	if total > mostGrains {
		return nil
	}
	c.total = total
	c.step = gcd(gcd(c.grain, s.cut), gcd(s.panel, s.piece))
	c.room = s.panel - s.piece
	short := slices.Clone(c.length)
	slices.Sort(short)
	c.cuts = (short[len(short)-1]*c.grain+s.cut)/(s.piece+s.cut) - 1
	c.short = short[0]
	var sum int64
	for _, l := range short { // one that is longer is shortened
		if sum += min(l*c.grain, c.room); sum > c.room {
			c.tight = sum - c.room
			break
		}
		c.abreast++
	}
	for i := range c.strips {
		over := max(c.length[i]*c.grain-c.room, 0) / c.grain
		if long := c.length[i] * c.grain; long >= s.panel {
			over = (long - s.panel) / c.grain
		}
		c.over = append(c.over, over)
		if over > 0 {
			c.usesOf = append(c.usesOf, []use{{asHub, c.length[i]}, {shortened, c.length[i] - over}})
			continue
		}
		c.usesOf = append(c.usesOf, []use{{asItIs, c.length[i]}})
	}
	return c
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// unused is the length that strips of a total length leave unused at least in r
// rows with so many cuts.
func (c *chains) unused(total, r, cuts int64) int64 {
	most, full := total-c.s.cut*cuts, r*c.s.panel
	if most >= full {
		return total - full
	}
	return total - max(min(most, full-c.s.piece), 0)
}

// whole is the cost of leaving a strip out.
func (c *chains) whole(k int) int64 { return c.saving[k] * c.length[k] * c.grain }
