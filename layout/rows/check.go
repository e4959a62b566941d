package rows

import (
	"math/big"

	"pilewright/plan/measure"
)

// Rule names one rule of a panel.
type Rule string

// The rules, and what Value and Limit of a Violation mean for each.
const (
	UnknownStrip  Rule = "unknown-strip"  // the piece is from no strip of the job
	StripOverused Rule = "strip-overused" // Value taken of Limit there is
	PieceOverlaps Rule = "piece-overlaps" // two pieces of one strip need the same wood, kerf included
	PieceShort    Rule = "piece-short"    // Value long, at least Limit
	RowLength     Rule = "row-length"     // Value long, must be Limit
	RowCount      Rule = "row-count"      // Value rows, Limit wanted (counts, not sizes)
	PanelNarrow   Rule = "panel-narrow"   // Value wide, at least Limit
	PanelThin     Rule = "panel-thin"     // Value thick, at least Limit
	JointsClose   Rule = "joints-close"   // end joints of neighbouring rows Value apart, at least Limit
	StepHigh      Rule = "step-high"      // touching pieces differ by Value, at most Limit
	LockBroken    Rule = "lock-broken"    // the locked piece is not in Row (and Place)
	Misstated     Rule = "misstated"      // a stated size, count or volume is not what the pieces give
)

// Violation is one broken rule. Row and Place count from 1; 0 = not about one.
// OtherRow and OtherPlace name the second piece where two are concerned.
type Violation struct {
	Rule                 Rule
	Row, Place           int
	OtherRow, OtherPlace int
	Strip                string
	Value, Limit         measure.Length
}

// Check reads a panel against the rules of its job, sharing nothing with the
// search. A panel that may be shown as right has no violations.
func Check(job Job, p Panel) []Violation {
	var out []Violation
	strips := map[string]Strip{}
	for _, s := range job.Strips {
		strips[s.ID] = s
	}
	type span struct {
		from, to   measure.Length
		row, place int
	}
	cuts := map[string][]span{}
	var width measure.Length
	thin := measure.Length(-1)
	joints := 0
	for r, row := range p.Rows {
		var at measure.Length
		for i, q := range row.Pieces {
			s, known := strips[q.Strip]
			if !known {
				out = append(out, Violation{Rule: UnknownStrip, Row: r + 1, Place: i + 1, Strip: q.Strip})
			}
			if q.At != at || q.Mark != mark(r, i) {
				out = append(out, Violation{Rule: Misstated, Row: r + 1, Place: i + 1, Strip: q.Strip, Value: q.At, Limit: at})
			}
			at += q.Length
			if q.Length < job.MinPiece || q.Length <= 0 {
				out = append(out, Violation{Rule: PieceShort, Row: r + 1, Place: i + 1, Strip: q.Strip, Value: q.Length, Limit: job.MinPiece})
			}
			if known {
				if q.From < 0 || q.From+q.Length > s.Length {
					out = append(out, Violation{Rule: StripOverused, Row: r + 1, Place: i + 1, Strip: q.Strip, Value: q.From + q.Length, Limit: s.Length})
				}
				for _, c := range cuts[q.Strip] {
					if q.From < c.to+job.EndCut && c.from < q.From+q.Length+job.EndCut {
						out = append(out, Violation{Rule: PieceOverlaps, Row: r + 1, Place: i + 1, OtherRow: c.row, OtherPlace: c.place, Strip: q.Strip})
					}
				}
				cuts[q.Strip] = append(cuts[q.Strip], span{q.From, q.From + q.Length, r + 1, i + 1})
				if h := job.through(s); thin < 0 || h < thin {
					thin = h
				}
			}
		}
		if at != job.Length {
			out = append(out, Violation{Rule: RowLength, Row: r + 1, Value: at, Limit: job.Length})
		}
		w := rowWidth(job, strips, row)
		if w != row.Width {
			out = append(out, Violation{Rule: Misstated, Row: r + 1, Value: row.Width, Limit: w})
		}
		width += w
		joints += max(len(row.Pieces)-1, 0)
		out = append(out, meetings(job, strips, p.Rows, r)...)
	}
	if job.Rows > 0 && len(p.Rows) != job.Rows {
		out = append(out, Violation{Rule: RowCount, Value: measure.Length(len(p.Rows)), Limit: measure.Length(job.Rows)})
	}
	if job.Rows <= 0 && width < job.Width {
		out = append(out, Violation{Rule: PanelNarrow, Value: width, Limit: job.Width})
	}
	thick := max(thin-2*job.CleanUp, 0)
	if thick < job.LeastThickness || thick <= 0 {
		out = append(out, Violation{Rule: PanelThin, Value: thick, Limit: job.LeastThickness})
	}
	if thick != p.Thickness || width != p.Width || joints != p.EndJoints || !planedMatches(job, strips, p, thick) {
		out = append(out, Violation{Rule: Misstated, Value: p.Thickness, Limit: thick})
	}
	return append(out, brokenLocks(job, p)...)
}

func rowWidth(job Job, strips map[string]Strip, row Row) measure.Length {
	narrow := measure.Length(0)
	for _, q := range row.Pieces {
		s, known := strips[q.Strip]
		if !known {
			continue
		}
		a := s.Width
		if job.OnEdge {
			a = s.Thickness
		}
		if narrow == 0 || a < narrow {
			narrow = a
		}
	}
	return max(narrow-2*job.Joining, 0)
}

// meetings checks what touches in row r and between it and the row before.
func meetings(job Job, strips map[string]Strip, all []Row, r int) []Violation {
	var out []Violation
	row := all[r].Pieces
	for i := 1; i < len(row); i++ {
		a, okA := strips[row[i-1].Strip]
		b, okB := strips[row[i].Strip]
		if d := abs(a.Thickness - b.Thickness); okA && okB && d > job.Step {
			out = append(out, Violation{Rule: StepHigh, Row: r + 1, Place: i, OtherRow: r + 1, OtherPlace: i + 1, Strip: row[i].Strip, Value: d, Limit: job.Step})
		}
	}
	if r == 0 {
		return out
	}
	before := all[r-1].Pieces
	for k, b := range before {
		for i, q := range row {
			if k > 0 && i > 0 {
				if d := abs(b.At - q.At); d < job.Stagger {
					out = append(out, Violation{Rule: JointsClose, Row: r, Place: k + 1, OtherRow: r + 1, OtherPlace: i + 1, Strip: q.Strip, Value: d, Limit: job.Stagger})
				}
			}
			s, okS := strips[b.Strip]
			t, okT := strips[q.Strip]
			if !okS || !okT || b.At >= q.At+q.Length || q.At >= b.At+b.Length {
				continue
			}
			d := abs(s.Thickness - t.Thickness)
			if job.OnEdge {
				d = abs(s.Width - t.Width)
			}
			if d > job.Step {
				out = append(out, Violation{Rule: StepHigh, Row: r, Place: k + 1, OtherRow: r + 1, OtherPlace: i + 1, Strip: q.Strip, Value: d, Limit: job.Step})
			}
		}
	}
	return out
}

// planedMatches recounts the wood planed away: wood of the pieces less wood of
// the planed rows.
func planedMatches(job Job, strips map[string]Strip, p Panel, thick measure.Length) bool {
	return volume(grossLessNet(job, strips, p, thick)).Equal(p.Planed)
}

func brokenLocks(job Job, p Panel) []Violation {
	var out []Violation
	met := map[[2]int]bool{}
	for _, l := range job.Locks {
		found := false
		if l.Row <= len(p.Rows) {
			for i, q := range p.Rows[l.Row-1].Pieces {
				at := [2]int{l.Row, i}
				if q.Strip == l.Strip && q.Flip == l.Flip && (l.Place == 0 || l.Place == i+1) && !met[at] {
					met[at], found = true, true
					break
				}
			}
		}
		if !found {
			out = append(out, Violation{Rule: LockBroken, Row: l.Row, Place: l.Place, Strip: l.Strip})
		}
	}
	return out
}

func grossLessNet(job Job, strips map[string]Strip, p Panel, thick measure.Length) *big.Int {
	gross, net := new(big.Int), new(big.Int)
	for _, row := range p.Rows {
		w := big.NewInt(int64(rowWidth(job, strips, row)))
		for _, q := range row.Pieces {
			s, known := strips[q.Strip]
			if !known {
				continue
			}
			n := big.NewInt(int64(q.Length))
			v := new(big.Int).Mul(n, big.NewInt(int64(s.Width)))
			gross.Add(gross, v.Mul(v, big.NewInt(int64(s.Thickness))))
			u := new(big.Int).Mul(n, w)
			net.Add(net, u.Mul(u, big.NewInt(int64(thick))))
		}
	}
	return gross.Sub(gross, net)
}
