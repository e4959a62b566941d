package plan

import (
	"cmp"
	"fmt"
	"slices"

	"pilewright/plan/joinery"
	"pilewright/plan/measure"
	"pilewright/plan/trade"
)

// PartSag is how a part that carries load bends.
type PartSag struct {
	Part   ID
	Span   measure.Length
	LoadKG float64
	joinery.Sag
}

// PartMove is what the seasons do to a glued-up part's width.
type PartMove struct {
	Part  ID
	Width measure.Length
	Moves measure.Length
}

// Use is how the finished piece carries, moves and stands. It informs and
// certifies nothing.
type Use struct {
	LoadKG  float64
	Assumed bool // the load was not given
	Sags    []PartSag
	Moves   []PartMove
	Stance  joinery.Stance
}

// guessedLoad is the load reckoned with where the maker gives none, in kg: a
// person seated or a shelf full of jars. Common practice, no source.
const guessedLoad = 60

// uses checks strength, movement, standing and usual sizes.
func (m *making) uses() {
	p := &m.plan
	u := Use{LoadKG: p.Project.Piece.LoadKG}
	if u.LoadKG <= 0 {
		u.LoadKG, u.Assumed = guessedLoad, true
	}
	top := -SizeLimit * 2
	for _, c := range p.Copies {
		top = max(top, c.Box.Max[Z])
	}
	for _, sp := range p.Parts {
		if sp.N == 0 {
			continue
		}
		if s, ok := m.sag(sp, u, top); ok {
			u.Sags = append(u.Sags, s)
			m.useFindings(sp.ID, s.Findings)
		}
		if moves, ok := m.moves(sp); ok {
			u.Moves = append(u.Moves, moves)
		}
	}
	m.assumptions()
	var bodies []joinery.Weighted
	for i, b := range p.Frame.Bodies {
		part, _ := p.Part(p.Copies[i].Part)
		bodies = append(bodies, joinery.Weighted{Box: b.Bounds(), KG: joinery.WeightKG(b.Volume(), m.woodOf(part), p.Project.Shop.HomeMoisture)})
	}
	u.Stance = joinery.Stand(bodies)
	m.useFindings(0, u.Stance.Findings)
	m.heights()
	p.Frame.Use = u
}

func (m *making) useFindings(part ID, list []joinery.Finding) {
	for _, f := range list {
		t := joinery.Explain(f, m.say)
		if sp, ok := m.plan.Part(part); ok {
			t.What = fmt.Sprintf("The %s: %s", sp.Name, lowerFirst(t.What))
		}
		m.use = append(m.use, Finding{Code: "use." + string(f.Code), Severity: Severity(f.Severity), Subject: Subject{Room: "piece", Part: part}, Text: t.What, Do: t.Do, Source: t.Source})
	}
}

func lowerFirst(s string) string {
	if s == "" || s[0] < 'A' || s[0] > 'Z' {
		return s
	}
	return string(s[0]+'a'-'A') + s[1:]
}

// woodOf is the species a part is reckoned with: its own, else the commonest of
// the pile.
func (m *making) woodOf(sp SizedPart) string {
	if sp.Species != "" {
		return sp.Species
	}
	if m.commonest == nil {
		count := map[string]int{}
		best := ""
		for _, b := range m.plan.Project.Boards {
			count[b.Species]++
			if n := count[b.Species]; n > count[best] || n == count[best] && b.Species < best {
				best = b.Species
			}
		}
		m.commonest = &best
	}
	return *m.commonest
}

// assumptions says once for each species what it was taken for.
func (m *making) assumptions() {
	var said []string
	for _, sp := range m.plan.Parts {
		name := m.woodOf(sp)
		if sp.N == 0 || slices.Contains(said, name) {
			continue
		}
		said = append(said, name)
		if f, ok := joinery.Assumed(name); ok {
			m.useFindings(0, []joinery.Finding{f})
		}
	}
}

// seats are the kinds of piece whose load comes and goes.
var seats = []string{"bench", "stool", "chair"}

// sag bends a level part under its share of the load. Below the top, where no load
// was given, a level carries what a shelf usually does.
func (m *making) sag(sp SizedPart, u Use, top measure.Length) (PartSag, bool) {
	load := u.LoadKG
	c := m.plan.Copies[sp.First]
	if c.Along == Z {
		return PartSag{}, false
	}
	b := joinery.Bending{Species: m.woodOf(sp), Span: m.span(sp.First), LoadKG: load}
	switch sp.Role {
	case RoleSlat:
		b.LoadKG = load / float64(max(m.under(sp), 1))
		if usual, ok := trade.UsualLoadOf(string(RoleShelf)); ok && u.Assumed && c.Box.Max[Z] < top {
			b.LoadKG = usual.KGPerSquareM * metres(sp.L) * metres(sp.W)
		}
	case RoleTop:
	case RoleShelf:
		if usual, ok := trade.UsualLoadOf(string(RoleShelf)); ok && u.Assumed {
			b.LoadKG = usual.KGPerSquareM * metres(sp.L) * metres(sp.W)
		}
	case RoleRail:
		b.LoadKG, b.Held = load/2, true
	default:
		return PartSag{}, false
	}
	b.Brief = slices.Contains(seats, m.plan.Project.Piece.Kind) && c.Box.Max[Z] == top
	b.Width, b.Depth = sp.W, sp.T
	if c.Thick != Z {
		b.Width, b.Depth = sp.T, sp.W
	}
	return PartSag{sp.ID, b.Span, b.LoadKG, joinery.Bend(b)}, true
}

// under is how many slats share the load: those of one level.
func (m *making) under(sp SizedPart) int {
	level, n := m.plan.Copies[sp.First].Box.Max[Z], 0
	for i := sp.First; i < sp.First+sp.N; i++ {
		n += boolInt(m.plan.Copies[i].Box.Max[Z] == level)
	}
	return n
}

// span is the free length of a copy between what it touches at either side of
// its middle; its whole length where it touches nothing there.
func (m *making) span(i int) measure.Length {
	c := m.plan.Copies[i]
	a := c.Along
	lo, hi := c.Box.Min[a], c.Box.Max[a]
	mid := (lo + hi) / 2
	left, right := lo, hi
	foundLeft, foundRight := false, false
	for _, t := range m.plan.Frame.Fit.Contacts {
		other := ""
		switch c.Mark {
		case t.A:
			other = t.B
		case t.B:
			other = t.A
		default:
			continue
		}
		o, ok := m.plan.Copy(other)
		if !ok || o.Box.Min[a] <= mid && o.Box.Max[a] >= mid || c.Along == o.Along {
			continue
		}
		if end := o.Box.Max[a]; end <= mid && (!foundLeft || end > left) {
			left, foundLeft = end, true
		}
		if end := o.Box.Min[a]; end >= mid && (!foundRight || end < right) {
			right, foundRight = end, true
		}
	}
	return right - left
}

// moves reckons the seasons' movement of a wide part and warns where it is held.
func (m *making) moves(sp SizedPart) (PartMove, bool) {
	if sp.Role != RoleTop && sp.Role != RoleShelf && sp.Role != RoleSide || sp.W < 4*sp.T {
		return PartMove{}, false
	}
	held := false
	for _, j := range m.plan.Frame.Joints {
		for _, at := range [][2]int{{j.A, j.B}, {j.B, j.A}} {
			c, o := m.plan.Copies[at[0]], m.plan.Copies[at[1]]
			if c.Part == sp.ID && !j.Rule.Dry && o.Along == c.Across() {
				held = true
			}
		}
	}
	moves, findings := joinery.Panel(m.woodOf(sp), sp.W, held, m.joineryTools())
	m.useFindings(sp.ID, findings)
	return PartMove{sp.ID, sp.W, moves}, true
}

// kneesLeast is the height of a rail below which nobody's knees would go: a lower
// rail is a stretcher. Common practice, no source.
const kneesLeast = 300 * measure.Millimetre

// heights compares the piece with the usual heights of its kind.
func (m *making) heights() {
	if len(m.plan.Copies) == 0 {
		return
	}
	low, high := m.plan.Frame.Bodies[0].Bounds().Min[Z], m.plan.Frame.Bodies[0].Bounds().Max[Z]
	for _, body := range m.plan.Frame.Bodies {
		low, high = min(low, body.Bounds().Min[Z]), max(high, body.Bounds().Max[Z])
	}
	rail := high // the lowest rail under which knees could go
	for i, c := range m.plan.Copies {
		b := m.plan.Frame.Bodies[i].Bounds()
		if part, _ := m.plan.Part(c.Part); part.Role == RoleRail && c.Along == X && b.Min[Z]-low > kneesLeast {
			rail = min(rail, b.Min[Z])
		}
	}
	room := rail - low
	if rail == high {
		room = 0
	}
	kind := m.plan.Project.Piece.Kind
	if kind == "table" {
		kind = nearestTable(high - low)
	}
	m.useFindings(0, joinery.Heights(kind, high-low, room))
}

// nearestTable is the kind of table whose usual height is nearest.
func nearestTable(height measure.Length) string {
	off := func(u trade.UsualSize) measure.Length { return max(u.Low-height, height-u.High, 0) }
	tables := slices.DeleteFunc(slices.Clone(trade.UsualSizes), func(u trade.UsualSize) bool { return u.Kind == "chair" || u.Kind == "bench" })
	if len(tables) == 0 {
		return ""
	}
	return slices.MinFunc(tables, func(a, b trade.UsualSize) int { return cmp.Compare(off(a), off(b)) }).Kind
}
