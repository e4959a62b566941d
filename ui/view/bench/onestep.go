package bench

import (
	"image/color"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	fynetheme "fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"pilewright/plan"
	"pilewright/plan/trade"
	"pilewright/ui/control"
	"pilewright/ui/locale"
)

// oneStep is one step in type that is read at arm's length, with the clock.
type oneStep struct {
	room    *Room
	text    *widget.RichText
	scroll  *container.Scroll
	shown   string // key of the step in the text
	clock   *canvas.Text
	totals  *widget.Label
	start   *control.BigButton
	done    *control.BigButton
	doubt   *widget.Label
	strip   *fyne.Container
	content *fyne.Container
}

// clockSize is how many times the plain text the clock's face is.
const clockSize = 3

// keysWidth is the least width of the column with the clock and the keys.
const keysWidth = 280

func newOneStep(r *Room) *oneStep {
	o := &oneStep{room: r, text: widget.NewRichText(), clock: canvas.NewText("0:00:00", fynetheme.Color(fynetheme.ColorNameForeground)), totals: widget.NewLabel(""), doubt: widget.NewLabel("")}
	o.text.Wrapping, o.totals.Wrapping, o.doubt.Wrapping = fyne.TextWrapWord, fyne.TextWrapWord, fyne.TextWrapWord
	o.clock.TextStyle = fyne.TextStyle{Monospace: true}
	o.clock.Alignment = fyne.TextAlignCenter
	o.start = control.NewBigButton(control.Start, lang.L("Start"), func() { r.startOrPause(); o.hold() })
	o.done = control.NewBigButton(control.Done, lang.L("Done"), func() { r.finish(); o.hold() })
	o.scroll = container.NewVScroll(o.text)
	o.strip = container.NewBorder(nil, nil, nil, widget.NewButton(lang.L("Correct…"), r.correct), o.doubt)
	o.strip.Hide()
	room := canvas.NewRectangle(color.Transparent)
	room.SetMinSize(fyne.NewSize(keysWidth, 0))
	keys := container.NewVBox(room, o.clock, o.totals, o.start, o.done)
	o.content = container.NewBorder(o.strip, nil, nil, container.NewVScroll(keys), container.NewPadded(o.scroll))
	return o
}

// hold keeps the keyboard on the start key, so that the space bar works it.
func (o *oneStep) hold() {
	if o.room.tabs.SelectedIndex() == tabOne {
		o.room.desk.Window().Canvas().Focus(o.start)
	}
}

func (o *oneStep) refresh() {
	s, i, ok := o.room.current()
	if !ok {
		o.text.Segments = large(lang.L("Nothing to do yet"), lang.L("The piece needs parts, and the pile boards that can make them."))
		o.text.Refresh()
		o.start.Disable()
		o.done.Disable()
		o.refreshClock()
		return
	}
	o.start.Enable()
	o.done.Enable()
	o.text.Segments = segments(o.room.plan(), s, i)
	o.text.Refresh()
	if o.shown != s.Key {
		o.shown = s.Key
		o.scroll.ScrollToTop()
	}
	o.refreshClock()
}

// refreshClock shows the time on the clock, the sums and the keys.
func (o *oneStep) refreshClock() {
	r := o.room
	p, now := r.desk.Session().Project(), r.now()
	s, _, ok := r.current()
	face0, sums, key := clockWords(r.plan(), p, s, ok, elapsed(p.Timer, now))
	o.clock.Text = face0
	o.clock.Color = fynetheme.Color(fynetheme.ColorNameForeground)
	o.clock.TextSize = clockSize * fynetheme.TextSize()
	o.clock.Refresh()
	o.totals.SetText(sums)
	if o.start.Title() != key.title {
		o.start.Set(key.deed, key.title, key.note)
	}
	d, doubtful := r.forgotten()
	if doubtful {
		o.doubt.SetText(lang.L("{{.why}} Was it forgotten? Correct it before you go on.", locale.With{"why": d.why}))
	}
	if doubtful == o.strip.Visible() {
		return
	}
	o.strip.Hidden = !doubtful
	o.content.Refresh() // what is beside the strip moves
}

// key is what the start key does.
type key struct {
	deed        control.Deed
	title, note string
}

// clockWords gives the clock's face for the step, the sums under it and the key.
func clockWords(made *plan.Plan, p *plan.Project, s plan.Step, ok bool, seconds int64) (clock, sums string, k key) {
	t := p.Timer
	mine := ok && t.Step == s.Key && t.Piece == p.Piece.ID
	k = key{control.Start, lang.L("Start"), lang.L("space bar")}
	switch {
	case mine && t.Running:
		k = key{control.Pause, lang.L("Pause"), lang.L("space bar")}
	case mine && seconds > 0:
		k.title = lang.L("Go on")
	}
	if !ok {
		return face(0), "", k
	}
	on := logged(made.Work, p, s.Key) * 60
	running := int64(0)
	if mine {
		running = seconds
	}
	sums = lang.L("Target {{.minutes}}", locale.With{"minutes": minutes(s.Minutes)})
	if over := on/60 + float64(running)/60 - s.Minutes; over > 0.5 {
		sums += lang.L(", {{.over}} over", locale.With{"over": minutes(over)})
	}
	whole := made.Ledger.Done + float64(running)/60
	sums += "\n" + lang.L("The piece: {{.done}} of {{.whole}}", locale.With{"done": minutes(whole), "whole": minutes(max(made.Ledger.Done+made.Ledger.Left, whole))})
	if !mine && t.Running {
		other, _ := made.Work.Step(t.Step)
		sums += "\n" + lang.L("The clock runs on “{{.title}}”; Start puts that into the log.", locale.With{"title": other.Title})
	}
	return face(int64(on) + running), sums, k
}

// large gives a heading and lines in large type.
func large(title string, lines ...string) []widget.RichTextSegment {
	out := []widget.RichTextSegment{&widget.TextSegment{Text: title, Style: widget.RichTextStyle{SizeName: fynetheme.SizeNameHeadingText, TextStyle: fyne.TextStyle{Bold: true}}}}
	for _, l := range lines {
		out = append(out, line(l, false))
	}
	return out
}

func line(text string, bold bool) widget.RichTextSegment {
	return &widget.TextSegment{Text: text, Style: widget.RichTextStyle{SizeName: fynetheme.SizeNameSubHeadingText, TextStyle: fyne.TextStyle{Bold: bold}}}
}

// segments is a step for reading at arm's length: what, with which set-up, how,
// and what to look out for.
func segments(p *plan.Plan, s plan.Step, i int) []widget.RichTextSegment {
	title := s.Title
	if s.Done {
		title += lang.L(" (done)")
	}
	out := large(title)
	head := lang.L("Step {{.i}} of {{.steps}}", locale.With{"i": i + 1, "steps": len(p.Work.Steps)})
	if s.Machine != "bench" && s.Machine != "" {
		head += "  ·  " + s.Machine
	}
	out = append(out, line(head, false))
	if s.Setup != "" && s.Machine != "bench" {
		word := lang.L("Set-up: ")
		if newSetup(p.Work.Steps, i) {
			word = lang.L("New set-up: ")
		}
		out = append(out, line(word+s.Setup, true))
	}
	if len(s.Marks) > 0 && len(s.Marks) < len(p.Copies) || s.Phase == plan.PhasePrepare {
		out = append(out, line(lang.L("Done to: {{.marks}}", locale.With{"marks": strings.Join(s.Marks, " ")}), false))
	}
	for _, d := range s.Detail {
		out = append(out, line(d, false))
	}
	if s.Wait > 0 {
		out = append(out, line(lang.L("Then wait {{.hours}} for the {{.wet}}.", locale.With{"hours": locale.Say(plan.HoursText(s.Wait)), "wet": waitWord(s)}), false))
	}
	return append(out, cautionSegments(s.Cautions)...)
}

// cautionSegments are the cautions of a step in full, with their sources.
func cautionSegments(codes []string) []widget.RichTextSegment {
	if len(codes) == 0 {
		return nil
	}
	plain := func(text string) widget.RichTextSegment {
		return &widget.TextSegment{Text: text, Style: widget.RichTextStyleParagraph}
	}
	out := []widget.RichTextSegment{line(lang.L("Take care"), true)}
	for _, code := range codes {
		c, ok := trade.CautionByCode(code)
		if !ok {
			continue
		}
		out = append(out, line(locale.Say(c.When)+" "+locale.Say(c.Text), false), plain(lang.L("Source: {{.source}}", locale.With{"source": locale.Say(c.Source)})))
	}
	return append(out, plain(locale.Say(trade.CautionLead)))
}
