package drawing

import (
	"math"
	"strings"

	"pilewright/layout/drawing/font"
	"pilewright/plan/measure"
)

// RowPiece is a piece of a panel's row.
type RowPiece struct {
	Ref, Mark, Hover string
	X, L             measure.Length
	Face             string // the one seen; empty where it does not matter
	Poor             bool   // that face is not a good one
	Rings            EndGrain
	Against          bool // its rings lie against the habit
}

// PanelRow is one row, from the near edge on.
type PanelRow struct {
	Mark             string
	Width, Thickness measure.Length
	Pieces           []RowPiece
}

// PanelView is an edge-glued panel before it is planed.
type PanelView struct {
	Title    string
	Length   measure.Length // finished, or of the longest row where zero
	Target   measure.Length // thickness after planing; zero = not shown
	Rows     []PanelRow
	Staggers []Stagger
}

// Stagger marks the distance between the end joints of neighbouring rows Row and
// Row+1 (from 0) that run from A to B along the panel.
type Stagger struct {
	Row     int
	A, B    measure.Length
	Text    string
	TooNear bool
}

// PanelRows draws a glue-up flat, the near edge below, with every piece's mark
// and the end joints, at the left of a piece how its growth rings and faces lie
// where that is known, and at its right the ends of the rows: there the steps
// between their thicknesses are drawn ten times too large, so they can be seen.
func PanelRows(v PanelView, o Options) *Picture {
	p := &Picture{Title: v.Title}
	if o.Width <= 0 {
		o.Width = defaultWidth
	}
	if o.Format == nil {
		o.Format = plainMillimetres
	}
	long, wide, thin, thick := v.Length, measure.Length(0), measure.Length(math.MaxInt64), measure.Length(0)
	for _, r := range v.Rows {
		wide += r.Width
		thin, thick = min(thin, r.Thickness), max(thick, r.Thickness)
		for _, c := range r.Pieces {
			long = max(long, c.X+c.L)
		}
	}
	if long <= 0 || wide <= 0 {
		return p
	}
	const left, ends, exaggeration, base = 12.0, 46.0, 10.0, 9.0
	s := math.Min((o.Width-left-ends)/millimetres(long), 1)
	across := s
	if least := 5.0 / (millimetres(wide) / float64(len(v.Rows))); across < least {
		across = least
	}
	h := millimetres(wide) * across
	top := 7.0
	if v.Title != "" {
		p.BoldText(RoleLabel, "", 0, 3, titleSize, Left, v.Title)
	} else {
		top = 1
	}
	bottom := top + h
	x := func(l measure.Length) float64 { return left + millimetres(l)*s }
	edge := x(long) + 13
	step := func(t measure.Length) float64 {
		k := 12 / math.Max(12, millimetres(thick-thin)*exaggeration*0.8)
		return edge + base + millimetres(t-thin)*exaggeration*0.8*k
	}
	from, faced, ringed, poor := measure.Length(0), false, false, false
	joints := make([]float64, len(v.Rows)+1) // heights of the glue lines
	joints[0] = bottom
	for i, r := range v.Rows {
		y1, y0 := bottom-millimetres(from)*across, bottom-millimetres(from+r.Width)*across
		joints[i+1] = y0
		for k, c := range r.Pieces {
			role := RolePart
			if k%2 == 1 {
				role = RolePartAlt
			}
			box := Rect{x(c.X), y0, x(c.X + c.L), y1}
			p.Rect(role, c.Ref, box)
			p.Say(c.Ref, c.Hover)
			faced, ringed, poor = faced || c.Face != "", ringed || c.Rings != NoRings, poor || c.Poor
			spotText(p, Spot{Ref: c.Ref, Mark: c.Mark, Label: o.Format(c.L)}, lie(p, c, box), "", nil)
			if k > 0 {
				p.Line(RoleOutline, "", box.X0, y0, box.X0, y1)
			}
		}
		p.Text(RoleLabel, "", x(long)+1.5, (y0+y1)/2, 2.3, Left+Centre, o.Format(r.Width))
		p.Rect(RolePartAlt, "", Rect{edge, y0, step(r.Thickness), y1})
		p.Text(RoleLabel, "", step(r.Thickness)+1.2, (y0+y1)/2, 2.3, Left+Centre, o.Format(r.Thickness))
		p.Text(RoleNote, "", left-1.5, (y0+y1)/2, 2.3, Right+Centre, r.Mark)
		from += r.Width
	}
	for _, g := range v.Staggers {
		if g.Row < 0 || g.Row+1 >= len(v.Rows) {
			continue
		}
		y, role := joints[g.Row+1], RoleDimension
		if g.TooNear {
			role = RoleWarning
		}
		p.Line(role, "", x(g.A), y, x(g.B), y)
		for _, at := range []measure.Length{g.A, g.B} {
			p.Line(role, "", x(at)-0.7, y+0.7, x(at)+0.7, y-0.7)
		}
		if g.Text != "" {
			w := 1 + font.Width(g.Text, 2.1, true)
			mid := (x(g.A) + x(g.B)) / 2
			p.Rect(RolePaper, "", Rect{mid - w/2, y - 1.2, mid + w/2, y + 1.2})
			p.Text(role, "", mid, y, 2.1, Middle+Centre, g.Text)
		}
	}
	if v.Target > 0 && v.Target <= thin {
		at := edge + base - math.Min(base-2, millimetres(thin-v.Target)*exaggeration*0.8)
		p.Line(RoleCut, "", at, top-2, at, bottom+2)
		p.Text(RoleNote, "", at, bottom+5, 2.3, Middle, o.Words.Format("planed to %s", o.Format(v.Target)))
	}
	p.DimensionH("", x(0), bottom, x(long), bottom, bottom+6, 2.5, o.Format(long))
	note := "row ends: steps %d times larger"
	if across > s {
		note = "row ends: steps %d times larger; rows drawn wider than to scale"
	}
	p.Text(RoleNote, "", left, bottom+10.5, 2.3, Left, o.Words.Format(note, int(exaggeration)))
	said := bottom + 14.2
	if ringed {
		p.Text(RoleNote, "", left, said, 2.3, Left, o.Words.Word("arcs: growth rings at the left end of a piece, its top up"))
		said += 3.7
	}
	var signs []string
	if faced {
		signs = append(signs, o.Words.Word("letter: the face seen; A bears the mark"))
	}
	if poor {
		signs = append(signs, o.Words.Word("!: a poor face is seen"))
	}
	p.Text(RoleNote, "", left, said, 2.3, Left, strings.Join(signs, "; "))
	return p
}
