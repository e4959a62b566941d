// Package piece is the room of the piece: its measures, parts, places and joints
// in tables above, the drawing below.
package piece

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"pilewright/layout/drawing"
	"pilewright/layout/figure"
	"pilewright/plan"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/paint"
	"pilewright/ui/session"
)

// The drawings the room offers.
const (
	drawIso   = "From the corner"
	drawViews = "Front, side, top"
	drawApart = "Pulled apart"
	drawPart  = "The part"
	drawJoint = "The joint"
)

// Room is the Piece room.
type Room struct {
	desk     desk.Desk
	measures *control.Grid
	parts    *control.Grid
	places   *control.Grid
	joints   *control.Grid
	tabs     *container.AppTabs
	view     *paint.View
	which    *widget.RadioGroup
	corner   *widget.Select
	apart    *widget.Slider
	hidden   *widget.Check
	content  fyne.CanvasObject
	first    string // mark of the first of two copies picked for a joint
	joining  *widget.Check
	kind     *widget.Select
}

// New makes the room.
func New(d desk.Desk) *Room {
	r := &Room{desk: d, view: paint.NewView()}
	r.measures, r.parts, r.places, r.joints = r.measureGrid(), r.partGrid(), r.placeGrid(), r.jointGrid()
	r.view.OnStatus = d.Say
	r.view.OnPick = r.pick
	r.which = widget.NewRadioGroup([]string{drawIso, drawViews, drawApart, drawPart, drawJoint}, func(string) { r.arrange(); r.draw(); r.view.Fit() })
	r.which.Horizontal, r.which.Required = true, true
	r.corner = widget.NewSelect([]string{"front right", "front left", "back right", "back left"}, func(string) { r.draw() })
	r.apart = widget.NewSlider(0, 1)
	r.apart.Step, r.apart.Value = 0.02, 1
	r.apart.OnChanged = func(float64) { r.draw() }
	r.hidden = widget.NewCheck("hidden lines", func(bool) { r.draw() })
	r.joining = widget.NewCheck("Join two by picking:", func(bool) { r.first = "" })
	var kinds []string
	for _, k := range jointKinds {
		kinds = append(kinds, string(k))
	}
	r.kind = widget.NewSelect(kinds, nil)
	r.kind.SetSelectedIndex(1)
	r.corner.Selected = "front right"
	r.which.Selected = drawIso
	bar := container.NewHBox(r.which, r.corner, container.NewGridWrap(fyne.NewSize(140, 36), r.apart), r.hidden, widget.NewButton("Fit", r.view.Fit), r.joining, r.kind)
	r.tabs = container.NewAppTabs(
		container.NewTabItem("Parts", r.parts), container.NewTabItem("Joints", r.joints),
		container.NewTabItem("Measures", r.measures), container.NewTabItem("Places", r.places))
	split := control.NewSplit(false, r.tabs, container.NewBorder(container.NewHScroll(bar), nil, nil, nil, r.view), share(d.Recall("split.piece"), 0.45))
	split.OnMoved = func(s float64) { d.Remember("split.piece", strconv.FormatFloat(s, 'f', 3, 64)) }
	r.content = split
	r.arrange()
	return r
}

func share(text string, otherwise float64) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || v <= 0 || v >= 1 {
		return otherwise
	}
	return v
}

// arrange shows the controls that belong to the drawing chosen.
func (r *Room) arrange() {
	show := func(o fyne.CanvasObject, on bool) {
		if on {
			o.Show()
		} else {
			o.Hide()
		}
	}
	show(r.corner, r.which.Selected == drawIso || r.which.Selected == drawApart)
	show(r.apart, r.which.Selected == drawApart)
	show(r.hidden, r.which.Selected == drawViews)
}

// ID implements desk.Room.
func (r *Room) ID() string { return desk.Piece }

// Title implements desk.Room.
func (r *Room) Title() string { return "Piece" }

// Content implements desk.Room.
func (r *Room) Content() fyne.CanvasObject { return r.content }

// Commands implements desk.Room.
func (r *Room) Commands() []desk.Command {
	var list []desk.Command
	for _, name := range r.which.Options {
		list = append(list, desk.Command{Name: "Draw: " + strings.ToLower(name), Run: func() { r.which.SetSelected(name) }})
	}
	for _, tab := range r.tabs.Items {
		list = append(list, desk.Command{Name: "Table: " + strings.ToLower(tab.Text), Run: func() { r.tabs.Select(tab) }})
	}
	return append(list, desk.Command{Name: "Join two copies by picking them", Run: func() { r.joining.SetChecked(true) }})
}

// Changed implements desk.Room.
func (r *Room) Changed(c session.Change) {
	if c.Project || c.Plan || c.Piece {
		for _, g := range []*control.Grid{r.measures, r.parts, r.places, r.joints} {
			g.Refresh()
		}
	}
	if c.Piece {
		r.view.Fit()
	}
	if c.Plan || c.Piece || c.Project {
		r.draw()
	}
	if c.Selection {
		r.follow()
	}
}

// follow shows in the tables and the drawing what is picked elsewhere.
func (r *Room) follow() {
	sel := r.desk.Session().Selection()
	if sel.Part != 0 {
		r.parts.SelectRow(key(sel.Part))
	}
	if sel.Joint != 0 {
		r.joints.SelectRow(key(sel.Joint))
	}
	switch r.which.Selected {
	case drawPart, drawJoint:
		r.draw()
	default:
		r.mark()
	}
}

func key(id plan.ID) string { return strconv.FormatInt(int64(id), 10) }

// draw shows the chosen drawing of the newest plan.
func (r *Room) draw() {
	p := r.desk.Session().Plan()
	if p == nil || len(p.Copies) == 0 {
		r.view.SetPicture(&drawing.Picture{})
		return
	}
	corner := drawing.Corner(max(r.corner.SelectedIndex(), 0))
	switch r.which.Selected {
	case drawViews:
		r.view.SetPicture(figure.Views(p, 190, 150, r.hidden.Checked))
	case drawApart:
		r.view.SetPicture(figure.ExplodedView(p, r.apart.Value, 190, 150, corner))
	case drawPart:
		r.view.SetPicture(figure.PartPicture(p, r.chosenCopy(p), 190))
	case drawJoint:
		if j, ok := r.chosenJoint(p); ok {
			r.view.SetPicture(figure.JointPicture(p, j, 190))
		} else {
			r.view.SetPicture(&drawing.Picture{})
		}
	default:
		r.view.SetPicture(figure.Isometric(p, 190, 150, corner))
	}
	r.mark()
}

// chosenCopy is the index of the copy picked; the first where none is.
func (r *Room) chosenCopy(p *plan.Plan) int {
	sel := r.desk.Session().Selection()
	for i, c := range p.Copies {
		if c.Part == sel.Part && (sel.Index == 0 || c.Index == sel.Index) {
			return i
		}
	}
	return 0
}

// chosenJoint is the first place of the joint picked.
func (r *Room) chosenJoint(p *plan.Plan) (plan.MadeJoint, bool) {
	sel := r.desk.Session().Selection()
	for _, j := range p.Frame.Joints {
		if sel.Joint == 0 || j.Rule.ID == sel.Joint {
			return j, true
		}
	}
	return plan.MadeJoint{}, false
}

// mark shows what is picked, and in it what the fit proof found wrong.
func (r *Room) mark() {
	p := r.desk.Session().Plan()
	if p == nil {
		return
	}
	sel := r.desk.Session().Selection()
	var refs []string
	for _, c := range p.Copies {
		if c.Part == sel.Part && (sel.Index == 0 || c.Index == sel.Index) {
			refs = append(refs, figure.CopyRef(c.Mark))
		}
	}
	for _, j := range p.Frame.Joints {
		if j.Rule.ID == sel.Joint {
			refs = append(refs, figure.CopyRef(p.Copies[j.A].Mark), figure.CopyRef(p.Copies[j.B].Mark))
		}
	}
	r.view.Select(refs...)
}

// pick takes a copy tapped in the drawing: as the selection, or as one of two to
// be joined.
func (r *Room) pick(ref string, _ fyne.KeyModifier) {
	mark, ok := strings.CutPrefix(ref, "copy:")
	p := r.desk.Session().Plan()
	if !ok || p == nil {
		r.desk.Session().Select(session.Selection{})
		return
	}
	c, ok := p.Copy(mark)
	if !ok {
		return
	}
	if r.joining.Checked {
		r.join(p, c)
		return
	}
	sel := session.Selection{Part: c.Part, Index: c.Index}
	r.desk.Session().Select(sel)
	part, _ := p.Part(c.Part)
	r.desk.Say(fmt.Sprintf("%s %s: %s x %s x %s", part.Name, mark, desk.Length(p.Project, part.L), desk.Length(p.Project, part.W), desk.Length(p.Project, part.T)))
}

// join takes the receiving copy first, then the entering one.
func (r *Room) join(p *plan.Plan, c plan.PlacedCopy) {
	if r.first == "" || r.first == c.Mark {
		r.first = c.Mark
		r.view.Select(figure.CopyRef(c.Mark))
		r.desk.Say(c.Mark + " receives the joint. Now pick the one that enters.")
		return
	}
	a, _ := p.Copy(r.first)
	r.first = ""
	r.joining.SetChecked(false)
	kind := jointKinds[max(r.kind.SelectedIndex(), 0)]
	err := r.desk.Session().Edit("join "+a.Mark+" and "+c.Mark, "", func(q *plan.Project) (*plan.Project, error) {
		if a.Part == 0 || c.Part == 0 {
			return nil, errors.New("pick two copies of the piece")
		}
		return addJoint(q, plan.Joint{A: plan.CopyRef{Part: a.Part, Index: a.Index}, B: plan.CopyRef{Part: c.Part, Index: c.Index}, Kind: kind}), nil
	})
	r.desk.Fail(err)
	if err == nil {
		js := r.desk.Session().Project().Joints
		r.desk.Session().Select(session.Selection{Joint: js[len(js)-1].ID})
		r.tabs.SelectIndex(1)
	}
}
