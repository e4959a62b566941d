package bench

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/widget"

	"pilewright/plan"
	"pilewright/ui/control"
	"pilewright/ui/locale"
)

// hours is the tab of the shop's hours and of the piece's first and wished day.
type hours struct {
	room            *Room
	days            *control.Grid
	off             *control.Field
	start, due      *control.Field
	lost            *control.Field
	content         fyne.CanvasObject
	weekdaysByShown []time.Weekday
}

func newHours(r *Room) *hours {
	h := &hours{room: r, weekdaysByShown: []time.Weekday{1, 2, 3, 4, 5, 6, 0}}
	h.days = control.NewGrid([]control.Column{
		{Title: lang.L("Day"), Width: 120}, {Title: lang.L("Shop is open"), Width: 220, Stretch: true, Editable: true, Tip: lang.L("18:00-21:00, or several: 9-12, 13:30-17; empty = closed")}, {Title: lang.L("In all"), Width: 90, Numeric: true},
	}, func() int { return 7 }, func(row, col int) (string, control.CellState) {
		d := h.weekdaysByShown[row]
		list := r.desk.Session().Project().Shop.Hours[d]
		switch col {
		case 0:
			return locale.Weekday(d), control.CellState{Bold: true}
		case 1:
			return windowsText(list), control.CellState{}
		}
		return minutes(float64(openMinutes(list))), control.CellState{Dim: len(list) == 0}
	})
	h.days.OnMessage = r.desk.Say
	h.days.Commit = func(row, _ int, text string) error {
		d := h.weekdaysByShown[row]
		list, err := parseWindows(text)
		if err != nil {
			return err
		}
		return h.edit(lang.L("shop hours on {{.day}}", locale.With{"day": locale.Weekday(d)}), func(q *plan.Project) error { q.Shop.Hours[d] = list; return nil })
	}
	field := func(room float32, hint string, set func(q *plan.Project, text string) error, label string) *control.Field {
		f := control.NewField(func(text string) error {
			return h.edit(label, func(q *plan.Project) error { return set(q, strings.TrimSpace(text)) })
		})
		f.OnMessage = r.desk.Say
		f.SetPlaceHolder(hint)
		f.SetRoom(room)
		return f
	}
	h.start = field(130, "2026-03-21", func(q *plan.Project, text string) error {
		q.Piece.Start = text
		return errors.Join(plan.CheckDay(text), hasPiece(q))
	}, lang.L("first shop day"))
	h.due = field(130, "2026-04-30", func(q *plan.Project, text string) error {
		q.Piece.Due = text
		return errors.Join(plan.CheckDay(text), hasPiece(q))
	}, lang.L("wished day"))
	h.lost = field(130, "0", setLost, lang.L("sessions reckoned lost"))
	h.off = field(260, "2026-04-04, 2026-04-05", setDaysOff, lang.L("days off"))
	form := container.New(layout.NewFormLayout(),
		widget.NewLabel(lang.L("First day")), h.start, widget.NewLabel(lang.L("Wished ready by")), h.due,
		widget.NewLabel(lang.L("Sessions likely lost")), h.lost, widget.NewLabel(lang.L("Days off")), h.off)
	note := widget.NewLabel(lang.L("Hours and days off hold for every piece of the shop. Work, set-ups and waits fall into them at once."))
	note.Wrapping = fyne.TextWrapWord
	split := control.NewSplit(true, h.days, container.NewVScroll(container.NewVBox(form, note)), share(r.desk.Recall("split.hours"), 0.5))
	split.OnMoved = func(s float64) { r.desk.Remember("split.hours", strconv.FormatFloat(s, 'f', 3, 64)) }
	h.content = split
	return h
}

func (h *hours) edit(label string, change func(q *plan.Project) error) error {
	return h.room.desk.Session().Edit(label, label, func(p *plan.Project) (*plan.Project, error) {
		var err error
		q := p.With(func(q *plan.Project) { err = change(q) })
		return q, err
	})
}

func (h *hours) refresh() {
	p := h.room.desk.Session().Project()
	h.days.Refresh()
	h.start.SetValue(p.Piece.Start)
	h.due.SetValue(p.Piece.Due)
	h.lost.SetValue(strconv.Itoa(p.Piece.LostDays))
	h.off.SetValue(strings.Join(p.Shop.DaysOff, ", "))
}

func hasPiece(p *plan.Project) error {
	if p.Piece.ID == 0 {
		return locale.Error("there is no piece open; make one first")
	}
	return nil
}

func setLost(q *plan.Project, text string) error {
	n, err := strconv.Atoi(text)
	if text == "" {
		n, err = 0, nil
	}
	if err != nil || n < 0 || n > 365 {
		return locale.Error("“{{.text}}” is not a number of sessions from 0 to 365", locale.With{"text": text})
	}
	q.Piece.LostDays = n
	return hasPiece(q)
}

func setDaysOff(q *plan.Project, text string) error {
	var days []string
	for _, d := range strings.FieldsFunc(text, func(c rune) bool { return c == ',' || c == ';' || c == ' ' || c == '\n' }) {
		if err := plan.CheckDay(d); err != nil {
			return err
		}
		days = append(days, d)
	}
	slices.Sort(days)
	q.Shop.DaysOff = slices.Compact(days)
	return nil
}

func openMinutes(list []plan.Window) int {
	sum := 0
	for _, w := range list {
		sum += w.To - w.From
	}
	return sum
}

// windowsText writes shop hours so that they can be read back.
func windowsText(list []plan.Window) string {
	var out []string
	for _, w := range list {
		out = append(out, clockText(w.From)+"-"+clockText(w.To))
	}
	return strings.Join(out, ", ")
}

func clockText(m int) string { return fmt.Sprintf("%d:%02d", m/60, m%60) }

// parseWindows reads shop hours: 18:00-21:00, 9-12, in any number, none overlapping.
func parseWindows(text string) ([]plan.Window, error) {
	var out []plan.Window
	for _, part := range strings.FieldsFunc(text, func(c rune) bool { return c == ',' || c == ';' }) {
		part = strings.TrimSpace(strings.ReplaceAll(part, "–", "-"))
		if part == "" {
			continue
		}
		from, to, ok := strings.Cut(part, "-")
		if !ok {
			return nil, locale.Error("“{{.part}}” has no end; write hours as 18:00-21:00", locale.With{"part": part})
		}
		a, err := parseClock(from)
		if err != nil {
			return nil, err
		}
		b, err := parseClock(to)
		if err != nil {
			return nil, err
		}
		if b <= a {
			return nil, locale.Error("{{.part}} ends before it begins; hours past midnight go to the next day", locale.With{"part": part})
		}
		out = append(out, plan.Window{From: a, To: b})
	}
	slices.SortFunc(out, func(x, y plan.Window) int { return x.From - y.From })
	for i := 1; i < len(out); i++ {
		if out[i].From < out[i-1].To {
			return nil, locale.Error("{{.first}} and {{.second}} overlap", locale.With{"first": windowsText(out[i-1 : i]), "second": windowsText(out[i : i+1])})
		}
	}
	return out, nil
}

// parseClock reads a time of day in minutes after midnight, 24:00 at most.
func parseClock(text string) (int, error) {
	text = strings.TrimSpace(text)
	hour, minute, _ := strings.Cut(text, ":")
	h, err := strconv.Atoi(hour)
	m := 0
	if err == nil && minute != "" {
		m, err = strconv.Atoi(minute)
	}
	if err != nil || h < 0 || m < 0 || m > 59 || h*60+m > 24*60 {
		return 0, locale.Error("“{{.text}}” is not a time of day; write it as 18:30", locale.With{"text": text})
	}
	return h*60 + m, nil
}
