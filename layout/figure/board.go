// Package figure turns the plan's nouns into drawings: boards with their cuts,
// the piece from all sides, parts, joints, glue-ups. The screen, the build sheet
// and the exported figures all draw these. How a drawing looks is decided in
// layout/drawing; what is planned, in plan.
package figure

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pilewright/layout/drawing"
	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/plan/words"
)

// Refs of what is drawn, for picking: a board by ID, a piece of it by blank key
// and number, a leftover or defect of a board by its place in the list.
func BoardRef(id plan.ID) string              { return "board:" + strconv.FormatInt(int64(id), 10) }
func PieceRef(c plan.CutPiece) string         { return "blank:" + c.Ref() }
func DefectRef(board plan.ID, i int) string   { return fmt.Sprintf("defect:%d:%d", board, i) }
func leftoverRef(board plan.ID, i int) string { return fmt.Sprintf("leftover:%d:%d", board, i) }
func CopyRef(mark string) string              { return "copy:" + mark }

// say writes lengths the way the project's shop shows them.
func say(p *plan.Project) func(measure.Length) string {
	style := p.Shop.Style()
	return func(l measure.Length) string { return measure.Format(l, style) }
}

// Numbers writes the figures of drawings: as the shop shows lengths, without the
// mm, which is noted once.
func Numbers(p *plan.Project) func(measure.Length) string {
	f := say(p)
	return func(l measure.Length) string { return strings.TrimSuffix(f(l), " mm") }
}

// PlanNumbers is Numbers in the language of the plan.
func PlanNumbers(p *plan.Plan) func(measure.Length) string {
	n := Numbers(p.Project)
	return func(l measure.Length) string { return p.Words.Number(n(l)) }
}

// sayPlan is say in the language of the plan.
func sayPlan(p *plan.Plan) func(measure.Length) string {
	f := say(p.Project)
	return func(l measure.Length) string { return p.Words.Number(f(l)) }
}

func size(p *plan.Project, a, b, c measure.Length) string {
	f := say(p)
	return f(a) + " x " + f(b) + " x " + f(c)
}

// Board is a board of the pile as measured, with its trims and defects.
func Board(p *plan.Project, b plan.Board) drawing.BoardView { return board(p, b, nil) }

func board(p *plan.Project, b plan.Board, w *words.Language) drawing.BoardView {
	f := say(p)
	v := drawing.BoardView{
		Ref: BoardRef(b.ID), Title: b.Mark + "  " + w.Word(b.Species), Size: size(p, b.Length, b.Width, b.Thickness),
		Length: b.Length, Width: b.Width, TrimLeft: b.TrimLeft, TrimRight: b.TrimRight,
	}
	v.Hover = w.Format("Board %s, %s, %s", b.Mark, w.Word(b.Species), v.Size)
	for i, d := range b.Defects {
		to := d.AcrossTo
		if to == 0 {
			to = b.Width
		}
		v.Flaws = append(v.Flaws, drawing.Flaw{Area: drawing.Area{X: d.From, Y: d.AcrossFrom, L: d.To - d.From, W: to - d.AcrossFrom}, Ref: DefectRef(b.ID, i), Kind: string(d.Kind),
			Hover: flawSaid(w, d, f), Allowed: d.Kind.HiddenMayHold()})
	}
	return v
}

// flawSaid tells of a defect under the pointer.
func flawSaid(w *words.Language, d plan.Defect, f func(measure.Length) string) string {
	kind := w.Word(string(d.Kind))
	switch d.Side {
	case plan.FaceA:
		return w.Format("%s from %s to %s, on face A only", kind, f(d.From), f(d.To))
	case plan.FaceB:
		return w.Format("%s from %s to %s, on face B only", kind, f(d.From), f(d.To))
	}
	return w.Format("%s from %s to %s", kind, f(d.From), f(d.To))
}

// Cut is a board with what is cut from it and, under it, the tape line: the
// running places a maker marks with a tape hooked on the left end.
func Cut(p *plan.Plan, cb plan.CutBoard) (drawing.BoardView, bool) {
	b, ok := p.Project.Board(cb.Board)
	if !ok {
		return drawing.BoardView{}, false
	}
	f, n := sayPlan(p), PlanNumbers(p)
	v := board(p.Project, b, p.Words)
	kerf := map[bool]measure.Length{false: p.Project.Shop.Kerf("crosscut"), true: p.Project.Shop.Kerf("rip")}
	var tape []measure.Length
	for i, c := range cb.Pieces {
		name := c.Blank
		if bl, ok := p.Blank(c.Blank); ok {
			name = bl.Name
		}
		v.Pieces = append(v.Pieces, drawing.Spot{Area: drawing.Area{X: c.X, Y: c.Y, L: c.Length, W: c.Width}, Ref: PieceRef(c), Mark: c.Mark, Label: n(c.Length) + " x " + n(c.Width),
			Hover: p.Words.Format("%s %s: %s x %s from board %s at %s", name, c.Mark, f(c.Length), f(c.Width), b.Mark, f(c.X)), Alt: i%2 == 1})
		tape = append(tape, c.X, c.X+c.Length)
	}
	for i, l := range cb.Leftovers {
		v.Leftovers = append(v.Leftovers, drawing.Spot{Area: drawing.Area{X: l.X, Y: l.Y, L: l.Length, W: l.Width}, Ref: leftoverRef(b.ID, i), Mark: p.Words.Word("keep"), Label: n(l.Length) + " x " + n(l.Width),
			Hover: p.Words.Format("Leftover of %s: %s x %s goes back to the pile", b.Mark, f(l.Length), f(l.Width))})
		tape = append(tape, l.X, l.X+l.Length)
	}
	for _, s := range cb.Saws {
		k := drawing.Area{X: s.At, Y: s.From, L: kerf[s.Rip], W: s.To - s.From}
		if s.Rip {
			k = drawing.Area{X: s.From, Y: s.At, L: s.To - s.From, W: kerf[s.Rip]}
		}
		v.Kerfs = append(v.Kerfs, k)
	}
	slices.Sort(tape)
	for _, x := range slices.Compact(tape) {
		if x > 0 && x < b.Length {
			v.Tape = append(v.Tape, drawing.TapeMark{X: x, Text: n(x)})
		}
	}
	return v, true
}

// CutBoards draws every board that is cut, to one scale, width millimetres of
// paper wide.
func CutBoards(p *plan.Plan, width float64) *drawing.Picture {
	var views []drawing.BoardView
	for _, cb := range p.Cuts.Boards {
		if v, ok := Cut(p, cb); ok {
			views = append(views, v)
		}
	}
	return drawing.Boards(views, drawing.BoardsOptions{Width: width, Legend: true, Format: PlanNumbers(p), Words: p.Words})
}

// OneBoard draws one board as large as fits, cut where the plan cuts it. p may be
// nil: the board is then drawn as it lies in the pile.
func OneBoard(project *plan.Project, p *plan.Plan, id plan.ID, width float64) *drawing.Picture {
	opt := drawing.BoardsOptions{Width: width, Legend: true, Format: Numbers(project)}
	var w *words.Language
	if p != nil {
		w, opt.Words = p.Words, p.Words
		for _, cb := range p.Cuts.Boards {
			if cb.Board != id {
				continue
			}
			if v, ok := Cut(p, cb); ok {
				return drawing.Board(v, opt)
			}
		}
	}
	b, ok := project.Board(id)
	if !ok {
		return &drawing.Picture{}
	}
	return drawing.Board(board(project, b, w), opt)
}

// Panel draws a glue-up as its rows lie, before it is planed.
func Panel(p *plan.Plan, g plan.GlueUp, width float64) *drawing.Picture {
	return drawing.PanelRows(PanelView(p, g), drawing.JointOptions{Width: width, Format: PlanNumbers(p), Words: p.Words})
}

// PanelView is a glue-up as its rows lie.
func PanelView(p *plan.Plan, g plan.GlueUp) drawing.PanelView {
	f := sayPlan(p)
	v := drawing.PanelView{Title: fmt.Sprintf("%s %s", g.Name, g.Copy), Length: g.Panel.Length, Target: g.Target}
	var ends [][]measure.Length
	for i, r := range g.Panel.Rows {
		row := drawing.PanelRow{Mark: strconv.Itoa(i + 1), Width: r.Width, Thickness: r.Thickness}
		var joints []measure.Length
		for k, q := range r.Pieces {
			mark := cmp.Or(q.Chalk, q.Mark)
			hover := []string{p.Words.Format("%s in row %d, %s long", mark, i+1, f(q.Length))}
			for _, text := range q.Lies(g.Way) {
				hover = append(hover, p.Words.Word(text))
			}
			row.Pieces = append(row.Pieces, drawing.RowPiece{Ref: "strip:" + q.Strip, Mark: mark, X: q.At, L: q.Length, Hover: strings.Join(hover, ", "),
				Face: strings.ToUpper(string(q.Face)), Poor: q.Poor, Rings: endGrain(q.Rings, g.Way), Against: q.Against})
			if k > 0 {
				joints = append(joints, q.At)
			}
		}
		ends = append(ends, joints)
		v.Rows = append(v.Rows, row)
	}
	least := cmp.Or(p.Project.Piece.Stagger, p.Project.Shop.Stagger)
	for i := 1; i < len(ends); i++ {
		for _, a := range ends[i-1] {
			for _, b := range ends[i] {
				d := max(a-b, b-a)
				if d <= 3*least {
					v.Staggers = append(v.Staggers, drawing.Stagger{Row: i - 1, A: min(a, b), B: max(a, b), Text: PlanNumbers(p)(d), TooNear: d < least})
				}
			}
		}
	}
	return v
}

// endGrain is how rings look at the left end of a piece that lies in a panel: a
// strip on edge stands with its upper face to the near edge, which is at the right.
func endGrain(r plan.Rings, w plan.Way) drawing.EndGrain {
	up, down, upright := drawing.RingsUp, drawing.RingsDown, drawing.RingsUpright
	if w == plan.OnEdge {
		up, down, upright = drawing.RingsRight, drawing.RingsLeft, drawing.RingsLevel
	}
	switch r {
	case plan.BarkUp:
		return up
	case plan.BarkDown:
		return down
	case plan.Upright:
		return upright
	}
	return drawing.NoRings
}
