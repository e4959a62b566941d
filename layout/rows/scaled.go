package rows

import (
	"math/big"
	"sort"

	"github.com/shopspring/decimal"

	"pilewright/plan/measure"
)

// scaled is a job in whole multiples of unit, the greatest common divisor of
// all its sizes, so that nothing is rounded. Wood is counted in
// unit³·2^shift; the shift is there only when the products would not fit 62
// bits, and rounds each cross-section down, which keeps the bound a bound.
type scaled struct {
	job    *Job
	unit   int64
	shift  uint
	n      int
	length []int64 // of the strips
	across []int64
	height []int64
	thick  []int64 // measured thickness, for steps in a row

	panel, joining2, cut, piece, stagger, step, cleanup2, least, width int64

	even bool // all strips take the same of the panel's width
	flat bool // all strips take the same of its thickness
}

func scale(job *Job) *scaled {
	s := &scaled{job: job, n: len(job.Strips)}
	var g int64
	use := func(v measure.Length) {
		a := int64(v)
		for a != 0 {
			g, a = a, g%a
		}
	}
	for _, v := range []measure.Length{job.Length, job.Width, job.LeastThickness, job.Joining, job.EndCut, job.MinPiece, job.Stagger, job.Step, job.CleanUp} {
		use(v)
	}
	for _, t := range job.Strips {
		use(t.Length)
		use(t.Width)
		use(t.Thickness)
	}
	s.unit = g
	in := func(v measure.Length) int64 { return int64(v) / g }
	s.panel, s.joining2, s.cut = in(job.Length), 2*in(job.Joining), in(job.EndCut)
	s.piece, s.stagger, s.step = max(in(job.MinPiece), 1), in(job.Stagger), in(job.Step)
	s.cleanup2, s.least, s.width = 2*in(job.CleanUp), in(job.LeastThickness), in(job.Width)
	s.even, s.flat = true, true
	total, area := new(big.Int), new(big.Int)
	for _, t := range job.Strips {
		s.length = append(s.length, in(t.Length))
		s.across = append(s.across, in(job.across(t)))
		s.height = append(s.height, in(job.through(t)))
		s.thick = append(s.thick, in(t.Thickness))
		total.Add(total, big.NewInt(in(t.Length)))
		a := new(big.Int).Mul(big.NewInt(in(t.Width)), big.NewInt(in(t.Thickness)))
		if a.Cmp(area) > 0 {
			area = a
		}
		s.even = s.even && s.across[len(s.across)-1] == s.across[0]
		s.flat = s.flat && s.height[len(s.height)-1] == s.height[0]
	}
	if over := total.Mul(total, area).BitLen() - 61; over > 0 {
		s.shift = uint(over)
	}
	return s
}

// section is the wood lost for each unit of length of strip i in a row of
// width w of a panel of thickness t.
func (s *scaled) section(i int, w, t int64) int64 {
	return (s.across[i]*s.height[i] - w*t) >> s.shift
}

// wood turns a count of the scale into cubic millimetres.
func (s *scaled) wood(v int64) decimal.Decimal {
	b := new(big.Int).Lsh(big.NewInt(v), s.shift)
	u := big.NewInt(s.unit)
	return volume(b.Mul(b, u).Mul(b, u).Mul(b, u))
}

// floors gives the thicknesses a panel's thinnest piece may have.
func (s *scaled) floors() []int64 {
	var out []int64
	for i, h := range s.height {
		if s.length[i] >= s.piece && h-s.cleanup2 >= max(s.least, 1) {
			out = append(out, h)
		}
	}
	sort.Slice(out, func(i, k int) bool { return out[i] < out[k] })
	keep := out[:0]
	for _, h := range out {
		if len(keep) == 0 || keep[len(keep)-1] != h {
			keep = append(keep, h)
		}
	}
	return keep
}

// rowWidth is what a strip leaves of a row after jointing.
func (s *scaled) rowWidth(i int) int64 { return s.across[i] - s.joining2 }
