package rows

import (
	"math/big"
	"sort"
	"strconv"

	"github.com/shopspring/decimal"

	"pilewright/plan/measure"
)

// Status says how far a search came.
type Status string

// The ends a search can have.
const (
	Optimal Status = "optimal" // no composition planes less away
	Limit   Status = "limit"   // the work limit ended it
	Stopped Status = "stopped" // cancelled
	Given   Status = "given"   // composed by hand, nothing searched
)

// Piece is one piece in its row.
type Piece struct {
	Mark   string // row number and letter: 3b is the second piece of row 3
	Strip  string
	From   measure.Length // where it starts along the strip
	Length measure.Length
	At     measure.Length // where it starts along the row
	Flip   bool
}

// Row is one row of the panel from the near edge on. Width is what is left of
// it after jointing, Thickness that of its thinnest piece before planing.
type Row struct {
	Pieces    []Piece
	Width     measure.Length
	Thickness measure.Length
}

// Step is a difference in height where two pieces touch, before planing.
type Step struct {
	Mark, Other string
	Height      measure.Length
}

// Leftover is an unused end of a strip, long enough to be a piece.
type Leftover struct {
	Strip  string
	From   measure.Length
	Length measure.Length
}

// Panel is a composition and what it costs. Volumes are in cubic millimetres,
// exact.
type Panel struct {
	Rows      []Row
	Length    measure.Length
	Width     measure.Length  // of all rows after jointing
	Thickness measure.Length  // thinnest piece less clean-up on both faces
	Planed    decimal.Decimal // wood of the pieces that ends as shavings
	Used      decimal.Decimal // wood taken from the strips, scraps and kerfs too
	EndJoints int
	Steps     []Step // where pieces touch unevenly, highest first
	Leftovers []Leftover

	Bound  decimal.Decimal // no composition of the same job planes away less
	Status Status
	// OuterBest is true when it is proved that no order of these rows, nor of the
	// pieces in them, has better pieces in the two outer rows.
	OuterBest bool
	Work      int // rows tried
}

// Gap is how far Planed may be above the least possible, as a share of it.
func (p *Panel) Gap() float64 {
	d, _ := p.Planed.Sub(p.Bound).Float64()
	v, _ := p.Planed.Float64()
	if v <= 0 || d <= 0 {
		return 0
	}
	return d / v
}

// Arrangement gives the rows in the form Evaluate takes.
func (p *Panel) Arrangement() [][]Placed {
	out := make([][]Placed, len(p.Rows))
	for r, row := range p.Rows {
		for _, q := range row.Pieces {
			out[r] = append(out[r], Placed{q.Strip, q.Length, q.Flip})
		}
	}
	return out
}

// Evaluate works out the panel that rows composed by hand lead to, with every
// rule it breaks. Strips are cut up in the order of the rows. Pieces of unknown
// strips are kept and reported, but count for no wood.
func Evaluate(job Job, arrangement [][]Placed) (Panel, []Violation) {
	p := measureUp(&job, arrangement)
	return p, Check(job, p)
}

func measureUp(job *Job, arrangement [][]Placed) Panel {
	strips := make(map[string]Strip, len(job.Strips))
	for _, s := range job.Strips {
		strips[s.ID] = s
	}
	p := Panel{Length: job.Length, Status: Given}
	next := map[string]measure.Length{}
	thinnest := measure.Length(-1)
	for r, places := range arrangement {
		row := Row{}
		at, narrow := measure.Length(0), measure.Length(-1)
		row.Thickness = -1
		for i, q := range places {
			s, known := strips[q.Strip]
			row.Pieces = append(row.Pieces, Piece{Mark: mark(r, i), Strip: q.Strip, From: next[q.Strip], Length: q.Length, At: at, Flip: q.Flip})
			at += q.Length
			next[q.Strip] += q.Length + job.EndCut
			if !known {
				continue
			}
			narrow = least(narrow, job.across(s))
			row.Thickness = least(row.Thickness, job.through(s))
		}
		if row.Thickness >= 0 {
			thinnest = least(thinnest, row.Thickness)
		}
		row.Thickness = max(row.Thickness, 0)
		row.Width = max(narrow-2*job.Joining, 0)
		p.Width += row.Width
		p.EndJoints += max(len(places)-1, 0)
		p.Rows = append(p.Rows, row)
	}
	p.Thickness = max(thinnest-2*job.CleanUp, 0)
	p.Planed = volume(planedAway(job, strips, &p))
	p.Steps = steps(job, strips, &p)
	p.countWood(job)
	return p
}

// least is the smaller of two sizes, where a negative one means none yet.
func least(a, b measure.Length) measure.Length {
	if a < 0 || b < a {
		return b
	}
	return a
}

// mark names a piece by row and place; beyond 26 pieces the letters double.
func mark(row, place int) string {
	s := strconv.Itoa(row + 1)
	if place >= 26 {
		s += string(rune('a' + place/26 - 1))
	}
	return s + string(rune('a'+place%26))
}

func planedAway(job *Job, strips map[string]Strip, p *Panel) *big.Int {
	sum := new(big.Int)
	for _, row := range p.Rows {
		for _, q := range row.Pieces {
			s, known := strips[q.Strip]
			if !known {
				continue
			}
			area := new(big.Int).Mul(big.NewInt(int64(s.Width)), big.NewInt(int64(s.Thickness)))
			area.Sub(area, new(big.Int).Mul(big.NewInt(int64(row.Width)), big.NewInt(int64(p.Thickness))))
			sum.Add(sum, area.Mul(area, big.NewInt(int64(q.Length))))
		}
	}
	return sum
}

// volume turns cubic nanometres into cubic millimetres without rounding.
func volume(nm3 *big.Int) decimal.Decimal { return decimal.NewFromBigInt(nm3, -18) }

// countWood fills in the leftovers and the wood taken: a strip's unused end
// goes back when it is long enough to be a piece, else it is waste.
func (p *Panel) countWood(job *Job) {
	end := map[string]measure.Length{}
	for _, row := range p.Rows {
		for _, q := range row.Pieces {
			end[q.Strip] = max(end[q.Strip], q.From+q.Length)
		}
	}
	sum := new(big.Int)
	for _, s := range job.Strips {
		used, any := end[s.ID]
		if !any {
			continue
		}
		taken := s.Length
		if rest := s.Length - used - job.EndCut; rest > 0 && rest >= job.MinPiece {
			taken = used + job.EndCut
			p.Leftovers = append(p.Leftovers, Leftover{s.ID, taken, rest})
		}
		v := new(big.Int).Mul(big.NewInt(int64(s.Width)), big.NewInt(int64(s.Thickness)))
		sum.Add(sum, v.Mul(v, big.NewInt(int64(taken))))
	}
	p.Used = volume(sum)
}

// steps lists the uneven meetings of pieces: end to end in a row and along the
// glue line of neighbouring rows.
func steps(job *Job, strips map[string]Strip, p *Panel) []Step {
	var out []Step
	meet := func(a, b Piece, size func(Strip) measure.Length) {
		s, ok := strips[a.Strip]
		t, ok2 := strips[b.Strip]
		if !ok || !ok2 {
			return
		}
		if d := abs(size(s) - size(t)); d > 0 {
			out = append(out, Step{a.Mark, b.Mark, d})
		}
	}
	for r, row := range p.Rows {
		for i := 1; i < len(row.Pieces); i++ {
			meet(row.Pieces[i-1], row.Pieces[i], func(s Strip) measure.Length { return s.Thickness })
		}
		if r == 0 {
			continue
		}
		for _, a := range p.Rows[r-1].Pieces {
			for _, b := range row.Pieces {
				if a.At < b.At+b.Length && b.At < a.At+a.Length {
					meet(a, b, job.through)
				}
			}
		}
	}
	sort.SliceStable(out, func(i, k int) bool { return out[i].Height > out[k].Height })
	return out
}

func abs(d measure.Length) measure.Length {
	if d < 0 {
		return -d
	}
	return d
}
