package piece

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"pilewright/plan"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/session"
)

// Columns of the parts' table.
const (
	partMark = iota
	partName
	partLength
	partWidth
	partThick
	partFinished
	partCopies
	partWay
	partSpecies
	partGrade
	partRole
)

var roles = []plan.Role{plan.RolePart, plan.RoleTop, plan.RoleShelf, plan.RoleSlat, plan.RoleLeg, plan.RoleRail, plan.RoleSide}

func choice(title string, width float32, tip string, of func() []string) control.Column {
	return control.Column{Title: title, Width: width, Editable: true, Kind: control.Choice, Choices: func(int) []string { return of() }, Tip: tip}
}

// wayName is a way for reading; the free choice says what was chosen.
func wayName(w plan.Way) string {
	if w == plan.AnyWay {
		return "the plan chooses"
	}
	return string(w)
}

func (r *Room) partGrid() *control.Grid {
	d := r.desk
	list := func() []plan.Part { return d.Session().Project().Parts }
	size := func(title string, width float32, tip string) control.Column {
		return control.Column{Title: title, Width: width, Editable: true, Stretch: true, Tip: tip + ", as a size or arithmetic on the measures: length - 2*overhang"}
	}
	g := control.NewGrid([]control.Column{
		{Title: "Mark", Width: 50, Tip: "chalked on the part; its copies are numbered"}, {Title: "Part", Width: 100, Editable: true},
		size("Length", 120, "along the grain, between shoulders"), size("Width", 80, "across the grain"), size("Thickness", 88, "finished"),
		{Title: "Comes to", Width: 168, Tip: "finished size"}, {Title: "Copies", Width: 60, Numeric: true, Tip: "how many there are; they are placed under Places"},
		choice("Made", 124, "how it is made: solid, laminated of layers, flat panel of rows, or strips on edge; the plan chooses the cheapest way, hours counted", func() []string {
			out := []string{wayName(plan.AnyWay)}
			for _, w := range plan.Ways {
				out = append(out, string(w))
			}
			return out
		}),
		{Title: "Species", Width: 66, Editable: true, Tip: "empty = any of the pile"},
		choice("Seen", 64, "show, or hidden: hidden parts may hold nail holes and stain", func() []string { return []string{string(plan.Show), string(plan.Hidden)} }),
		choice("Does", 60, "what it does decides which checks apply: a top or a shelf sags, a leg leans", func() []string {
			var out []string
			for _, x := range roles {
				out = append(out, string(x))
			}
			return out
		}),
	}, func() int { return len(list()) }, r.partCell)
	g.RowID = func(row int) string { return key(list()[row].ID) }
	g.OnMessage, g.AddHint = d.Say, "type a name to add a part"
	g.OnOpen = func(int, int) { r.which.Press(drawPart) }
	g.OnSelect = func(rows []int) {
		if len(rows) == 1 && rows[0] < len(list()) && d.Session().Selection().Part != list()[rows[0]].ID {
			d.Session().Select(session.Selection{Part: list()[rows[0]].ID})
			r.places.Refresh()
		}
	}
	g.Commit = func(row, col int, text string) error {
		name, merge := "add a part", ""
		if row < len(list()) {
			name, merge = "change the "+list()[row].Name, fmt.Sprintf("part %d %d", list()[row].ID, col)
		}
		return d.Session().Edit(name, merge, func(p *plan.Project) (*plan.Project, error) {
			return setPart(p, row, col, strings.TrimSpace(text))
		})
	}
	g.Delete = func(rows []int) {
		d.Fail(d.Session().Edit("delete parts", "", func(p *plan.Project) (*plan.Project, error) {
			gone := map[plan.ID]bool{}
			for _, row := range rows {
				if row < len(p.Parts) {
					gone[p.Parts[row].ID] = true
				}
			}
			return p.With(func(q *plan.Project) {
				q.Parts = without(p.Parts, rows)
				q.Joints = slices.DeleteFunc(slices.Clone(p.Joints), func(j plan.Joint) bool { return gone[j.A.Part] || gone[j.B.Part] })
			}), nil
		}))
	}
	return g
}

func (r *Room) partCell(row, col int) (string, control.CellState) {
	s := r.desk.Session()
	if row >= len(s.Project().Parts) {
		return "", control.CellState{}
	}
	part := s.Project().Parts[row]
	made := s.Plan()
	var sp plan.SizedPart
	if made != nil {
		sp, _ = made.Part(part.ID)
	}
	unused := made != nil && sp.N == 0 && !s.Stale()
	switch col {
	case partMark:
		return sp.Letter, control.CellState{Bold: !unused, Dim: unused}
	case partName:
		if unused {
			return part.Name, control.CellState{Dim: true, Message: "no copy of it is in the piece now; Places says how many"}
		}
		return part.Name, control.CellState{Bold: true}
	case partLength:
		return part.Length, r.sizeState(part.ID, "length")
	case partWidth:
		return part.Width, r.sizeState(part.ID, "width")
	case partThick:
		return part.Thickness, r.sizeState(part.ID, "thickness")
	case partFinished:
		if sp.L == 0 {
			return "", control.CellState{}
		}
		return desk.Size(made.Project, sp.L, sp.W, sp.T), control.CellState{Dim: s.Stale() || unused}
	case partCopies:
		return fmt.Sprint(sp.N), control.CellState{}
	case partSpecies:
		return part.Species, control.CellState{}
	case partGrade:
		return string(part.Grade), control.CellState{}
	case partWay:
		if part.Way != plan.AnyWay {
			return string(part.Way), control.CellState{Bold: true, Message: "locked by you; “the plan chooses” takes the lock off"}
		}
		if unused {
			return "", control.CellState{}
		}
		return r.chosenWay(part.ID)
	}
	return string(part.Role), control.CellState{}
}

// chosenWay says which way the plan chose for a part left free.
func (r *Room) chosenWay(id plan.ID) (string, control.CellState) {
	if p := r.desk.Session().Plan(); p != nil {
		for _, w := range p.Ways {
			if o, ok := w.Choice(); ok && w.Part == id {
				text := string(o.Way)
				if o.Rows > 1 {
					text = fmt.Sprintf("%s, %d rows", o.Way, o.Rows)
				}
				if !o.Fits {
					return text, control.CellState{Warn: true, Message: o.Why}
				}
				return text, control.CellState{Dim: true, Message: "chosen by the plan; choose one to lock it"}
			}
		}
	}
	return wayName(plan.AnyWay), control.CellState{Dim: true}
}

// sizeState marks a size that the plan found wrong.
func (r *Room) sizeState(part plan.ID, field string) control.CellState {
	for _, f := range r.desk.Session().Findings() {
		if f.Subject.Part == part && f.Subject.Field == field && f.Severity == plan.Stop {
			return control.CellState{Invalid: true, Message: f.Text}
		}
	}
	return control.CellState{}
}

func setPart(p *plan.Project, row, col int, text string) (*plan.Project, error) {
	if len(text) > plan.MaxText {
		return nil, fmt.Errorf("the text is longer than %d characters", plan.MaxText)
	}
	list := slices.Clone(p.Parts)
	q := p.With(func(q *plan.Project) { q.Parts = list })
	if row >= len(list) {
		if len(list) >= plan.MaxParts {
			return nil, fmt.Errorf("a piece has at most %d parts", plan.MaxParts)
		}
		order := 0
		for _, o := range list {
			order = max(order, o.Order+1)
		}
		list = append(list, plan.Part{ID: q.Take(), Piece: p.Piece.ID, Name: fmt.Sprintf("part %d", len(list)+1), Length: "12 in", Width: "3 in", Thickness: "3/4 in",
			Grade: plan.Show, Copies: []plan.Copy{{X: "0", Y: "0", Z: "0", Along: plan.X, Thick: plan.Z}}, Order: order})
		row = len(list) - 1
		q.Parts = list
	}
	part := &list[row]
	switch col {
	case partName:
		if text == "" {
			return nil, errors.New("a part needs a name")
		}
		if slices.ContainsFunc(list, func(o plan.Part) bool { return o.ID != part.ID && strings.EqualFold(o.Name, text) }) {
			return nil, fmt.Errorf("there is a part %s already", text)
		}
		part.Name = text
	case partLength, partWidth, partThick:
		if text == "" {
			return nil, errors.New("a part needs this size")
		}
		*map[int]*string{partLength: &part.Length, partWidth: &part.Width, partThick: &part.Thickness}[col] = text
	case partSpecies:
		part.Species = text
	case partGrade:
		part.Grade = plan.Grade(text)
	case partRole:
		part.Role = plan.Role(text)
	case partWay:
		part.Way = plan.Way(text)
		if text == wayName(plan.AnyWay) {
			part.Way = plan.AnyWay
		}
	}
	return q, nil
}
