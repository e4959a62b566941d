// Package piece is the room of the piece: its measures, parts, places and joints
// in tables above, the drawing below.
package piece

import (
	"fmt"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"pilewright/layout/drawing"
	"pilewright/layout/figure"
	"pilewright/plan"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
	"pilewright/ui/paint"
	"pilewright/ui/session"
)

// The drawings the room offers, as numbered in the bar.
const (
	drawIso = iota
	drawViews
	drawApart
	drawPart
	drawJoint
)

func drawings() []string {
	return []string{lang.L("From a corner"), lang.L("Three sides"), lang.L("Pulled apart"), lang.L("The part"), lang.L("The joint")}
}

// Room is the Piece room.
type Room struct {
	desk     desk.Desk
	measures *control.Grid
	parts    *control.Grid
	places   *control.Grid
	joints   *control.Grid
	tabs     *container.AppTabs
	view     *paint.View
	base     *drawing.Picture // as drawn, before what is picked is outlined
	which    *control.Modes
	corner   *widget.Select
	apart    *widget.Slider
	slider   fyne.CanvasObject
	told     *widget.Label
	hidden   *widget.Check
	content  fyne.CanvasObject
	first    string // mark of the first of two copies picked for a joint
	join2    *widget.Button
	joining  bool
	kind     *widget.Select
}

// New makes the room.
func New(d desk.Desk) *Room {
	r := &Room{desk: d, view: paint.NewView()}
	r.measures, r.parts, r.places, r.joints = r.measureGrid(), r.partGrid(), r.placeGrid(), r.jointGrid()
	r.view.OnStatus = d.Say
	r.view.OnPick = r.pick
	r.which = control.NewModes(drawings(), func(int) { r.arrange(); r.draw(); r.view.Fit() })
	r.corner = widget.NewSelect([]string{lang.L("front right"), lang.L("front left"), lang.L("back right"), lang.L("back left")}, func(string) { r.draw() })
	r.corner.Selected = lang.L("front right")
	r.apart = widget.NewSlider(0, 1)
	r.apart.Step, r.apart.Value = 0.02, 1
	r.apart.OnChanged = func(float64) { r.draw(); d.Say(r.told.Text) }
	r.hidden = widget.NewCheck(lang.L("hidden edges"), func(bool) { r.draw() })
	r.told = widget.NewLabel("")
	r.told.Truncation = fyne.TextTruncateEllipsis
	var kinds []string
	for _, k := range jointKinds {
		kinds = append(kinds, locale.Say(plan.KindName(k)))
	}
	r.kind = widget.NewSelect(kinds, nil)
	r.kind.SetSelectedIndex(1)
	r.join2 = widget.NewButton(lang.L("Join two parts by picking them"), func() { r.setJoining(!r.joining) })
	slider := container.NewGridWrap(fyne.NewSize(120, 34), r.apart)
	r.slider = slider
	bar := container.NewBorder(nil, nil, container.NewHBox(r.which, r.corner, slider, r.hidden), nil, r.told)
	joints := container.NewBorder(nil, container.NewHBox(r.join2, widget.NewLabel(lang.L("with a")), container.NewGridWrap(fyne.NewSize(160, 34), r.kind)), nil, nil, r.joints)
	r.tabs = container.NewAppTabs(
		container.NewTabItem(lang.L("Parts"), r.parts), container.NewTabItem(lang.L("Joints"), joints),
		container.NewTabItem(lang.L("Measures"), r.measures), container.NewTabItem(lang.L("Places"), r.places))
	split := control.NewSplit(false, r.tabs, container.NewBorder(container.NewHScroll(bar), nil, nil, paint.NewTools(r.view, paint.Measure), desk.Sized(r.view, r.draw)), desk.Share(d.Recall("split.piece"), 0.42))
	split.OnMoved = func(s float64) { d.Remember("split.piece", strconv.FormatFloat(s, 'f', 3, 64)) }
	r.content = split
	for name, g := range map[string]*control.Grid{"parts": r.parts, "joints": r.joints, "measures": r.measures, "places": r.places} {
		g.Empty = lang.L("No piece is open. New piece… (Ctrl+N) begins one from a starting point.")
		desk.SetWidths(g, d.Recall("widths."+name))
		g.OnWidths = func() { d.Remember("widths."+name, desk.Widths(g)) }
	}
	r.arrange()
	return r
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
	at := r.which.At()
	show(r.corner, at == drawIso || at == drawApart)
	show(r.slider, at == drawApart)
	show(r.hidden, at == drawViews)
}

// ID implements desk.Room.
func (r *Room) ID() string { return desk.Piece }

// Title implements desk.Room.
func (r *Room) Title() string { return lang.L("Piece") }

// Content implements desk.Room.
func (r *Room) Content() fyne.CanvasObject { return r.content }

// Drawing implements desk.Drawer.
func (r *Room) Drawing() (*paint.View, []paint.Tool) { return r.view, []paint.Tool{paint.Measure} }

// Commands implements desk.Room.
func (r *Room) Commands() []desk.Command {
	var list []desk.Command
	for i, name := range drawings() {
		list = append(list, desk.Command{Name: lang.L("Draw: {{.drawing}}", locale.With{"drawing": strings.ToLower(name)}), Run: func() { r.which.Press(i) }})
	}
	for _, tab := range r.tabs.Items {
		list = append(list, desk.Command{Name: lang.L("Table: {{.table}}", locale.With{"table": strings.ToLower(tab.Text)}), Run: func() { r.show(tab) }})
	}
	return append(list, desk.Command{Name: lang.L("Join two parts by picking them"), Tip: lang.L("joint tenon housing lap dowel screw"), Run: func() {
		r.show(r.tabs.Items[1])
		r.setJoining(true)
	}})
}

// show opens a table with the keyboard in it.
func (r *Room) show(tab *container.TabItem) {
	r.tabs.Select(tab)
	grids := []fyne.Focusable{r.parts, r.joints, r.measures, r.places}
	r.desk.Window().Canvas().Focus(grids[r.tabs.SelectedIndex()])
}

// setJoining begins or gives up joining two copies by picking them.
func (r *Room) setJoining(on bool) {
	r.joining, r.first = on, ""
	r.join2.Importance = widget.MediumImportance
	if on {
		r.join2.Importance = widget.HighImportance
		if at := r.which.At(); at == drawPart || at == drawJoint {
			r.which.Press(drawIso)
		}
		r.desk.Say(lang.L("Pick the part that receives the joint (mortise, housing) in the drawing, then the part that enters."))
	} else {
		r.desk.Say("")
	}
	r.join2.Refresh()
	r.mark()
}

// Changed implements desk.Room.
func (r *Room) Changed(c session.Change) {
	if c.Project || c.Piece {
		open := r.desk.Session().Project().Piece.ID != 0
		for _, g := range []*control.Grid{r.measures, r.parts, r.places, r.joints} {
			g.CanAdd = open
		}
	}
	if c.Project || c.Plan || c.Piece {
		for _, g := range []*control.Grid{r.measures, r.parts, r.places, r.joints} {
			g.Refresh()
		}
	}
	if c.Piece {
		r.setJoining(false)
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
	r.places.Refresh()
	switch r.which.At() {
	case drawPart, drawJoint:
		r.draw()
	default:
		r.mark()
	}
}

func key(id plan.ID) string { return strconv.FormatInt(int64(id), 10) }

// draw shows the chosen drawing of the newest plan.
func (r *Room) draw() {
	s := r.desk.Session()
	p := s.Plan()
	r.base = &drawing.Picture{}
	r.told.SetText("")
	if p == nil || len(p.Copies) == 0 {
		if s.Project().Piece.ID == 0 {
			r.told.SetText(lang.L("New piece… begins one from a starting point: a table, a bench, a stool, a shelf, a crate."))
		}
		r.view.SetPicture(r.base)
		return
	}
	width, height := desk.Paper(r.view.Size())
	r.view.FitWidth = r.which.At() == drawJoint // its figures must be read, even where not all of it fits the height
	corner := drawing.Corner(max(r.corner.SelectedIndex(), 0))
	switch r.which.At() {
	case drawViews:
		r.base = figure.Views(p, width, height, r.hidden.Checked)
	case drawApart:
		r.base = figure.ExplodedView(p, r.apart.Value, width, height, corner)
		r.told.SetText(stageTold(p, r.apart.Value))
	case drawPart:
		i := r.chosenCopy(p)
		r.base = figure.PartPicture(p, i, width)
		if h := r.base.Bounds().H(); h > height {
			r.base = figure.PartPicture(p, i, max(100, width*height/h))
		}
		part, _ := p.Part(p.Copies[i].Part)
		r.told.SetText(lang.L("{{.name}} {{.mark}}, with its joints marked out", locale.With{"name": part.Name, "mark": p.Copies[i].Mark}))
	case drawJoint:
		if j, ok := r.chosenJoint(p); ok {
			r.base = figure.JointPicture(p, j, width)
			r.told.SetText(lang.L("{{.joint}}: {{.enters}} into {{.receives}}", locale.With{"joint": locale.Say(plan.KindName(j.Rule.Kind)), "enters": p.Copies[j.B].Mark, "receives": p.Copies[j.A].Mark}))
		} else {
			r.told.SetText(lang.L("The piece has no joints yet. Add one under Joints."))
		}
	default:
		r.base = figure.Isometric(p, width, height, corner)
	}
	if s.Failure() != "" && s.Stale() {
		r.told.SetText(lang.L("The last state that could be planned. {{.failure}}", locale.With{"failure": locale.Say(s.Failure())}))
	} else if n := len(r.faulty()); n > 0 && r.told.Text == "" {
		r.told.SetText(lang.L("Red: what the fit proof found wrong; see the findings."))
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

// faulty lists the marks of the copies that can't be put together as drawn.
func (r *Room) faulty() map[string]bool {
	out := map[string]bool{}
	p := r.desk.Session().Plan()
	if p == nil {
		return out
	}
	for _, f := range p.Findings {
		if f.Severity == plan.Stop && f.Subject.Room == desk.Piece {
			for _, mark := range f.Subject.Marks {
				out[figure.CopyRef(mark)] = true
			}
		}
	}
	return out
}

// mark outlines what is picked, and in red what the fit proof found wrong.
func (r *Room) mark() {
	p := r.desk.Session().Plan()
	if p == nil || r.base == nil {
		return
	}
	sel := r.desk.Session().Selection()
	picked := map[string]bool{}
	if r.first != "" {
		picked[figure.CopyRef(r.first)] = true
	}
	for _, c := range p.Copies {
		if c.Part == sel.Part && sel.Part != 0 && (sel.Index == 0 || c.Index == sel.Index) {
			picked[figure.CopyRef(c.Mark)] = true
		}
	}
	for _, j := range p.Frame.Joints {
		if j.Rule.ID == sel.Joint && sel.Joint != 0 {
			picked[figure.CopyRef(p.Copies[j.A].Mark)], picked[figure.CopyRef(p.Copies[j.B].Mark)] = true, true
		}
	}
	if at := r.which.At(); at == drawPart || at == drawJoint {
		r.view.SetPicture(r.base)
		return
	}
	r.view.SetPicture(outlined(outlined(r.base, r.faulty(), drawing.RoleWarning), picked, drawing.RoleSelected))
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
	if r.joining {
		r.join(p, c)
		return
	}
	sel := session.Selection{Part: c.Part, Index: c.Index}
	r.desk.Session().Select(sel)
	part, _ := p.Part(c.Part)
	r.desk.Say(fmt.Sprintf("%s %s: %s", part.Name, mark, desk.Size(p.Project, part.L, part.W, part.T)))
}

// join takes the receiving copy first, then the entering one.
func (r *Room) join(p *plan.Plan, c plan.PlacedCopy) {
	if r.first == "" || r.first == c.Mark {
		r.first = c.Mark
		r.mark()
		r.desk.Say(lang.L("{{.mark}} receives the joint. Now pick the one that enters.", locale.With{"mark": c.Mark}))
		return
	}
	a, _ := p.Copy(r.first)
	r.first = ""
	r.setJoining(false)
	kind := jointKinds[max(r.kind.SelectedIndex(), 0)]
	err := r.desk.Session().Edit(lang.L("join {{.a}} and {{.b}}", locale.With{"a": a.Mark, "b": c.Mark}), "", func(q *plan.Project) (*plan.Project, error) {
		if a.Part == 0 || c.Part == 0 {
			return nil, locale.Error("pick two copies of the piece")
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
