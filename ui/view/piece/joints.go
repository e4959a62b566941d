package piece

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pilewright/plan"
	"pilewright/plan/joinery"
	"pilewright/ui/control"
	"pilewright/ui/desk"
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
	return plan.CopyRef{}, fmt.Errorf("there is no part %q", text)
}

func (r *Room) jointGrid() *control.Grid {
	d := r.desk
	list := func() []plan.Joint { return d.Session().Project().Joints }
	size := func(title, tip string) control.Column {
		return control.Column{Title: title, Width: 62, Editable: true, Tip: tip + "; empty = the trade's proportion"}
	}
	yes := func(title string, width float32, tip string) control.Column {
		return control.Column{Title: title, Width: width, Editable: true, Kind: control.Bool, Tip: tip}
	}
	g := control.NewGrid([]control.Column{
		choice("Joint", 112, "what kind of joint", func() []string {
			var out []string
			for _, k := range jointKinds {
				out = append(out, plan.KindName(k))
			}
			return out
		}),
		choice("Receives", 96, "the part with the mortise or housing; every place where the two parts meet, or one copy", r.refs),
		choice("Enters", 100, "the part with the tenon", r.refs),
		{Title: "Places", Width: 58, Numeric: true, Tip: "how often it is made"},
		size("Thick", "of the tenon, dowel or screw"), size("Width", "of the tenon"), size("Depth", "of the mortise or housing"), size("Offset", "of the tenon from the middle"),
		yes("Round", 62, "the mortise's ends stay as the router left them"), yes("Not glued", 84, "a top on buttons, a loose shelf"),
		{Title: "Comes to", Width: 210, Stretch: true, Tip: "sizes at its first place"}, {Title: "Note", Width: 140, Stretch: true, Editable: true},
	}, func() int { return len(list()) }, r.jointCell)
	g.RowID = func(row int) string { return key(list()[row].ID) }
	g.OnOpen = func(int, int) { r.which.Press(drawJoint) }
	g.OnMessage, g.AddHint = d.Say, "choose to add a joint"
	g.OnSelect = func(rows []int) {
		if len(rows) == 1 && rows[0] < len(list()) && d.Session().Selection().Joint != list()[rows[0]].ID {
			d.Session().Select(session.Selection{Joint: list()[rows[0]].ID})
		}
	}
	g.Commit = func(row, col int, text string) error {
		name, merge := "add a joint", ""
		if row < len(list()) {
			name, merge = "change a joint", fmt.Sprintf("joint %d %d", list()[row].ID, col)
		}
		return d.Session().Edit(name, merge, func(p *plan.Project) (*plan.Project, error) {
			return setJoint(p, row, col, strings.TrimSpace(text))
		})
	}
	g.Delete = func(rows []int) {
		d.Fail(d.Session().Edit("delete joints", "", func(p *plan.Project) (*plan.Project, error) {
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
		return plan.KindName(j.Kind), control.CellState{Bold: true}
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
		return j.Thickness, control.CellState{}
	case jointWidth:
		return j.Width, control.CellState{}
	case jointDepth:
		return j.Depth, control.CellState{}
	case jointOffset:
		return j.Offset, control.CellState{}
	case jointRound:
		return yes(j.Round), control.CellState{}
	case jointDry:
		return yes(j.Dry), control.CellState{}
	case jointSizes:
		return r.sizes(j.ID), control.CellState{Dim: true}
	}
	return j.Note, control.CellState{}
}

// unmade says why a joint is made nowhere.
func (r *Room) unmade(j plan.Joint) control.CellState {
	if p := r.desk.Session().Plan(); p != nil {
		for _, id := range []plan.ID{j.A.Part, j.B.Part} {
			if sp, ok := p.Part(id); ok && sp.N == 0 {
				return control.CellState{Dim: true, Message: "the piece has no " + sp.Name + " now, so this joint is not made"}
			}
		}
	}
	return control.CellState{Warn: true, Message: "the two meet nowhere, so this joint is not made"}
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
	add := func(name string, text string) { parts = append(parts, name+" "+text) }
	if s.Thickness > 0 {
		add("thick", desk.Length(p, s.Thickness))
	}
	if s.Width > 0 {
		add("wide", desk.Length(p, s.Width))
	}
	if s.Depth > 0 {
		add("deep", desk.Length(p, s.Depth))
	}
	if s.Count > 0 {
		parts = append(parts, fmt.Sprintf("%d of them", s.Count))
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
		if strings.EqualFold(plan.KindName(k), text) {
			return k, nil
		}
	}
	return "", fmt.Errorf("there is no joint %q", text)
}

func setJoint(p *plan.Project, row, col int, text string) (*plan.Project, error) {
	if len(text) > plan.MaxText {
		return nil, fmt.Errorf("the text is longer than %d characters", plan.MaxText)
	}
	if row >= len(p.Joints) {
		if len(p.Parts) < 2 {
			return nil, fmt.Errorf("a joint needs two parts")
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
		*map[int]*string{jointThick: &j.Thickness, jointWidth: &j.Width, jointDepth: &j.Depth, jointOffset: &j.Offset}[col] = text
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
