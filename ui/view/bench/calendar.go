package bench

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/plan/schedule"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
)

// calendar is the tab of sessions: what is done in each, and when the piece is ready.
type calendar struct {
	room    *Room
	list    *control.Grid
	facts   *control.Facts
	whys    map[string]string
	reckon  *plan.Plan // the plan the facts are of
	lines   []sessionLine
	content fyne.CanvasObject
}

func newCalendar(r *Room) *calendar {
	c := &calendar{room: r, whys: map[string]string{}}
	c.facts = control.NewFacts(func(id string) string { return c.whys[id] })
	c.list = control.NewGrid([]control.Column{
		{Title: lang.L("Session"), Width: 190}, {Title: lang.L("Hands on"), Width: 90, Numeric: true, Tip: lang.L("work and set-up changes in it")}, {Title: lang.L("Set-ups"), Width: 70, Numeric: true},
		{Title: lang.L("What to do"), Width: 230, Stretch: true}, {Title: lang.L("Begins to wait"), Width: 150, Stretch: true, Tip: lang.L("glue that cures, finish that dries after this session")},
	}, func() int { return len(c.lines) }, func(row, col int) (string, control.CellState) {
		if row >= len(c.lines) {
			return "", control.CellState{}
		}
		text := c.lines[row].cell(col)
		return text, control.CellState{Bold: col == 0, Message: text}
	})
	c.list.Empty = lang.L("Nothing is left to do, or the shop has no hours.")
	c.list.OnMessage = r.desk.Say
	side := container.NewBorder(nil, container.NewVBox(widget.NewButton(lang.L("Export calendar…"), r.export)), nil, nil, container.NewVScroll(c.facts))
	split := control.NewSplit(true, c.list, side, share(r.desk.Recall("split.calendar"), 0.7))
	split.OnMoved = func(s float64) { r.desk.Remember("split.calendar", strconv.FormatFloat(s, 'f', 3, 64)) }
	c.content = split
	return c
}

// sessionLine is one session as its table shows it.
type sessionLine struct {
	name   string
	hands  time.Duration
	setups int
	work   []string
	waits  []string
}

func (l sessionLine) cell(col int) string {
	switch col {
	case 0:
		return l.name
	case 1:
		return measure.FormatDuration(l.hands.Round(time.Minute))
	case 2:
		if l.setups == 0 {
			return ""
		}
		return strconv.Itoa(l.setups)
	case 3:
		return strings.Join(l.work, "; ")
	}
	return strings.Join(l.waits, "; ")
}

// sessionLines lists the sessions of the timeline with what falls into each.
func sessionLines(p *plan.Plan, now time.Time) []sessionLine {
	t := p.Work.Timeline
	out := make([]sessionLine, len(t.Sessions))
	title := func(key string) string {
		s, _ := p.Work.Step(key)
		return s.Title
	}
	for i, s := range t.Sessions {
		from, to := s.Start.In(now.Location()), s.End.In(now.Location())
		out[i].name = locale.Day(from, "Mon 2 Jan, 15:04") + "–" + to.Format("15:04")
	}
	for _, b := range t.Bars {
		if b.Session < 0 || b.Session >= len(out) {
			continue
		}
		l := &out[b.Session]
		l.hands += b.End.Sub(b.Start)
		if b.Kind == schedule.Change {
			l.setups++
			continue
		}
		if name := title(b.Step); !slices.Contains(l.work, name) {
			l.work = append(l.work, name)
		}
	}
	for _, w := range t.Waits {
		for i, s := range t.Sessions {
			if !w.Start.Before(s.Start) && !w.Start.After(s.End) {
				out[i].waits = append(out[i].waits, lang.L("{{.title}}, until {{.time}}", locale.With{"title": title(w.Step), "time": locale.Day(w.End.In(now.Location()), "Mon 15:04")}))
				break
			}
		}
	}
	return out
}

func (c *calendar) refresh() {
	p := c.room.plan()
	if p == c.reckon {
		return
	}
	c.reckon, c.lines = p, sessionLines(p, c.room.now())
	c.list.Refresh()
	clear(c.whys)
	c.facts.Set(c.datesOf(p))
}

// datesOf are the facts about the dates.
func (c *calendar) datesOf(p *plan.Plan) []control.Fact {
	w, now := p.Work, c.room.now()
	if w.Blocked != "" {
		return []control.Fact{{ID: "blocked", Label: w.Blocked, Mark: control.Bad}}
	}
	if len(w.Timeline.Sessions) == 0 {
		return []control.Fact{{ID: "none", Label: lang.L("No session is planned"), Note: lang.L("Give the shop hours, or add parts and boards.")}}
	}
	var out []control.Fact
	add := func(f control.Fact, why string) {
		out = append(out, f)
		c.whys[f.ID] = why
	}
	day := func(t time.Time) string { return locale.Day(t.In(now.Location()), "Mon 2 Jan 2006") }
	add(control.Fact{ID: "ready", Label: lang.L("Ready"), Value: day(w.Timeline.Ready), Bold: true, Note: lang.L("last hands-on time {{.day}}", locale.With{"day": day(w.Timeline.Finish)})}, lang.L("When every wait is over too: the last coat must be hard enough to use."))
	if w.ChanceReady > 0 || !w.Safe.IsZero() {
		add(control.Fact{ID: "holds", Label: lang.L("Chance of that day"), Value: locale.Float(100*w.ChanceReady, 0) + " %", Note: lang.L("nine outcomes in ten are ready by {{.day}}", locale.With{"day": day(w.Safe)})},
			lang.L("Share of 40 equally likely outcomes of the forecast in which the piece is ready by then, with {{.n}} sessions lost.", locale.With{"n": p.Project.Piece.LostDays}))
	}
	add(control.Fact{ID: "sessions", Label: lang.L("Sessions"), Value: strconv.Itoa(len(w.Timeline.Sessions))}, lang.L("Sessions of the shop that hold work."))
	if due := p.Project.Piece.Due; due != "" {
		add(dueFact(due, w.ChanceOfDue), lang.L("Share of 40 equally likely outcomes of the forecast in which the piece is ready by then, with {{.n}} sessions lost.", locale.With{"n": p.Project.Piece.LostDays}))
	}
	for n := 1; n <= 2; n++ {
		add(lostFact(p, n, now), lang.L("The calendar made again as if the next shop sessions fell out."))
	}
	if w.Soonest.Ready.Before(w.Timeline.Ready) {
		add(control.Fact{ID: "soonest", Label: lang.L("Soonest"), Value: day(w.Soonest.Ready), Note: lang.L("{{.soonest}} set-ups instead of {{.planned}}", locale.With{"soonest": w.Soonest.Setups, "planned": w.Timeline.Setups})},
			lang.L("Another order would be ready earlier, at the price of more set-up changes. The plan keeps to the fewest."))
	}
	add(setupFact(w), lang.L("Set-up changes of the order planned, against working one part after the other."))
	return out
}

func dueFact(due string, chance float64) control.Fact {
	f := control.Fact{ID: "due", Label: lang.L("Chance by {{.due}}", locale.With{"due": due}), Value: locale.Float(100*chance, 0) + " %"}
	switch {
	case chance < 0.5:
		f.Mark = control.Bad
	case chance < 0.8:
		f.Mark = control.Doubt
	default:
		f.Mark = control.Good
	}
	return f
}

func lostFact(p *plan.Plan, n int, now time.Time) control.Fact {
	f := control.Fact{ID: fmt.Sprintf("lost%d", n), Label: lang.N("If {{.n}} sessions are lost", n, locale.With{"n": n})}
	ready, err := p.ReadyWithout(n)
	if err != nil {
		f.Value = "–"
		return f
	}
	f.Value = locale.Day(ready.In(now.Location()), "Mon 2 Jan")
	switch days := int(ready.Sub(p.Work.Timeline.Ready).Hours()/24 + 0.5); {
	case days == 1:
		f.Note = lang.L("a day later")
	case days > 1:
		f.Note = lang.L("{{.days}} days later", locale.With{"days": days})
	default:
		f.Note = lang.L("no later: the waits leave room")
	}
	return f
}

func setupFact(w plan.Work) control.Fact {
	f := control.Fact{ID: "setups", Label: lang.L("Set-ups"), Value: strconv.Itoa(w.Setups), Note: lang.L("part by part {{.n}}, and {{.saved}} more", locale.With{"n": w.NaiveSetups, "saved": minutes(w.Saved)})}
	if w.Proved {
		f.Note += lang.L("; proved: no order takes less hands-on time")
	}
	return f
}

// week is the shop's hours in the scheduler's terms.
func week(p *plan.Project, at time.Time) schedule.Week {
	w := schedule.Week{Zone: zone(p, at)}
	for d, list := range p.Shop.Hours {
		for _, x := range list {
			w.Hours[d] = append(w.Hours[d], schedule.Window{From: x.From, To: x.To})
		}
	}
	for _, day := range p.Shop.DaysOff {
		if t, err := time.Parse(time.DateOnly, day); err == nil {
			w.Off = append(w.Off, schedule.DateOf(t, time.UTC))
		}
	}
	return w
}

// export writes the calendar for the maker's own.
func (r *Room) export() {
	p := r.plan()
	if len(p.Work.Timeline.Bars) == 0 {
		r.desk.Fail(locale.Error("there is nothing in the calendar yet"))
		return
	}
	now := r.now()
	desk.SaveAs(r.desk, fileName(p.Project.Piece.Name)+".ics", func(w io.Writer) error { return writeICS(w, p, now) })
}

// writeICS writes the sessions' steps and waits as iCalendar.
func writeICS(w io.Writer, p *plan.Plan, now time.Time) error {
	events := schedule.Events(p.Work.Timeline, func(key string, wait bool) (string, string) {
		s, _ := p.Work.Step(key)
		if wait {
			return lang.L("Waiting: {{.step}}", locale.With{"step": locale.Say(s.Title)}), lang.L("No hands needed; the {{.wet}} is still soft.", locale.With{"wet": waitWord(s)})
		}
		lines := append([]string{}, s.Detail...)
		if s.Setup != "" {
			lines = append([]string{locale.Word(s.Machine) + ": " + s.Setup}, lines...)
		}
		return s.Title, strings.Join(lines, "\n")
	})
	for i := range events {
		events[i].Key = fmt.Sprintf("%d/%s", p.Project.Piece.ID, events[i].Key)
		events[i].Location = p.Project.Shop.Name
	}
	return schedule.WriteICS(w, events, now, "pilewright.local", p.Project.Piece.Name)
}

func waitWord(s plan.Step) string {
	if s.WaitFor == "" {
		return lang.L("work")
	}
	return locale.Say(s.WaitFor)
}

// fileName makes a piece's name fit for a file.
func fileName(name string) string {
	clean := strings.Map(func(c rune) rune {
		if strings.ContainsRune(`/\:*?"<>|`, c) || c < ' ' {
			return '-'
		}
		return c
	}, strings.TrimSpace(name))
	if clean == "" {
		return "piece"
	}
	return clean
}
