package piece

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2/test"

	"pilewright/layout/drawing"
	"pilewright/layout/figure"
	"pilewright/plan"
	"pilewright/plan/joinery"
	"pilewright/plan/measure"
	"pilewright/ui/desk"
	"pilewright/ui/desk/desktest"
	"pilewright/ui/session"
)

func shown(t *testing.T) (*desktest.Desk, *Room) {
	t.Helper()
	d := desktest.New(t)
	r := New(d)
	d.Show(r)
	return d, r
}

func measureRow(t *testing.T, p *plan.Project, name string) int {
	t.Helper()
	i := slices.IndexFunc(p.Measures, func(m plan.Measure) bool { return m.Name == name })
	if i < 0 {
		t.Fatalf("there is no measure %s", name)
	}
	return i
}

func TestASizeTypedIsPlannedAndUndone(t *testing.T) {
	d, r := shown(t)
	row := measureRow(t, d.Session().Project(), "height")
	before := d.Session().Project().Measures[row].Text
	r.show(r.tabs.Items[2])
	r.measures.SetCurrent(row, 1)
	for _, c := range "30 in" {
		r.measures.TypedRune(c)
		if r.measures.Editing() {
			break
		}
	}
	test.Type(d.Window().Canvas().Focused(), "0 in")
	r.measures.Finish()
	d.Settle()
	if got := d.Session().Project().Measures[row].Text; got != "30 in" {
		t.Fatalf("height is %q", got)
	}
	if text, _ := r.measures.Cell(row, 2); text != `30"` {
		t.Errorf("it comes to %q", text)
	}
	top := measure.Length(0)
	for _, c := range d.Session().Plan().Copies {
		top = max(top, c.Box.Max[2])
	}
	if top != 30*measure.Inch {
		t.Errorf("the piece planned is %v high", top)
	}
	if label, err := d.Session().Undo(); err != nil || label != "change height" {
		t.Fatalf("undo said %q, %v", label, err)
	}
	if got := d.Session().Project().Measures[row].Text; got != before {
		t.Errorf("after undo it is %q, want %q", got, before)
	}
}

func TestABadSizeKeepsItsTextAndTheLastGoodPlanStaysDrawn(t *testing.T) {
	d, r := shown(t)
	row := slices.IndexFunc(d.Session().Project().Parts, func(p plan.Part) bool { return p.Name == "leg" })
	good := d.Session().Plan()
	if err := r.parts.Commit(row, partLength, "heigth - 3"); err != nil {
		t.Fatal(err)
	}
	d.Settle()
	text, state := r.parts.Cell(row, partLength)
	if text != "heigth - 3" || !state.Invalid || !strings.Contains(state.Message, "heigth") {
		t.Errorf("the cell shows %q, %+v", text, state)
	}
	if d.Session().Plan() != good || len(r.view.Picture().Marks) == 0 {
		t.Error("the last good plan is not what is drawn")
	}
	if !strings.Contains(r.told.Text, "last state that could be planned") {
		t.Errorf("beside the drawing it says %q", r.told.Text)
	}
}

func TestARenamedMeasureIsRenamedWhereItIsUsed(t *testing.T) {
	d, r := shown(t)
	row := measureRow(t, d.Session().Project(), "overhang")
	if err := r.measures.Commit(row, 0, "lip"); err != nil {
		t.Fatal(err)
	}
	d.Settle()
	for _, p := range d.Session().Project().Parts {
		if strings.Contains(p.Length+p.Width, "overhang") {
			t.Errorf("%s is still %s by %s", p.Name, p.Length, p.Width)
		}
	}
	if f := d.Session().Failure(); f != "" {
		t.Errorf("after renaming the piece can't be planned: %s", f)
	}
	if err := r.measures.Commit(row, 0, "height"); err == nil {
		t.Error("two measures of one name are taken")
	}
}

func TestARowPickedOutlinesItsCopiesAndACopyPickedItsRow(t *testing.T) {
	d, r := shown(t)
	row := slices.IndexFunc(d.Session().Project().Parts, func(p plan.Part) bool { return p.Name == "leg" })
	r.parts.SetCurrent(row, partName)
	leg := d.Session().Project().Parts[row].ID
	if d.Session().Selection().Part != leg {
		t.Fatal("the row does not pick its part")
	}
	if n := outlinedRefs(r, drawing.RoleSelected); n != 4 {
		t.Errorf("%d copies are outlined, want the four legs", n)
	}
	c := d.Session().Plan().Copies[0]
	r.pick(figure.CopyRef(c.Mark), 0)
	if got := d.Session().Selection(); got.Part != c.Part || got.Index != c.Index {
		t.Errorf("picked %+v, want part %d copy %d", got, c.Part, c.Index)
	}
	if n := outlinedRefs(r, drawing.RoleSelected); n != 1 {
		t.Errorf("%d copies are outlined, want one", n)
	}
}

// outlinedRefs counts the copies drawn round in a role.
func outlinedRefs(r *Room, role drawing.Role) int {
	seen := map[string]bool{}
	for _, m := range r.view.Picture().Marks {
		if m.Role == role {
			seen[m.Ref] = true
		}
	}
	return len(seen)
}

func TestTwoCopiesPickedOneAfterTheOtherAreJoined(t *testing.T) {
	d, r := shown(t)
	p := d.Session().Plan()
	j := p.Frame.Joints[0]
	a, b := p.Copies[j.A], p.Copies[j.B]
	n := len(d.Session().Project().Joints)
	r.kind.SetSelected(plan.KindName(joinery.Dowels))
	r.setJoining(true)
	r.pick(figure.CopyRef(a.Mark), 0)
	if !strings.Contains(d.Said, a.Mark+" receives") {
		t.Errorf("after the first pick it says %q", d.Said)
	}
	r.pick(figure.CopyRef(b.Mark), 0)
	joints := d.Session().Project().Joints
	if len(joints) != n+1 {
		t.Fatalf("there are %d joints, want %d", len(joints), n+1)
	}
	got := joints[n]
	want := plan.Joint{ID: got.ID, Piece: got.Piece, Order: got.Order, Kind: joinery.Dowels, A: plan.CopyRef{Part: a.Part, Index: a.Index}, B: plan.CopyRef{Part: b.Part, Index: b.Index}}
	if got != want {
		t.Errorf("joined %+v, want %+v", got, want)
	}
	if r.joining || d.Session().Selection().Joint != got.ID {
		t.Error("the new joint is not picked, or joining goes on")
	}
}

func TestWhatTheFitProofFindsIsDrawnInRed(t *testing.T) {
	d, r := shown(t)
	if n := outlinedRefs(r, drawing.RoleWarning); n != 0 {
		t.Fatalf("%d copies of a sound piece are red", n)
	}
	i := slices.IndexFunc(d.Session().Project().Parts, func(p plan.Part) bool { return p.Name == "leg" })
	err := d.Session().Edit("lift a leg", "", func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) {
			q.Parts = slices.Clone(p.Parts)
			q.Parts[i].Length = q.Parts[i].Length + " + 1 in" // into the top
		}), nil
	})
	if err != nil {
		t.Fatal(err)
	}
	d.Settle()
	if outlinedRefs(r, drawing.RoleWarning) < 2 {
		t.Errorf("legs that stand in the top are not drawn red; findings: %+v", d.Session().Findings())
	}
	if !strings.Contains(r.told.Text, "Red") {
		t.Errorf("beside the drawing it says %q", r.told.Text)
	}
}

func TestEveryDrawingShowsSomething(t *testing.T) {
	d, r := shown(t)
	for i, name := range drawings() {
		r.which.Press(i)
		if len(r.view.Picture().Marks) < 5 {
			t.Errorf("%s draws %d marks", name, len(r.view.Picture().Marks))
		}
	}
	d.Session().Select(session.Selection{Joint: d.Session().Project().Joints[1].ID})
	r.which.Press(drawJoint)
	if !strings.Contains(r.told.Text, plan.KindName(d.Session().Project().Joints[1].Kind)) {
		t.Errorf("beside the joint drawn it says %q", r.told.Text)
	}
}

func TestJointKindsReadBackByTheirNames(t *testing.T) {
	for _, k := range jointKinds {
		if got, err := kindNamed(plan.KindName(k)); err != nil || got != k {
			t.Errorf("%q reads as %q, %v", plan.KindName(k), got, err)
		}
	}
	if _, err := kindNamed("dovetailed nail"); err == nil {
		t.Error("a kind that does not exist is taken")
	}
}

func TestAJointMadeTellsWhatFollowsFromItsSizes(t *testing.T) {
	d, r := shown(t)
	p := d.Session().Plan()
	seen := map[plan.JointKind]bool{}
	for row, rule := range d.Session().Project().Joints {
		made := r.made(rule.ID)
		if len(made) == 0 {
			continue
		}
		seen[rule.Kind] = true
		at := func(n int) string { text, _ := r.jointCell(row, jointFacts+n); return text }
		res := made[0].Result
		if got, want := at(0) != "", res.Added.Min+res.Added.Max > 0; got != want {
			t.Errorf("%s: the blank is longer by %q, added is %+v", rule.Kind, at(0), res.Added)
		}
		if long := max(res.Added.Min, res.Added.Max); long > 0 && at(0) != desk.Length(p.Project, long) {
			t.Errorf("%s: the blank is longer by %q, want %v", rule.Kind, at(0), long)
		}
		if rule.Kind == joinery.StoppedTenon && (!strings.Contains(at(1), " end, ") || !strings.HasPrefix(at(2), "router, ") || !strings.HasSuffix(at(4), "sq in")) {
			t.Errorf("a tenon is marked from %q, cut with %q, glued over %q", at(1), at(2), at(4))
		}
		if at(3) == "" {
			t.Errorf("%s goes in no way", rule.Kind)
		}
	}
	if !seen[joinery.StoppedTenon] {
		t.Fatal("no tenon was made")
	}
}

func TestTheSliderGoesThroughTheStages(t *testing.T) {
	d, r := shown(t)
	r.which.Press(drawApart)
	seq := d.Session().Plan().Frame.Build.Sequence
	last := len(seq.Stages) + 1
	for _, at := range []float64{0, 0.2, 0.5, 0.8, 1} {
		r.apart.SetValue(at)
		n, open := seq.OpenAt(at)
		want := fmt.Sprintf("Stage %d of %d,", n+1, len(seq.Stages))
		if !open {
			n, want = len(seq.Stages), fmt.Sprintf("Stages: %d; glue-ups: %d, proved the fewest", len(seq.Stages), seq.GlueUps())
		}
		if !strings.HasPrefix(r.told.Text, want) || n > last {
			t.Errorf("at %v it says %q, want %q", at, r.told.Text, want)
		}
		last = n
	}
	if last != 0 {
		t.Errorf("pulled apart it shows stage %d open, want the first", last+1)
	}
}

// Every kind of joint is made between two copies picked in the drawing. A half-lap
// and a bridle are of two bars that lie through each other: across, and with the
// end of one in the other.
func TestEveryKindOfJointIsMadeByPicking(t *testing.T) {
	d, r := shown(t)
	bar := func(name string, along plan.Axis, x, y string) plan.Part {
		return plan.Part{Name: name, Length: "20 in", Width: "2 in", Thickness: "3/4 in",
			Copies: []plan.Copy{{X: x, Y: y, Z: "0", Along: along, Thick: plan.Z}}}
	}
	crossing := map[plan.JointKind][]plan.Part{
		joinery.HalfLap: {bar("bar", plan.X, "200 in", "0"), bar("arm", plan.Y, "208 in", "-9 in")},
		joinery.Bridle:  {bar("bar", plan.X, "200 in", "0"), bar("arm", plan.Y, "208 in", "0")},
	}
	for _, kind := range jointKinds {
		j := d.Session().Plan().Frame.Joints[0]
		was := len(d.Session().Project().Joints)
		// Nothing else between the two, so that what is found is the new joint's.
		err := d.Session().Edit("no joints", "", func(q *plan.Project) (*plan.Project, error) {
			return q.With(func(q *plan.Project) {
				q.Joints = nil
				for _, part := range crossing[kind] {
					part.ID, part.Piece, part.Order = q.Take(), q.Piece.ID, len(q.Parts)
					q.Parts = append(slices.Clone(q.Parts), part)
				}
			}), nil
		})
		if err != nil {
			t.Fatal(err)
		}
		d.Settle()
		p := d.Session().Plan()
		a, b := p.Copies[j.A], p.Copies[j.B]
		if len(crossing[kind]) > 0 {
			a, b = p.Copies[len(p.Copies)-2], p.Copies[len(p.Copies)-1]
			if p.Frame.Fit.OK() {
				t.Errorf("%s: the bars do not lie through each other", kind)
			}
		}
		r.kind.SetSelected(plan.KindName(kind))
		r.setJoining(true)
		r.pick(figure.CopyRef(a.Mark), 0)
		r.pick(figure.CopyRef(b.Mark), 0)
		d.Settle()
		joints := d.Session().Project().Joints
		if len(joints) != 1 || joints[0].Kind != kind || joints[0].A.Index != a.Index || joints[0].B.Index != b.Index {
			t.Fatalf("%s: joined %+v", kind, joints)
		}
		if made := r.made(joints[0].ID); len(made) != 1 {
			t.Errorf("%s: made at %d places: %+v", kind, len(made), d.Session().Findings())
		}
		if fit := d.Session().Plan().Frame.Fit; len(fit.Overlaps)+len(fit.Faults) > 0 {
			t.Errorf("%s: the two do not fit: %+v %+v", kind, fit.Overlaps, fit.Faults)
		}
		r.which.Press(drawJoint)
		if len(r.view.Picture().Marks) < 5 || !strings.Contains(r.told.Text, plan.KindName(kind)) {
			t.Errorf("%s: %d marks drawn, %q", kind, len(r.view.Picture().Marks), r.told.Text)
		}
		for len(d.Session().Project().Joints) < was {
			if _, err := d.Session().Undo(); err != nil {
				t.Fatal(err)
			}
			d.Settle()
		}
	}
}
