package piece

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fyne.io/fyne/v2/lang"

	"pilewright/plan"
	"pilewright/plan/joinery"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
	"pilewright/ui/session"
)

var jointKinds = joinery.Kinds

// Columns of the joints' table.
const (
	jointKind = iota
	jointA
	jointB
	jointPlaces
	jointThick
	jointWidth
	jointDepth
	jointOffset
	jointRound
	jointDry
	jointSizes
	jointNote
	jointFacts // and those after it
)

// ref names instances for reading: the part, or one copy by its mark.
func (r *Room) ref(c plan.CopyRef) string {
	p := r.desk.Session().Project()
	part, ok := p.Part(c.Part)
	if !ok {
		return "?"
	}
	if c.Index == 0 {
		return part.Name
	}
	return fmt.Sprintf("%s %d", part.Name, c.Index)
}

// refs lists what a joint can name.
func (r *Room) refs() []string {
	var out []string
	p := r.desk.Session().Project()
	made := r.desk.Session().Plan()
	for _, part := range p.Parts {
		out = append(out, part.Name)
		if made != nil {
			sp, _ := made.Part(part.ID)
			for i := range sp.N {
				out = append(out, fmt.Sprintf("%s %d", part.Name, i+1))
			}
		}
	}
	return out
}

func parseRef(p *plan.Project, text string) (plan.CopyRef, error) {
	for _, part := range p.Parts {
		if strings.EqualFold(part.Name, text) {
			return plan.CopyRef{Part: part.ID}, nil
		}
	}
	if i := strings.LastIndexByte(text, ' '); i > 0 {
		n, err := strconv.Atoi(text[i+1:])
		for _, part := range p.Parts {
			if err == nil && n > 0 && strings.EqualFold(part.Name, text[:i]) {
				return plan.CopyRef{Part: part.ID, Index: n}, nil
			}
		}
	}
	return plan.CopyRef{}, locale.Error("there is no part “{{.text}}”", locale.With{"text": text})
}

func (r *Room) jointGrid() *control.Grid {
	d := r.desk
	list := func() []plan.Joint { return d.Session().Project().Joints }
	size := func(title, tip string) control.Column {
		return control.Column{Title: title, Width: 62, Editable: true, Tip: lang.L("{{.tip}}; empty = the trade's proportion", locale.With{"tip": tip})}
	}
	yes := func(title string, width float32, tip string) control.Column {
		return control.Column{Title: title, Width: width, Editable: true, Kind: control.Bool, Tip: tip}
	}
	g := control.NewGrid(append([]control.Column{
		choice(lang.L("Joint"), 124, lang.L("what kind of joint"), func() []string {
			var out []string
			for _, k := range jointKinds {
				out = append(out, locale.Say(plan.KindName(k)))
			}
			return out
		}),
		choice(lang.L("Receives"), 96, lang.L("the part with the mortise or housing; every place where the two parts meet, or one copy"), r.refs),
		choice(lang.L("Enters"), 100, lang.L("the part with the tenon"), r.refs),
		{Title: lang.L("Places"), Width: 58, Numeric: true, Tip: lang.L("how often it is made")},
		size(lang.L("Thick"), lang.L("of the tenon, dowel or screw")), size(lang.L("Width"), lang.L("of the tenon")), size(lang.L("Depth"), lang.L("of the mortise or housing")), size(lang.L("Offset"), lang.L("of the tenon from the middle")),
		yes(lang.L("Round"), 62, lang.L("the mortise's ends stay as the router left them")), yes(lang.L("Not glued"), 84, lang.L("a top on buttons, a loose shelf")),
		{Title: lang.L("Comes to"), Width: 210, Stretch: true, Tip: lang.L("sizes at its first place")}, {Title: lang.L("Note"), Width: 140, Stretch: true, Editable: true},
	}, factColumns()...), func() int { return len(list()) }, r.jointCell)
	g.RowID = func(row int) string { return key(list()[row].ID) }
	g.OnOpen = func(int, int) { r.which.Press(drawJoint) }
	g.OnMessage, g.AddHint = d.Say, lang.L("choose to add a joint")
	g.OnSelect = func(rows []int) {
		if len(rows) == 1 && rows[0] < len(list()) && d.Session().Selection().Joint != list()[rows[0]].ID {
			d.Session().Select(session.Selection{Joint: list()[rows[0]].ID})
		}
	}
	g.Commit = func(row, col int, text string) error {
		name, merge := lang.L("add a joint"), ""
		if row < len(list()) {
			name, merge = lang.L("change a joint"), fmt.Sprintf("joint %d %d", list()[row].ID, col)
		}
		return d.Session().Edit(name, merge, func(p *plan.Project) (*plan.Project, error) {
			return setJoint(p, row, col, strings.TrimSpace(text))
		})
	}
	g.Delete = func(rows []int) {
		d.Fail(d.Session().Edit(lang.L("delete joints"), "", func(p *plan.Project) (*plan.Project, error) {
			return p.With(func(q *plan.Project) { q.Joints = without(p.Joints, rows) }), nil
		}))
	}
	return g
}

func (r *Room) jointCell(row, col int) (string, control.CellState) {
	list := r.desk.Session().Project().Joints
	if row >= len(list) {
		return "", control.CellState{}
	}
	j := list[row]
	yes := func(b bool) string { return strconv.FormatBool(b) }
	switch col {
	case jointKind:
		return locale.Say(plan.KindName(j.Kind)), control.CellState{Bold: true}
	case jointA:
		return r.ref(j.A), control.CellState{}
	case jointB:
		return r.ref(j.B), control.CellState{}
	case jointPlaces:
		n := len(r.made(j.ID))
		if n == 0 {
			return "0", r.unmade(j)
		}
		return fmt.Sprint(n), control.CellState{}
	case jointThick:
		return locale.Number(j.Thickness), control.CellState{}
	case jointWidth:
		return locale.Number(j.Width), control.CellState{}
	case jointDepth:
		return locale.Number(j.Depth), control.CellState{}
	case jointOffset:
		return locale.Number(j.Offset), control.CellState{}
	case jointRound:
		return yes(j.Round), control.CellState{}
	case jointDry:
		return yes(j.Dry), control.CellState{}
	case jointSizes:
		return r.sizes(j.ID), control.CellState{Dim: true}
	}
	if col >= jointFacts {
		if made := r.made(j.ID); len(made) > 0 {
			return r.fact(made[0], col-jointFacts), control.CellState{Dim: true}
		}
		return "", control.CellState{}
	}
	return j.Note, control.CellState{}
}

// unmade says why a joint is made nowhere.
func (r *Room) unmade(j plan.Joint) control.CellState {
	if p := r.desk.Session().Plan(); p != nil {
		for _, id := range []plan.ID{j.A.Part, j.B.Part} {
			if sp, ok := p.Part(id); ok && sp.N == 0 {
				return control.CellState{Dim: true, Message: lang.L("the piece has no {{.name}} now, so this joint is not made", locale.With{"name": sp.Name})}
			}
		}
	}
	return control.CellState{Warn: true, Message: lang.L("the two meet nowhere, so this joint is not made")}
}

// made lists the places a joint's rule came to in the newest plan.
func (r *Room) made(id plan.ID) []plan.MadeJoint {
	var out []plan.MadeJoint
	if p := r.desk.Session().Plan(); p != nil {
		for _, j := range p.Frame.Joints {
			if j.Rule.ID == id {
				out = append(out, j)
			}
		}
	}
	return out
}

// sizes writes what a joint's first place came to.
func (r *Room) sizes(id plan.ID) string {
	made := r.made(id)
	if len(made) == 0 {
		return ""
	}
	p := r.desk.Session().Plan().Project
	s := made[0].Result.Spec
	var parts []string
	if s.Thickness > 0 {
		parts = append(parts, lang.L("{{.size}} thick", locale.With{"size": desk.Length(p, s.Thickness)}))
	}
	if s.Width > 0 {
		parts = append(parts, lang.L("{{.size}} wide", locale.With{"size": desk.Length(p, s.Width)}))
	}
	if s.Depth > 0 {
		parts = append(parts, lang.L("{{.size}} deep", locale.With{"size": desk.Length(p, s.Depth)}))
	}
	if s.Count > 0 {
		parts = append(parts, lang.L("{{.count}} of them", locale.With{"count": s.Count}))
	}
	return strings.Join(parts, ", ")
}

// addJoint appends a joint to the open piece.
func addJoint(p *plan.Project, j plan.Joint) *plan.Project {
	return p.With(func(q *plan.Project) {
		j.ID, j.Piece = q.Take(), p.Piece.ID
		for _, o := range p.Joints {
			j.Order = max(j.Order, o.Order+1)
		}
		q.Joints = append(slices.Clone(p.Joints), j)
	})
}

// kindNamed is the kind of joint of that name.
func kindNamed(text string) (plan.JointKind, error) {
	for _, k := range jointKinds {
		if strings.EqualFold(locale.Say(plan.KindName(k)), text) {
			return k, nil
		}
	}
	return "", locale.Error("there is no joint “{{.text}}”", locale.With{"text": text})
}

func setJoint(p *plan.Project, row, col int, text string) (*plan.Project, error) {
	if len(text) > plan.MaxText {
		return nil, locale.Error("the text is longer than {{.maxText}} characters", locale.With{"maxText": plan.MaxText})
	}
	if row >= len(p.Joints) {
		if len(p.Parts) < 2 {
			return nil, locale.Error("a joint needs two parts")
		}
		p = addJoint(p, plan.Joint{Kind: joinery.StoppedTenon, A: plan.CopyRef{Part: p.Parts[0].ID}, B: plan.CopyRef{Part: p.Parts[1].ID}})
		row = len(p.Joints) - 1
	}
	list := slices.Clone(p.Joints)
	j := &list[row]
	var err error
	switch col {
	case jointKind:
		j.Kind, err = kindNamed(text)
	case jointA:
		j.A, err = parseRef(p, text)
	case jointB:
		j.B, err = parseRef(p, text)
	case jointThick, jointWidth, jointDepth, jointOffset:
		*map[int]*string{jointThick: &j.Thickness, jointWidth: &j.Width, jointDepth: &j.Depth, jointOffset: &j.Offset}[col], err = locale.Plain(text)
	case jointRound:
		j.Round = text == "true"
	case jointDry:
		j.Dry = text == "true"
	case jointNote:
		j.Note = text
	}
	if err != nil {
		return nil, err
	}
	return p.With(func(q *plan.Project) { q.Joints = list }), nil
}
