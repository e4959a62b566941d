package sheet

import (
	"maps"
	"strings"
	"time"

	"pilewright/layout/drawing/pdf"
	"pilewright/plan"
	"pilewright/plan/schedule"
)

// steps lists the work session by session, with boxes to tick and blanks for the
// time it took.
func (b *book) steps() {
	p := b.p
	b.Heading(1, "Steps by session")
	if len(p.Work.Steps) == 0 {
		b.Text("There are no steps yet.")
		return
	}
	if p.Work.Blocked != "" {
		b.Document.Warning(p.Work.Blocked)
	}
	t := p.Work.Timeline
	b.doneSteps()
	if len(t.Sessions) == 0 {
		b.Text("Without a calendar, in the order of work.")
		table, told := stepTable(), map[string]bool{}
		for _, s := range p.Work.Steps {
			if !s.Done {
				table.Rows = append(table.Rows, b.stepRow(s, s.Minutes, false, told))
			}
		}
		b.Table(table)
		return
	}
	text := b.f("%s in %s; ready %s.", b.minutes(t.Work.Minutes()+t.Setup.Minutes()), b.several(len(t.Sessions), "session", "sessions"), b.date(t.Ready))
	if p.Work.Saved >= 1 {
		text += " " + b.f("This order changes set-ups %s; working part by part would take %s longer.", b.several(t.Setups, "time", "times"), b.minutes(p.Work.Saved))
	}
	b.Text(text)
	total := 0.0
	seen := map[string]bool{}
	for i, s := range t.Sessions {
		var bars []schedule.Bar
		sum := 0.0
		for _, bar := range t.Bars {
			if bar.Session == i {
				bars = append(bars, bar)
				sum += bar.End.Sub(bar.Start).Minutes()
			}
		}
		total += sum
		if len(bars) <= fewBars {
			again := maps.Clone(seen) // the block is written twice
			b.Keep(func(d *book) {
				seen = maps.Clone(again)
				d.session(i, s, bars, sum, total, seen)
			})
			continue
		}
		b.session(i, s, bars, sum, total, seen)
	}
}

// fewBars is how many steps and set-ups of a session still stay on one page.
const fewBars = 5

func stepTable() pdf.Table {
	return pdf.Table{Columns: []pdf.Column{{Check: true, Width: 8}, {Title: "Step", Width: 126}, {Title: "Machine, set-up", Width: 36}, {Title: "Target", Right: true, Width: 17}, {Title: "Took", Right: true, Width: 17}}}
}

// doneSteps says what is behind the maker already.
func (b *book) doneSteps() {
	var done []string
	for _, s := range b.p.Work.Steps {
		if s.Done {
			done = append(done, s.Title)
		}
	}
	if len(done) > 0 {
		b.Text(b.f("Done already: %s.", strings.Join(done, "; ")))
	}
}

// sessionHead keeps the heading of a session with its first step.
const sessionHead = 56.0

// session is one stretch at the bench: its changes of set-up and its steps.
func (b *book) session(i int, s schedule.Session, bars []schedule.Bar, sum, total float64, seen map[string]bool) {
	b.Need(sessionHead)
	b.Heading(2, b.f("%d.  %s, %s to %s", i+1, b.date(s.Start), clock(s.Start), clock(s.End)))
	table, told := stepTable(), map[string]bool{}
	for k, bar := range bars {
		took := bar.End.Sub(bar.Start).Minutes()
		if bar.Kind == schedule.Change {
			table.Rows = append(table.Rows, pdf.Row{Cells: []string{"", b.f("Set up: %s", b.setUp(bar.Setup)), b.machine(bar.Machine), b.minutes(took)}})
			continue
		}
		step, ok := b.p.Work.Step(bar.Step)
		if !ok {
			continue
		}
		again := seen[bar.Step]
		seen[bar.Step] = true
		row := b.stepRow(step, took, again, told)
		if k > 0 && bars[k-1].Kind == schedule.Change && bars[k-1].Step == bar.Step {
			row.Cells[2] = "" // told by the row above
		}
		if k == len(bars)-1 && b.goesOn(bar) {
			row.Cells[1] += "\n" + b.t("Goes on in the next session.")
		}
		table.Rows = append(table.Rows, row)
	}
	table.Rows = append(table.Rows, pdf.Row{Bold: true, Cells: []string{"", b.f("This session; all so far: %s", b.minutes(total)), "", b.minutes(sum)}})
	b.Table(table)
	b.waits(s)
}

// goesOn reports whether the bar's step is taken up again later.
func (b *book) goesOn(bar schedule.Bar) bool {
	for _, o := range b.p.Work.Timeline.Bars {
		if o.Step == bar.Step && o.Kind == schedule.Work && o.Start.After(bar.Start) {
			return true
		}
	}
	return false
}

func (b *book) setUp(s string) string {
	if s == "" {
		return b.t("clear the bench")
	}
	return s
}

// stepRow is a step with what to set and mind; told keeps what the session was
// reminded of already, so that it is said once.
func (b *book) stepRow(s plan.Step, took float64, again bool, told map[string]bool) pdf.Row {
	text := s.Title
	if again {
		text = b.f("%s (goes on)", text)
	} else {
		if len(s.Marks) > 0 && !strings.Contains(s.Title, s.Marks[0]) {
			text += "\n" + b.marksOf(s)
		}
		for _, d := range s.Detail {
			text += "\n" + d
		}
		if s.Wait > 0 {
			text += "\n" + b.f(thenWait(s.WaitFor), b.hours(s.Wait))
		}
		if r := b.reminder(s.Cautions); r != "" && !told[r] {
			text += "\n" + r
			told[r] = true
		}
	}
	where := b.machine(s.Machine)
	if s.Setup != "" && s.Setup != s.Machine && s.Setup != where {
		where += "\n" + s.Setup
	}
	return pdf.Row{Lead: true, Cells: []string{"", text, where, b.minutes(took)}}
}

func (b *book) marksOf(s plan.Step) string {
	return b.f("On %s.", b.marks(s.Marks))
}

// thenWait is the sentence of a step that has to stand.
func thenWait(what string) string {
	switch what {
	case "glue":
		return "Then wait %s for the glue."
	case "finish":
		return "Then wait %s for the finish."
	}
	return "Then wait %s."
}

// waits says what cures or dries beyond the session.
func (b *book) waits(s schedule.Session) {
	var out []string
	for _, w := range b.p.Work.Timeline.Waits {
		if w.Start.Before(s.Start) || w.Start.After(s.End) || !w.End.After(s.End) {
			continue
		}
		step, _ := b.p.Work.Step(w.Step)
		out = append(out, b.f("%s until %s", lowerFirst(step.Title), b.p.Words.Date(w.End.Round(time.Minute), "Monday 2 January 15:04")))
	}
	if len(out) > 0 {
		b.Note(b.f("Left standing: %s.", strings.Join(out, "; ")))
	}
}
