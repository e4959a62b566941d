package drawing

import (
	"math"

	"pilewright/layout/drawing/font"
)

// Share is a part of a sum.
type Share struct {
	Ref, Label, Text, Hover string // Text is the amount as written
	Value                   float64
}

// shareLook is how a share is told from its neighbours in black and white.
type shareLook struct {
	role  Role
	angle float64
	space float64 // 0: no hatching
}

var shareLooks = []shareLook{{RoleBarA, 0, 0}, {RoleBarC, 45, 1.3}, {RoleBarB, 0, 0}, {RoleBarD, 135, 1.3}, {RolePaper, 0, 0}, {RoleBarD, 0, 0}, {RoleBarC, 90, 1}, {RoleBarC, 0, 1}}

func shareBar(p *Picture, i int, ref string, r Rect) {
	look := shareLooks[i%len(shareLooks)]
	if look.role == RoleBarC {
		p.Rect(RolePaper, ref, r)
	} else {
		p.Rect(look.role, ref, r)
	}
	if look.space > 0 {
		p.Hatch(RoleDimension, ref, look.angle, look.space, r.corners()...)
	}
	p.Rect(RoleThin, ref, r)
}

// MakeUpView is a sum and what it is made of, as a cost and its parts, with a
// mark such as the price.
type MakeUpView struct {
	Title  string
	Shares []Share
	Mark   float64 // value marked on the bar's scale; 0 = none
	Text   string  // of the mark
}

// MakeUp draws a bar of its shares, a line for each below with its amount and per
// cent of the sum, and the mark. Shares of nothing or less are listed but have no bar.
func MakeUp(v MakeUpView, o Options) *Picture {
	p := &Picture{Title: v.Title}
	if o.Width <= 0 {
		o.Width = defaultWidth
	}
	sum := 0.0
	for _, s := range v.Shares {
		sum += math.Max(0, s.Value)
	}
	most := math.Max(sum, v.Mark)
	if !(most > 0) || math.IsInf(most, 0) {
		return p
	}
	y := 0.0
	if v.Title != "" {
		p.BoldText(RoleLabel, "", 0, 3, titleSize, Left, v.Title)
		y = 6
	}
	if v.Mark > 0 {
		y += 4
	}
	const high = 9.0
	x := 0.0
	for i, s := range v.Shares {
		w := math.Max(0, s.Value) / most * o.Width
		if w > 0 {
			shareBar(p, i, s.Ref, Rect{x, y, x + w, y + high})
		}
		p.Say(s.Ref, s.Hover)
		x += w
	}
	if v.Mark > 0 {
		at := v.Mark / most * o.Width
		p.Line(RoleOutline, "", at, y-2, at, y+high+2)
		align := Middle
		if w := font.Width(v.Text, 2.5, false); at+w/2 > o.Width {
			align = Right
		} else if at < w/2 {
			align = Left
		}
		p.Text(RoleLabel, "", at, y-2.8, 2.5, align, v.Text)
	}
	y += high + 4
	amounts := 0.0
	names := 0.0
	for _, s := range v.Shares {
		names = math.Max(names, font.Width(s.Label, 2.6, false))
		amounts = math.Max(amounts, font.Width(s.Text, 2.6, false))
	}
	names = math.Min(names, o.Width*0.5)
	for i, s := range v.Shares {
		shareBar(p, i, s.Ref, Rect{0, y, 6, y + 2.8})
		p.Text(RoleLabel, s.Ref, 8, y+1.4, 2.6, Centre, font.Fit(s.Label, 2.6, names, false))
		p.Text(RoleLabel, s.Ref, 8+names+6+amounts, y+1.4, 2.6, Right+Centre, s.Text)
		if sum > 0 {
			p.Text(RoleNote, s.Ref, 8+names+6+amounts+12, y+1.4, 2.6, Right+Centre, percent(s.Value/sum))
		}
		y += 4.2
	}
	return p
}

func percent(part float64) string {
	return plainNumber(math.Round(part*100)) + " %"
}

// Against is one phase's target and what it took, in any one unit.
type Against struct {
	Ref, Label, Hover string
	Target, Actual    float64
	Text              string // what to write behind the bars
	Running           bool   // not finished yet
}

// TargetsAndActuals draws for each phase the target as an open bar and the
// actual as a filled one within it; what goes beyond the target is hatched.
func TargetsAndActuals(rows []Against, o Options) *Picture {
	p := &Picture{Title: "Targets and actuals"}
	if o.Width <= 0 {
		o.Width = defaultWidth
	}
	const row, size = 7.0, 2.6
	most, labels, texts := 0.0, 0.0, 0.0
	for _, r := range rows {
		most = math.Max(most, math.Max(r.Target, r.Actual))
		labels = math.Max(labels, font.Width(r.Label, size, false))
		texts = math.Max(texts, font.Width(r.Text, size, false))
	}
	if !(most > 0) || math.IsInf(most, 0) {
		return p
	}
	labels = math.Min(labels, o.Width*0.3) + 3
	width := math.Max(20, o.Width-labels-texts-3)
	x := func(v float64) float64 { return labels + math.Max(0, v)/most*width }
	for i, r := range rows {
		y := float64(i) * row
		p.Text(RoleLabel, r.Ref, 0, y+2.5, size, Centre, font.Fit(r.Label, size, labels-2, false))
		p.Say(r.Ref, r.Hover)
		if r.Target > 0 {
			p.Rect(RoleLeftover, r.Ref, Rect{x(0), y, x(r.Target), y + 5})
		}
		within := math.Min(r.Actual, math.Max(r.Target, 0))
		if within > 0 {
			p.Rect(RoleBarA, r.Ref, Rect{x(0), y + 1.2, x(within), y + 3.8})
		}
		if r.Actual > within {
			beyond := Rect{x(within), y + 1.2, x(r.Actual), y + 3.8}
			p.Hatch(RoleDefect, r.Ref, 45, 0.9, beyond.corners()...)
			p.Rect(RoleDefect, r.Ref, beyond)
		}
		if r.Running && r.Actual > 0 {
			p.Polygon(RoleKerf, r.Ref, Point{x(r.Actual), y + 1.2}, Point{x(r.Actual) + 1.6, y + 2.5}, Point{x(r.Actual), y + 3.8})
		}
		p.Text(RoleLabel, r.Ref, math.Max(x(r.Target), x(r.Actual))+2.4, y+2.5, size, Centre, r.Text)
	}
	y := float64(len(rows))*row + 1
	keys(p, labels, y, []key{{RoleLeftover, o.Words.Word("target")}, {RoleBarA, o.Words.Word("taken")}})
	over := Rect{labels + 42, y, labels + 48, y + 2.6}
	p.Hatch(RoleDefect, "", 45, 0.9, over.corners()...)
	p.Rect(RoleDefect, "", over)
	p.Text(RoleNote, "", labels+49.2, y+1.3, 2.3, Centre, o.Words.Word("beyond target"))
	return p
}
