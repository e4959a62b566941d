package ledger

import (
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"pilewright/plan"
	"pilewright/plan/forecast"
	"pilewright/ui/control"
	"pilewright/ui/locale"
)

// lessons is the tab of what is carried to the next piece: notes and rates.
type lessons struct {
	room    *Room
	note    *note
	past    *widget.Label
	rates   *control.Grid
	held    *widget.Label
	log     *plan.Entry // first entry of the log the calibration was made of
	size    int
	content fyne.CanvasObject
}

// note is a text of several lines that is taken when it is left.
type note struct {
	widget.Entry
	take func(text string)
}

func newNote(take func(text string)) *note {
	n := &note{take: take}
	n.MultiLine, n.Wrapping = true, fyne.TextWrapWord
	n.ExtendBaseWidget(n)
	return n
}

// FocusLost implements fyne.Focusable: going elsewhere takes the text.
func (n *note) FocusLost() {
	n.Entry.FocusLost()
	n.take(n.Text)
}

func newLessons(r *Room) *lessons {
	l := &lessons{room: r, past: widget.NewLabel(""), held: widget.NewLabel("")}
	l.past.Wrapping, l.held.Wrapping = fyne.TextWrapWord, fyne.TextWrapWord
	l.note = newNote(func(text string) {
		if text == r.project().Piece.Lessons || r.project().Piece.ID == 0 {
			return
		}
		r.desk.Fail(r.edit(lang.L("lessons"), "", func(q *plan.Project) error { q.Piece.Lessons = text; return nil }))
	})
	l.note.SetPlaceHolder(lang.L("What the next piece should know…"))
	l.rates = l.rateGrid()
	left := container.NewBorder(widget.NewLabelWithStyle(lang.L("Lessons of this piece"), fyne.TextAlignLeading, fyne.TextStyle{Bold: true}), nil, nil, nil,
		container.NewGridWithRows(2, l.note, container.NewVScroll(l.past)))
	right := container.NewBorder(l.held, nil, nil, nil, l.rates)
	split := control.NewSplit(true, left, right, share(r.desk.Recall("split.lessons"), 0.3))
	split.OnMoved = func(v float64) { r.desk.Remember("split.lessons", strconv.FormatFloat(v, 'f', 3, 64)) }
	l.content = split
	return l
}

func (l *lessons) refresh() {
	p := l.room.project()
	if l.room.desk.Window().Canvas().Focused() != l.note && l.note.Text != p.Piece.Lessons {
		l.note.SetText(p.Piece.Lessons)
	}
	l.past.SetText(pastLessons(p))
	l.rates.Refresh()
	if l.room.tabs != nil && l.room.tabs.SelectedIndex() == tabLessons {
		l.calibrate()
	}
}

// pastLessons are the notes of the other pieces, the newest first.
func pastLessons(p *plan.Project) string {
	var out []string
	for i := len(p.Pieces) - 1; i >= 0; i-- {
		if x := p.Pieces[i]; x.ID != p.Piece.ID && x.Lessons != "" {
			out = append(out, x.Name+": "+x.Lessons)
		}
	}
	if len(out) == 0 {
		return lang.L("Notes of earlier pieces will stand here.")
	}
	return lang.L("From earlier pieces:") + "\n" + strings.Join(out, "\n")
}

func (l *lessons) rateGrid() *control.Grid {
	r := l.room
	list := func() []forecast.Learned { return r.plan().Ledger.Forecast.Rates }
	g := control.NewGrid([]control.Column{
		{Title: lang.L("Work"), Width: 124, Stretch: true}, {Title: lang.L("For each"), Width: 82}, {Title: lang.L("Guess"), Width: 76, Numeric: true, Tip: lang.L("where every shop begins")}, {Title: lang.L("Learned"), Width: 80, Numeric: true, Tip: lang.L("half of the tasks go faster")},
		{Title: lang.L("8 of 10 tasks"), Width: 128, Numeric: true}, {Title: lang.L("Logs"), Width: 50, Numeric: true}, {Title: lang.L("From log"), Width: 74, Numeric: true, Tip: lang.L("how much of the guess's doubt the log has removed")},
	}, func() int { return len(list()) }, func(row, col int) (string, control.CellState) {
		all := list()
		if row >= len(all) {
			return "", control.CellState{}
		}
		return rateCell(all[row], col), control.CellState{Dim: all[row].Samples == 0, Bold: col == 3 && all[row].Samples > 0}
	})
	g.OnMessage = r.desk.Say
	return g
}

func rateCell(x forecast.Learned, col int) string {
	took := func(m float64) string { return locale.Number(strconv.FormatFloat(m, 'g', 3, 64)) }
	switch col {
	case 0:
		return locale.Say(x.Name)
	case 1:
		return locale.Unit(x.Unit)
	case 2:
		return took(x.Rate.Median) + " min"
	case 3:
		return took(x.Median) + " min"
	case 4:
		return took(x.Low) + " – " + took(x.High) + " min"
	case 5:
		return strconv.Itoa(x.Samples)
	}
	return locale.Float(100*x.FromLog, 0) + " %"
}

// calibrate tells how past forecasts would have held; it is reckoned in the
// background, once for each state of the log.
func (l *lessons) calibrate() {
	log := l.room.project().Log
	if len(log) == 0 {
		l.held.SetText(lang.L("Nothing is logged yet: every rate is a starting guess. The log of a finished piece corrects them."))
		return
	}
	if l.log == &log[0] && l.size == len(log) {
		return
	}
	l.log, l.size = &log[0], len(log)
	l.room.background(func() func() {
		samples := plan.Samples(log, 0)
		c := forecast.Calibrate(forecast.DefaultRates(), samples)
		m := forecast.Learn(forecast.DefaultRates(), samples)
		return func() { l.held.SetText(calibrationText(c, m)) }
	})
}

// calibrationText tells in sentences how far the forecasts can be trusted.
func calibrationText(c forecast.Calibration, m forecast.Model) string {
	text := ""
	switch c.Pieces {
	case 0:
		text = lang.L("No finished task was logged under a rate yet, so no forecast can be checked.")
	case 1:
		text = lang.L("One piece is logged; from two on, each is forecast from the others to see how far forecasts can be trusted.")
	default:
		text = lang.L("Each of {{.pieces}} pieces forecast from the others: {{.held}} took a time within its range (about eight in ten should), {{.faster}} less, {{.slower}} more.", locale.With{"pieces": c.Pieces, "held": c.Held, "faster": c.Faster, "slower": c.Slower})
	}
	if d := m.Doubling(); d > 0 && d < 1 && c.Pieces > 1 {
		text += lang.L(" Each doubling of the pieces made leaves {{.d}} % of the time.", locale.With{"d": locale.Float(100*d, 0)})
	}
	if n := len(m.Doubtful); n > 0 {
		text += lang.L(" {{.n}} logged tasks contradict all others and are set aside.", locale.With{"n": n})
	}
	return text
}
