package plan

import (
	"cmp"
	"fmt"
	"slices"

	"pilewright/plan/measure"
)

// GlueUp is one panel or lamination to be glued.
type GlueUp struct {
	Key       string // "part/number"
	Part      ID
	Copy      string   // mark of the copy it becomes
	Copies    []string // marks of all copies parted from it; one but for short parts
	Name      string
	Way       Way
	Panel     Panel          // rows of a panel; for a lamination one row a layer
	Length    measure.Length // rough, as glued
	Width     measure.Length
	Thickness measure.Length
	Target    measure.Length // thickness it is planed to
	GlueArea  measure.Area   // of all glue lines
	Beds      [][2]int       // rows (from, to) of each part that passes the planer; one = in one go
	Clamping  Clamping
}

// Ref names one cut blank: its key and its number.
func (c CutPiece) Ref() string { return fmt.Sprintf("%s#%d", c.Blank, c.N) }

// cutAt is a cut piece with the board it came from.
type cutAt struct {
	piece CutPiece
	board Board
}

// cutPieces lists the pieces cut of each blank key, thickest board first.
func (m *making) cutPieces() map[string][]cutAt {
	out := map[string][]cutAt{}
	for _, cb := range m.plan.Cuts.Boards {
		b, ok := m.plan.Project.Board(cb.Board)
		if !ok {
			continue
		}
		for _, p := range cb.Pieces {
			out[p.Blank] = append(out[p.Blank], cutAt{p, b})
		}
	}
	for _, r := range m.plan.Project.Ready {
		blank, ok := m.plan.Blank(r.Cut.Blank)
		if b, there := m.plan.Project.Board(r.Board); there && ok && m.readyFor(r, blank) && slices.Contains(blank.Done, r.Cut.N) {
			out[r.Cut.Blank] = append(out[r.Cut.Blank], cutAt{r.Cut, b})
		}
	}
	for _, list := range out {
		slices.SortStableFunc(list, func(a, b cutAt) int {
			return cmp.Or(cmp.Compare(b.board.Thickness, a.board.Thickness), cmp.Compare(a.piece.N, b.piece.N))
		})
	}
	return out
}

// glueUps composes every panel and lamination whose blanks are all there.
func (m *making) glueUps() {
	m.plan.GlueUps, m.glue = nil, nil
	pieces := m.cutPieces()
	marks := slices.DeleteFunc(slices.Clone(m.plan.Project.Choices), func(c Choice) bool { return c.Kind != RingsMark })
	for _, pw := range m.plan.Ways {
		o, ok := pw.Choice()
		if !ok || o.Way == Solid {
			continue
		}
		sp, _ := m.plan.Part(pw.Part)
		each := max(o.Gang, 1)
		for c := range ganged(sp.N, each) {
			strips, whole := stripsOf(o, pieces, c, marks)
			if !whole && o.Mixed {
				continue // another may have its own
			}
			if !whole {
				break
			}
			g := GlueUp{Key: fmt.Sprintf("%d/%d", sp.ID, c+1), Part: sp.ID, Copy: m.plan.Copies[sp.First+c*each].Mark, Name: sp.Name, Way: o.Way, Target: planable(&m.plan.Project.Shop, sp.T)}
			for i := c * each; i < min((c+1)*each, sp.N); i++ {
				g.Copies = append(g.Copies, m.plan.Copies[sp.First+i].Mark)
			}
			if o.Way == Laminated {
				m.laminate(&g, sp, strips)
			} else if !m.panel(&g, o, o.rowsOf(c), sp, strips) {
				continue
			}
			m.clamp(&g)
			m.plan.GlueUps = append(m.plan.GlueUps, g)
		}
	}
}

// stripsOf gives copy c of an option its share of the cut blanks.
func stripsOf(o WayOption, pieces map[string][]cutAt, c int, marks []Choice) ([]Strip, bool) {
	var out []Strip
	for _, b := range o.Blanks {
		list := pieces[b.Key]
		from := c * b.PerCopy
		switch b.Up {
		case 0:
		case c + 1:
			from = 0 // all of them are this one's
		default:
			continue
		}
		if len(list) < from+b.PerCopy {
			return nil, false
		}
		for _, p := range list[from : from+b.PerCopy] {
			out = append(out, p.strip(marks))
		}
	}
	return out, true
}

// strip is a cut piece as a strip, with what its board and the maker's marks tell
// of its faces and growth rings; marks are those of rings.
func (p cutAt) strip(marks []Choice) Strip {
	s := Strip{ID: p.piece.Ref(), Mark: p.piece.Mark, Length: p.piece.Length, Width: p.piece.Width, Thickness: p.board.Thickness, Faces: p.board.Faces, Rings: p.board.Rings}
	for _, d := range p.board.Defects {
		top := d.AcrossTo
		if top == 0 {
			top = p.board.Width
		}
		if d.From < p.piece.X+p.piece.Length && d.To > p.piece.X && d.AcrossFrom < p.piece.Y+p.piece.Width && top > p.piece.Y {
			s.Defects = append(s.Defects, d)
		}
	}
	for _, c := range marks {
		if c.Blank == s.ID && c.Board == p.board.ID {
			s.Rings = c.Rings
		}
	}
	s.Rings = s.Rings.known()
	return s
}

// laminate lays the layers face to face, those with a good face outside.
func (m *making) laminate(g *GlueUp, sp SizedPart, strips []Strip) {
	slices.SortStableFunc(strips, func(a, b Strip) int {
		return cmp.Compare(boolInt(b.Sightly()), boolInt(a.Sightly()))
	})
	if n := len(strips); n > 2 { // the second cleanest goes to the other outside
		strips[1], strips[n-1] = strips[n-1], strips[1]
	}
	g.Panel.Proved = true
	for i, s := range strips {
		g.Panel.Rows = append(g.Panel.Rows, PanelRow{Width: s.Width, Thickness: s.Thickness,
			Pieces: []PanelPiece{{Mark: fmt.Sprintf("%d", i+1), Strip: s.ID, Length: s.Length}}})
		g.Length, g.Width = s.Length, s.Width
		g.Thickness += s.Thickness
	}
	g.Panel.Length, g.Panel.Width, g.Panel.Thickness = g.Length, g.Width, g.Target
	g.GlueArea = measure.AreaOf(g.Length, g.Width).Times(len(strips) - 1)
	g.Beds = [][2]int{{1, len(strips)}}
	m.faces(g, sp, strips, nil)
}

// faces lays the faces of a composed panel and tells what can't be had.
func (m *making) faces(g *GlueUp, sp SizedPart, strips []Strip, locks []RowLock) {
	layFaces(&g.Panel, g.Way, strips, locks, m.plan.Project.Shop.RingHabit)
	if sp.Grade == Hidden {
		for i := range g.Panel.Rows {
			for k := range g.Panel.Rows[i].Pieces {
				g.Panel.Rows[i].Pieces[k].Poor = false // none is seen
			}
		}
	}
	m.faceFindings(g, sp, strips)
}

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}

// quickRows is the effort of composing a panel while better cuts may follow.
const quickRows = 20_000

// panel composes the rows; false where the solver gave up.
func (m *making) panel(g *GlueUp, o WayOption, rows int, sp SizedPart, strips []Strip) bool {
	shop, piece := &m.plan.Project.Shop, &m.plan.Project.Piece
	_, full := gang(shop, sp.N, m.plan.Frame.LongestOf(sp))
	job := PanelJob{
		Strips: strips, OnEdge: o.Way == OnEdge, Rows: rows, LeastThickness: g.Target,
		Length:  full,
		Joining: shop.WidthAllowance / 2, EndCut: shop.Kerf("crosscut"), CleanUp: shop.CleanUp / 2,
		Step: cmp.Or(piece.StepLimit, shop.StepLimit), Say: m.say,
	}
	if o.Way == OnEdge {
		job.Joining = shop.PlaneAllowance / 2
	}
	if m.plan.Phase != "" {
		job.Work = quickRows
	}
	job.MinPiece = min(shop.PieceMin, job.Length)
	if o.Pieces > 1 {
		job.Stagger = cmp.Or(piece.Stagger, shop.Stagger)
	}
	for _, c := range m.plan.Project.Choices {
		if c.Kind == RowPlace && slices.ContainsFunc(strips, func(s Strip) bool { return s.ID == c.Blank }) {
			job.Locks = append(job.Locks, RowLock{Strip: c.Blank, Row: c.Row, Place: c.Place, Flip: c.Flip, AnyFace: c.AnyFace})
		}
	}
	asked := job
	if o.Mixed && o.Pieces > 1 {
		asked.Locks = likeInWidth(job, sp)
	}
	p, err := m.tools.Compose(m.untilDone(), asked)
	sub := Subject{Room: "glue-ups", Part: sp.ID, Marks: []string{g.Copy}}
	if err != nil {
		m.glue = append(m.glue, Finding{Code: "rows.failed", Severity: Stop, Subject: sub, Text: fmt.Sprintf("The rows of the %s can't be composed: %v.", g.Name, err), Do: "Lock another way for the part."})
		return false
	}
	for _, f := range p.Faults {
		m.glue = append(m.glue, Finding{Code: "rows.rule", Severity: Warn, Subject: sub, Text: fmt.Sprintf("%s %s: %s", g.Name, g.Copy, f), Do: "Change the rule at the piece, or the way the part is made.", Source: "row composition"})
	}
	if len(p.Rows) == 0 {
		return false
	}
	if o.Mixed {
		p = m.inFewerBeds(p, job)
	}
	g.Panel, g.Length, g.Width, g.Thickness = p, p.Length, p.Width, p.Thickness
	for i := 1; i < len(p.Rows); i++ {
		high := min(p.Rows[i-1].Thickness, p.Rows[i].Thickness)
		g.GlueArea = g.GlueArea.Add(measure.AreaOf(p.Length, high))
	}
	m.faces(g, sp, strips, job.Locks)
	m.beds(g, job.OnEdge)
	return true
}

// beds parts a panel that is wider than the planer into glue-ups that pass it.
func (m *making) beds(g *GlueUp, onEdge bool) {
	n := len(g.Panel.Rows)
	g.Beds = [][2]int{{1, n}}
	planer, ok := m.plan.Project.Shop.Machine("planer")
	if !ok || planer.MaxWidth == 0 || g.Width <= planer.MaxWidth {
		return
	}
	g.Beds = evenBeds(g.Panel.Rows, planer.MaxWidth)
	m.glue = append(m.glue, Finding{Code: "panel.bed", Severity: Note, Subject: Subject{Room: "glue-ups", Part: g.Part, Marks: []string{g.Copy}},
		Text: fmt.Sprintf("The %s is %s wide, the %s takes %s: it is glued as %d parts, planed, then joined.", g.Name, m.say(g.Width), planer.Name, m.say(planer.MaxWidth), len(g.Beds)),
		Do:   "Keep the last joint flush, so that sanding flattens it.", Source: "planer width of the shop"})
}

// evenBeds parts rows into the fewest runs that each pass a bed so wide, as equal
// in width as can be; a row wider than the bed is a run of its own.
func evenBeds(rows []PanelRow, bed measure.Length) [][2]int {
	fill := func(limit measure.Length) (beds [][2]int) {
		from, in := 0, measure.Length(0)
		for i, r := range rows {
			if i > from && in+r.Width > limit {
				beds = append(beds, [2]int{from + 1, i})
				from, in = i, 0
			}
			in += r.Width
		}
		return append(beds, [2]int{from + 1, len(rows)})
	}
	fewest := len(fill(bed))
	lo, hi := measure.Length(0), bed // hi: a limit that takes no more runs
	for lo+1 < hi {
		if mid := lo + (hi-lo)/2; len(fill(mid)) <= fewest {
			hi = mid
		} else {
			lo = mid
		}
	}
	return fill(hi)
}
