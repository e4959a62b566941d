package glueups

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fyne.io/fyne/v2/lang"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
	"pilewright/ui/session"
)

// Columns of the table of glue-ups.
const (
	colPart = iota
	colWay
	colRows
	colSize
	colThick
	colPlaned
	colProof
	colClamps
	colTimes
	colGlue
)

func (r *Room) listGrid() *control.Grid {
	list := func() []plan.GlueUp { return r.plan().GlueUps }
	g := control.NewGrid([]control.Column{
		{Title: lang.L("Part"), Width: 72, Stretch: true}, {Title: lang.L("Way"), Width: 80}, {Title: lang.L("Rows"), Width: 50, Numeric: true, Tip: lang.L("rows of a panel, or layers of a lamination; after the stroke the end joints within the rows")},
		{Title: lang.L("As glued"), Width: 126, Tip: lang.L("length and width as glued")}, {Title: lang.L("Thick"), Width: 118, Tip: lang.L("what planing can reach, and what the part needs")},
		{Title: lang.L("Planed away"), Width: 128, Numeric: true, Tip: lang.L("wood that ends as shavings, and its share of the glued panel")}, {Title: lang.L("Proof"), Width: 98, Tip: lang.L("whether another arrangement of the strips could plane away less")},
		{Title: lang.L("Clamps"), Width: 60, Tip: lang.L("needed by the 45° rule, and how many of the shop open wide enough")},
		{Title: lang.L("Stands"), Width: 100, Tip: lang.L("in the clamps, and until it may be planed or loaded")}, {Title: lang.L("Glue"), Width: 50, Numeric: true},
	}, func() int { return len(list()) }, func(row, col int) (string, control.CellState) {
		if row >= len(list()) {
			return "", control.CellState{}
		}
		return listCell(r.plan().Project, list()[row], col)
	})
	g.RowID = func(row int) string { return list()[row].Key }
	g.Empty = lang.L("Nothing has to be glued up.")
	g.OnMessage = r.desk.Say
	g.OnSelect = func(rows []int) {
		if len(rows) != 1 || rows[0] >= len(list()) {
			return
		}
		chosen := list()[rows[0]]
		r.choose(chosen.Key)
		sel := session.Selection{Part: chosen.Part}
		if c, ok := r.plan().Copy(chosen.Copy); ok {
			sel.Index = c.Index
		}
		r.desk.Session().Select(sel)
	}
	return g
}

// listCell gives one cell of the table of glue-ups.
func listCell(p *plan.Project, g plan.GlueUp, col int) (string, control.CellState) {
	length := func(l measure.Length) string { return desk.Length(p, l) }
	c := g.Clamping
	switch col {
	case colPart:
		return g.Name + " " + g.Copy, control.CellState{}
	case colWay:
		return wayName(g.Way), control.CellState{}
	case colRows:
		if g.Panel.EndJoints > 0 {
			return fmt.Sprintf("%d / %d", len(g.Panel.Rows), g.Panel.EndJoints), control.CellState{}
		}
		return strconv.Itoa(len(g.Panel.Rows)), control.CellState{}
	case colSize:
		return desk.Bare(p, g.Length) + " x " + desk.Bare(p, g.Width), control.CellState{}
	case colThick:
		state := control.CellState{}
		if g.Thickness < g.Target {
			state = control.CellState{Warn: true, Message: lang.L("Planing leaves {{.thickness}}, but the part needs {{.target}}.", locale.With{"thickness": length(g.Thickness), "target": length(g.Target)})}
		}
		return lang.L("{{.thickness}} for {{.target}}", locale.With{"thickness": desk.Bare(p, g.Thickness), "target": desk.Bare(p, g.Target)}), state
	case colPlaned:
		return planed(p, g), control.CellState{}
	case colProof:
		state := control.CellState{}
		if len(g.Panel.Faults) > 0 {
			state = control.CellState{Warn: true, Message: strings.Join(g.Panel.Faults, " ")}
		}
		return proof(p, g), state
	case colClamps:
		state := control.CellState{}
		if len(c.Clamps) < c.Needed {
			state = control.CellState{Warn: true, Message: lang.L("{{.needed}} clamps are wanted, {{.clamps}} of the shop open wide enough; see the findings for what helps.", locale.With{"needed": c.Needed, "clamps": len(c.Clamps)})}
		}
		return lang.L("{{.n}} of {{.all}}", locale.With{"n": len(c.Clamps), "all": c.Needed}), state
	case colTimes:
		return locale.Say(plan.HoursText(c.InClamps)) + ", " + locale.Say(plan.HoursText(c.Cure)), control.CellState{}
	}
	return locale.Float(c.GlueML, 0) + " ml", control.CellState{}
}

// rowLine is one row of a glue-up as its table shows it.
type rowLine struct {
	marks    string
	width    measure.Length
	thick    measure.Length
	step     measure.Length // to the next row; -1 for the last
	tooHigh  bool
	fromText string
	locked   bool
}

// rowLines lists the rows of a glue-up, from the near edge on.
func rowLines(p *plan.Plan, g plan.GlueUp) []rowLine {
	boards, marks := strips(p)
	limit := cmp.Or(p.Project.Piece.StepLimit, p.Project.Shop.StepLimit)
	var out []rowLine
	for i, r := range g.Panel.Rows {
		l := rowLine{width: r.Width, thick: r.Thickness, step: -1}
		var names, from []string
		for _, q := range r.Pieces {
			name := cmp.Or(marks[q.Strip], q.Mark)
			if q.Flip {
				name += lang.L(" (turned)")
			}
			names = append(names, name)
			if b, ok := boards[q.Strip]; ok && !slices.Contains(from, b.Mark) {
				from = append(from, b.Mark)
			}
			l.locked = l.locked || locked(p.Project, q.Strip)
		}
		l.marks, l.fromText = strings.Join(names, " + "), strings.Join(from, ", ")
		if i+1 < len(g.Panel.Rows) {
			d := r.Thickness - g.Panel.Rows[i+1].Thickness
			l.step = max(d, -d)
			for _, s := range g.Panel.Steps {
				if a, b := rowOf(s.Mark), rowOf(s.Other); min(a, b) == i+1 && max(a, b) == i+2 {
					l.step = max(l.step, s.Height)
				}
			}
			l.tooHigh = l.step > limit && g.Way == plan.FlatPanel
		}
		out = append(out, l)
	}
	return out
}

// rowOf reads the row of a piece's mark: 3b is in row 3.
func rowOf(mark string) int {
	n, err := strconv.Atoi(strings.TrimRight(mark, "abcdefghijklmnopqrstuvwxyz"))
	if err != nil {
		return 0
	}
	return n
}

func (r *Room) rowGrid() *control.Grid {
	list := func() []rowLine { return r.rowsOf }
	g := control.NewGrid([]control.Column{
		{Title: lang.L("Row"), Width: 50, Numeric: true, Tip: lang.L("from the near edge")}, {Title: lang.L("Pieces, left to right"), Width: 240, Stretch: true}, {Title: lang.L("From boards"), Width: 130},
		{Title: lang.L("Width"), Width: 100, Numeric: true, Tip: lang.L("after jointing")}, {Title: lang.L("Thick"), Width: 100, Numeric: true, Tip: lang.L("of its thinnest piece, before planing")},
		{Title: lang.L("Step to the next row"), Width: 160, Numeric: true, Tip: lang.L("difference in height where they touch, before planing")}, {Title: lang.L("Locked"), Width: 80},
	}, func() int { return len(list()) }, func(row, col int) (string, control.CellState) {
		lines := list()
		if row >= len(lines) {
			return "", control.CellState{}
		}
		l := lines[row]
		switch col {
		case 0:
			return strconv.Itoa(row + 1), control.CellState{Bold: true}
		case 1:
			return l.marks, control.CellState{}
		case 2:
			return l.fromText, control.CellState{}
		case 3:
			return desk.Length(r.plan().Project, l.width), control.CellState{}
		case 4:
			return desk.Length(r.plan().Project, l.thick), control.CellState{}
		case 5:
			return stepText(r.plan().Project, l)
		}
		if l.locked {
			return lang.L("by you"), control.CellState{}
		}
		return "", control.CellState{}
	})
	g.RowID = func(row int) string { return strconv.Itoa(row + 1) }
	g.Empty = lang.L("There are no rows to show.")
	g.OnMessage = r.desk.Say
	g.OnSelect = func(rows []int) { r.pickRow(rows) }
	return g
}

func stepText(p *plan.Project, l rowLine) (string, control.CellState) {
	if l.step < 0 {
		return "", control.CellState{}
	}
	if l.step == 0 {
		return lang.L("flush"), control.CellState{}
	}
	state := control.CellState{Warn: l.tooHigh}
	if l.tooHigh {
		state.Message = lang.L("Higher than the most that is allowed between neighbours; the higher row is planed down to the lower.")
	}
	return desk.Length(p, l.step), state
}

// pickRow outlines the first piece of a row chosen in the table.
func (r *Room) pickRow(rows []int) {
	g, ok := r.shown()
	if !ok || len(rows) != 1 || rows[0] >= len(g.Panel.Rows) || len(g.Panel.Rows[rows[0]].Pieces) == 0 {
		return
	}
	if row, _, found := at(g, r.strip); found && row == rows[0]+1 {
		return
	}
	r.strip = g.Panel.Rows[rows[0]].Pieces[0].Strip
	r.mark()
}

func (r *Room) lockGrid() *control.Grid {
	g := control.NewGrid([]control.Column{{Title: lang.L("Strip"), Width: 120}, {Title: lang.L("Of"), Width: 200, Stretch: true}, {Title: lang.L("Row"), Width: 70, Numeric: true}, {Title: lang.L("Place"), Width: 100}, {Title: lang.L("Turned over"), Width: 110}},
		func() int { return len(r.locksOf) }, func(row, col int) (string, control.CellState) {
			list := r.locksOf
			if row >= len(list) {
				return "", control.CellState{}
			}
			return lockCell(r.plan(), list[row], col), control.CellState{Bold: col == 0}
		})
	g.RowID = func(row int) string { return strconv.FormatInt(int64(r.locksOf[row].ID), 10) }
	g.Empty = lang.L("No strip is locked. Drag one to another row on the drawing, or turn it over.")
	g.OnMessage = r.desk.Say
	g.Delete = func(rows []int) {
		var gone []string
		for _, row := range rows {
			if list := r.locksOf; row < len(list) {
				gone = append(gone, list[row].Blank)
			}
		}
		r.unlock(gone)
	}
	return g
}

func lockCell(p *plan.Plan, c plan.Choice, col int) string {
	_, marks := strips(p)
	switch col {
	case 0:
		return cmp.Or(marks[c.Blank], c.Blank)
	case 1:
		key, _, _ := strings.Cut(c.Blank, "#")
		if b, ok := p.Blank(key); ok {
			return b.Name
		}
		return lang.L("a blank the plan no longer has")
	case 2:
		return strconv.Itoa(c.Row)
	case 3:
		if c.Place == 0 {
			return lang.L("anywhere")
		}
		return strconv.Itoa(c.Place)
	}
	switch {
	case c.AnyFace:
		return lang.L("the plan's choice")
	case c.Flip:
		return lang.L("yes")
	}
	return ""
}
