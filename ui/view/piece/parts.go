package piece

import (
	"fmt"
	"slices"
	"strings"

	"fyne.io/fyne/v2/lang"

	"pilewright/plan"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
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
		return lang.L("the plan chooses")
	}
	return locale.Word(string(w))
}

func (r *Room) partGrid() *control.Grid {
	d := r.desk
	list := func() []plan.Part { return d.Session().Project().Parts }
	size := func(title string, width float32, tip string) control.Column {
		return control.Column{Title: title, Width: width, Editable: true, Stretch: true, Tip: lang.L("{{.tip}}, as a size or arithmetic on the measures: length - 2*overhang", locale.With{"tip": tip})}
	}
	g := control.NewGrid([]control.Column{
		{Title: lang.L("Mark"), Width: 50, Tip: lang.L("chalked on the part; its copies are numbered")}, {Title: lang.L("Part"), Width: 100, Editable: true},
		size(lang.L("Length"), 120, lang.L("along the grain, between shoulders")), size(lang.L("Width"), 80, lang.L("across the grain")), size(lang.L("Thickness"), 88, lang.L("finished")),
		{Title: lang.L("Comes to"), Width: 168, Tip: lang.L("finished size")}, {Title: lang.L("Copies"), Width: 60, Numeric: true, Tip: lang.L("how many there are; they are placed under Places")},
		choice(lang.L("Made"), 124, lang.L("how it is made: solid, laminated of layers, flat panel of rows, or strips on edge; the plan chooses the cheapest way, hours counted"), func() []string {
			out := []string{wayName(plan.AnyWay)}
			for _, w := range plan.Ways {
				out = append(out, locale.Word(string(w)))
			}
			return out
		}),
		{Title: lang.L("Species"), Width: 66, Editable: true, Tip: lang.L("empty = any of the pile")},
		choice(lang.L("Seen"), 64, lang.L("show, or hidden: hidden parts may hold nail holes and stain"), func() []string { return locale.WordsOf(plan.Show, plan.Hidden) }),
		choice(lang.L("Does"), 60, lang.L("what it does decides which checks apply: a top or a shelf sags, a leg leans"), func() []string {
			return locale.WordsOf(roles...)
		}),
	}, func() int { return len(list()) }, r.partCell)
	g.RowID = func(row int) string { return key(list()[row].ID) }
	g.OnMessage, g.AddHint = d.Say, lang.L("type a name to add a part")
	g.OnOpen = func(int, int) { r.which.Press(drawPart) }
	g.OnSelect = func(rows []int) {
		if len(rows) == 1 && rows[0] < len(list()) && d.Session().Selection().Part != list()[rows[0]].ID {
			d.Session().Select(session.Selection{Part: list()[rows[0]].ID})
			r.places.Refresh()
		}
	}
	g.Commit = func(row, col int, text string) error {
		name, merge := lang.L("add a part"), ""
		if row < len(list()) {
			name, merge = lang.L("change the {{.name}}", locale.With{"name": list()[row].Name}), fmt.Sprintf("part %d %d", list()[row].ID, col)
		}
		return d.Session().Edit(name, merge, func(p *plan.Project) (*plan.Project, error) {
			return setPart(p, row, col, strings.TrimSpace(text))
		})
	}
	g.Delete = func(rows []int) {
		d.Fail(d.Session().Edit(lang.L("delete parts"), "", func(p *plan.Project) (*plan.Project, error) {
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
			return part.Name, control.CellState{Dim: true, Message: lang.L("no copy of it is in the piece now; Places says how many")}
		}
		return part.Name, control.CellState{Bold: true}
	case partLength:
		return locale.Number(part.Length), r.sizeState(part.ID, lang.L("length"))
	case partWidth:
		return locale.Number(part.Width), r.sizeState(part.ID, lang.L("width"))
	case partThick:
		return locale.Number(part.Thickness), r.sizeState(part.ID, lang.L("thickness"))
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
		return locale.Word(string(part.Grade)), control.CellState{}
	case partWay:
		if part.Way != plan.AnyWay {
			return locale.Word(string(part.Way)), control.CellState{Bold: true, Message: lang.L("locked by you; “the plan chooses” takes the lock off")}
		}
		if unused {
			return "", control.CellState{}
		}
		return r.chosenWay(part.ID)
	}
	return locale.Word(string(part.Role)), control.CellState{}
}

// chosenWay says which way the plan chose for a part left free.
func (r *Room) chosenWay(id plan.ID) (string, control.CellState) {
	if p := r.desk.Session().Plan(); p != nil {
		for _, w := range p.Ways {
			if o, ok := w.Choice(); ok && w.Part == id {
				text := locale.Word(string(o.Way))
				if o.Rows > 1 {
					text = lang.L("{{.way}}, {{.rows}} rows", locale.With{"way": locale.Word(string(o.Way)), "rows": o.Rows})
				}
				if !o.Fits {
					return text, control.CellState{Warn: true, Message: o.Why}
				}
				return text, control.CellState{Dim: true, Message: lang.L("chosen by the plan; choose one to lock it")}
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
		return nil, locale.Error("the text is longer than {{.maxText}} characters", locale.With{"maxText": plan.MaxText})
	}
	list := slices.Clone(p.Parts)
	q := p.With(func(q *plan.Project) { q.Parts = list })
	if row >= len(list) {
		if len(list) >= plan.MaxParts {
			return nil, locale.Error("a piece has at most {{.maxParts}} parts", locale.With{"maxParts": plan.MaxParts})
		}
		order := 0
		for _, o := range list {
			order = max(order, o.Order+1)
		}
		list = append(list, plan.Part{ID: q.Take(), Piece: p.Piece.ID, Name: lang.L("part {{.n}}", locale.With{"n": len(list) + 1}), Length: "12 in", Width: "3 in", Thickness: "3/4 in",
			Grade: plan.Show, Copies: []plan.Copy{{X: "0", Y: "0", Z: "0", Along: plan.X, Thick: plan.Z}}, Order: order})
		row = len(list) - 1
		q.Parts = list
	}
	part := &list[row]
	switch col {
	case partName:
		if text == "" {
			return nil, locale.Error("a part needs a name")
		}
		if slices.ContainsFunc(list, func(o plan.Part) bool { return o.ID != part.ID && strings.EqualFold(o.Name, text) }) {
			return nil, locale.Error("there is a part {{.text}} already", locale.With{"text": text})
		}
		part.Name = text
	case partLength, partWidth, partThick:
		if text == "" {
			return nil, locale.Error("a part needs this size")
		}
		plain, err := locale.Plain(text)
		if err != nil {
			return nil, err
		}
		*map[int]*string{partLength: &part.Length, partWidth: &part.Width, partThick: &part.Thickness}[col] = plain
	case partSpecies:
		part.Species = text
	case partGrade:
		part.Grade = locale.ID(text, plan.Show, plan.Hidden)
	case partRole:
		part.Role = locale.ID(text, roles...)
	case partWay:
		part.Way = locale.ID(text, plan.Ways...)
		if text == wayName(plan.AnyWay) {
			part.Way = plan.AnyWay
		}
	}
	return q, nil
}
