package bench

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"fyne.io/fyne/v2/lang"

	"pilewright/layout/drawing"
	"pilewright/layout/figure"
	"pilewright/plan"
	"pilewright/plan/schedule"
	"pilewright/ui/locale"
)

// draw shows what belongs to the tab: the step's own drawing, or the timeline.
func (r *Room) draw() {
	p := r.plan()
	r.words.SetText(r.sentence())
	if r.tabs.SelectedIndex() != tabOne {
		r.view.FitWidth = true
		r.view.SetPicture(drawing.Timeline(timeline(p, r.now()), drawing.Options{Width: 210, Words: locale.Plan()}))
		r.view.Select(r.place)
		return
	}
	s, _, ok := r.current()
	if !ok {
		r.view.SetPicture(&drawing.Picture{})
		return
	}
	pic, refs := stepPicture(p, s)
	box := pic.Bounds()
	r.view.FitWidth = box.H() > box.W()/2 // what is tall is read from its top
	r.view.SetPicture(pic)
	r.view.Select(refs...)
	if r.drawn != s.Key {
		r.drawn = s.Key
		r.view.Fit()
	}
}

// sentence stands above the drawing.
func (r *Room) sentence() string {
	w := r.plan().Work
	if w.Blocked != "" {
		return w.Blocked
	}
	if r.tabs.SelectedIndex() == tabOne || len(w.Timeline.Sessions) == 0 {
		return ""
	}
	text := ""
	if d, ok := r.forgotten(); ok {
		text = lang.L("{{.why}} Correct it under One step. ", locale.With{"why": d.why})
	}
	text += lang.L("{{.sessions}} sessions, {{.minutes}} hands on; ready {{.day}}.", locale.With{"sessions": len(w.Timeline.Sessions), "minutes": minutes((w.Timeline.Work + w.Timeline.Setup).Minutes()), "day": locale.Day(w.Timeline.Ready.In(r.now().Location()), "Monday 2 January")})
	text += lang.L(" {{.setups}} set-ups; part by part it would be {{.n}}", locale.With{"setups": w.Setups, "n": w.NaiveSetups})
	if w.Saved > 0.5 {
		text += lang.L(" and {{.saved}} more", locale.With{"saved": minutes(w.Saved)})
	}
	if w.Proved {
		text += lang.L(". Proved: no order takes less hands-on time")
	}
	return text + "."
}

// timeline is the calendar as it is drawn: steps against shop sessions.
func timeline(p *plan.Plan, now time.Time) drawing.TimelineView {
	t := p.Work.Timeline
	var v drawing.TimelineView
	if len(t.Sessions) == 0 {
		return v
	}
	zero := t.Sessions[0].Start
	for _, s := range t.Sessions {
		v.Sessions = append(v.Sessions, drawing.Session{Label: locale.Day(s.Start.In(now.Location()), "Mon 2 Jan"), From: s.Start.Sub(zero), To: s.End.Sub(zero)})
	}
	bars := map[string]*drawing.TimeBar{}
	for _, key := range t.Order {
		s, _ := p.Work.Step(key)
		v.Bars = append(v.Bars, drawing.TimeBar{Ref: key, Label: s.Title, Hover: barSay(s, when(t, key, now)), Done: s.Done})
	}
	for i := range v.Bars {
		bars[v.Bars[i].Ref] = &v.Bars[i]
	}
	put := func(key string, kind drawing.StretchKind, from, to time.Time) {
		if b := bars[key]; b != nil {
			b.Stretches = append(b.Stretches, drawing.Stretch{Kind: kind, From: from.Sub(zero), To: to.Sub(zero)})
		}
	}
	for _, b := range t.Bars {
		kind := drawing.Working
		if b.Kind == schedule.Change {
			kind = drawing.SettingUp
		}
		put(b.Step, kind, b.Start, b.End)
	}
	for _, w := range t.Waits {
		put(w.Step, drawing.Waiting, w.Start, w.End)
	}
	if since := now.Sub(zero); since > 0 && now.Before(t.Sessions[len(t.Sessions)-1].End) {
		v.Now, v.ShowNow = since, true
	}
	return v
}

func barSay(s plan.Step, begins string) string {
	text := fmt.Sprintf("%s: %s", s.Title, minutes(s.Minutes))
	if begins != "" {
		text += lang.L(", from {{.begins}}", locale.With{"begins": begins})
	}
	if s.Wait > 0 {
		text += lang.L(", then {{.hours}} of waiting", locale.With{"hours": locale.Say(plan.HoursText(s.Wait))})
	}
	return text
}

// Sizes of the drawing beside a step, in millimetres of paper.
const (
	stepWidth  = 220
	stepHeight = 120
	mostParts  = 3
)

// stepPicture is the drawing that goes with a step, and what to outline in it.
func stepPicture(p *plan.Plan, s plan.Step) (*drawing.Picture, []string) {
	head, rest, _ := strings.Cut(s.Key, "/")
	switch head {
	case "nails", "trim", "crosscut", "rip":
		if pic := boardsPicture(p, s.Marks); pic != nil {
			return pic, nil
		}
	case "glue", "join", "flat", "flush":
		if pic := gluePicture(p, s.Marks); pic != nil {
			return pic, nil
		}
	case "stage":
		if n, err := strconv.Atoi(rest); err == nil && n >= 1 && n <= len(p.Frame.Build.Sequence.Stages) {
			pic, _ := figure.StagePicture(p, n-1, stepWidth, stepHeight)
			return pic, nil
		}
	case "joint", "plane", "width", "length":
		if pic := partsPicture(p, partsOf(p, s.Marks)); pic != nil {
			return pic, nil
		}
	}
	if s.Phase == plan.PhaseJoinery && head != "mark-out" {
		if pic := jointPicture(p, head, s.Marks); pic != nil {
			return pic, nil
		}
	}
	return figure.Isometric(p, stepWidth, stepHeight, drawing.FrontRight), copyRefs(p, s.Marks)
}

// copyRefs outlines copies, unless the step is done to all of them.
func copyRefs(p *plan.Plan, marks []string) []string {
	if len(marks) >= len(p.Copies) {
		return nil
	}
	var out []string
	for _, m := range marks {
		out = append(out, figure.CopyRef(m))
	}
	return out
}

// boardsPicture draws the boards with those marks as they are cut.
func boardsPicture(p *plan.Plan, marks []string) *drawing.Picture {
	var views []drawing.BoardView
	for _, cb := range p.Cuts.Boards {
		b, ok := p.Project.Board(cb.Board)
		if !ok || !slices.Contains(marks, b.Mark) {
			continue
		}
		if v, ok := figure.Cut(p, cb); ok {
			views = append(views, v)
		}
	}
	if len(views) == 0 {
		return nil
	}
	return drawing.Boards(views, drawing.BoardsOptions{Width: 210, Legend: true})
}

// gluePicture draws the glue-up of the first copy named.
func gluePicture(p *plan.Plan, marks []string) *drawing.Picture {
	for _, g := range p.GlueUps {
		if slices.Contains(marks, g.Copy) {
			return figure.Panel(p, g, stepWidth)
		}
	}
	return nil
}

// partsOf gives a copy of each different part that marks name, by copy or letter.
func partsOf(p *plan.Plan, marks []string) []int {
	var out []int
	var seen []plan.ID
	for i, c := range p.Copies {
		sp, _ := p.Part(c.Part)
		if (slices.Contains(marks, c.Mark) || slices.Contains(marks, sp.Letter)) && !slices.Contains(seen, c.Part) {
			out, seen = append(out, i), append(seen, c.Part)
		}
	}
	return out
}

// partsPicture draws a few parts one under the other.
func partsPicture(p *plan.Plan, copies []int) *drawing.Picture {
	if len(copies) == 0 {
		return nil
	}
	var list []*drawing.Picture
	for _, i := range copies[:min(len(copies), mostParts)] {
		list = append(list, figure.PartPicture(p, i, stepWidth))
	}
	return stacked(list)
}

// jointPicture draws the first joint that the step cuts in one of the copies, and
// under it that copy with all its places.
func jointPicture(p *plan.Plan, rate string, marks []string) *drawing.Picture {
	for _, j := range p.Frame.Joints {
		at := j.A
		if rate == "tenon" {
			at = j.B
		}
		if slices.Contains(marks, p.Copies[at].Mark) {
			return stacked([]*drawing.Picture{figure.JointPicture(p, j, stepWidth), figure.PartPicture(p, at, stepWidth)})
		}
	}
	return nil
}

// stacked sets pictures one under the other.
func stacked(list []*drawing.Picture) *drawing.Picture {
	const gap = 8.0
	out := &drawing.Picture{}
	y := 0.0
	for _, pic := range list {
		box := pic.Bounds()
		out.Add(pic, 0, y-box.Y0, 1)
		y += box.H() + gap
	}
	return out
}
