// Package ledger is the room of time and money: the log, costs and expenses, the
// price and what an hour earns, all pieces side by side and what was learned, in
// tables above; the charts below.
package ledger

import (
	"io"
	"strconv"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"
	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/money"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
	"pilewright/ui/paint"
	"pilewright/ui/session"
)

// Room is the Ledger room.
type Room struct {
	desk     desk.Desk
	log      *control.Grid
	phases   *control.Grid
	lines    *control.Grid
	expenses *control.Grid
	hardware *control.Grid
	price    *price
	side     *sideBySide
	lessons  *lessons
	tabs     *container.AppTabs
	view     *paint.View
	which    *widget.RadioGroup
	content  fyne.CanvasObject
	entries  []plan.Entry // of the open piece, the newest first
	pieces   []pieceLine
	// background runs work off the screen's goroutine and what it returns on it.
	background func(work func() (done func()))
}

// The charts of the room.
const (
	chartTime = iota
	chartCost
	chartHour
	chartForecast
	chartPieces
)

// chartNames are the charts as the room offers them.
func chartNames() []string {
	return []string{lang.L("Time by phase"), lang.L("Cost"), lang.L("An hour by price"), lang.L("Forecast"), lang.L("All pieces")}
}

// New makes the room.
func New(d desk.Desk) *Room {
	r := &Room{desk: d, view: paint.NewView()}
	r.background = func(work func() func()) {
		go func() {
			done := work()
			fyne.Do(done)
		}()
	}
	r.log, r.phases = r.logGrid(), r.phaseGrid()
	r.lines, r.expenses, r.hardware = r.lineGrid(), r.expenseGrid(), r.hardwareGrid()
	newSideBySide(r)
	r.price, r.lessons = newPrice(r), newLessons(r)
	r.view.OnStatus = d.Say
	r.which = widget.NewRadioGroup(chartNames(), func(string) { r.draw(); r.view.Fit() })
	r.which.Horizontal, r.which.Required, r.which.Selected = true, true, chartNames()[chartTime]
	side := func(name string, a, b fyne.CanvasObject, first float64) fyne.CanvasObject {
		s := control.NewSplit(true, a, b, share(d.Recall("split."+name), first))
		s.OnMoved = func(v float64) { d.Remember("split."+name, strconv.FormatFloat(v, 'f', 3, 64)) }
		return s
	}
	r.tabs = container.NewAppTabs(
		container.NewTabItem(lang.L("Time"), container.NewBorder(nil, container.NewHBox(widget.NewButton(lang.L("This time is right"), r.keepTime), widget.NewButton(lang.L("Export the log…"), r.exportLog)), nil, nil, r.log)),
		container.NewTabItem(lang.L("Phases"), r.phases),
		container.NewTabItem(lang.L("Costs"), side("costs", r.lines, r.hardware, 0.62)),
		container.NewTabItem(lang.L("Expenses"), container.NewBorder(nil, container.NewHBox(widget.NewButton(lang.L("Import expenses…"), r.importExpenses), widget.NewButton(lang.L("Export expenses…"), r.exportExpenses)), nil, nil, r.expenses)),
		container.NewTabItem(lang.L("Price"), r.price.content),
		container.NewTabItem(lang.L("Compare"), r.side.content),
		container.NewTabItem(lang.L("Lessons"), r.lessons.content))
	r.tabs.OnSelected = func(*container.TabItem) { r.changeTab() }
	below := container.NewBorder(container.NewHScroll(r.which), nil, nil, nil, r.view)
	split := control.NewSplit(false, r.tabs, below, share(d.Recall("split.ledger"), 0.5))
	split.OnMoved = func(s float64) { d.Remember("split.ledger", strconv.FormatFloat(s, 'f', 3, 64)) }
	r.content = split
	return r
}

func share(text string, otherwise float64) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || v <= 0 || v >= 1 {
		return otherwise
	}
	return v
}

// The tabs of the room.
const (
	tabTime = iota
	tabPhases
	tabCosts
	tabExpenses
	tabPrice
	tabCompare
	tabLessons
)

// chartOf is the chart that goes with each tab.
var chartOf = []int{chartTime, chartTime, chartCost, chartCost, chartHour, chartPieces, chartForecast}

func (r *Room) changeTab() {
	if i := r.tabs.SelectedIndex(); i >= 0 && i < len(chartOf) {
		r.which.SetSelected(chartNames()[chartOf[i]])
	}
	switch r.tabs.SelectedIndex() {
	case tabLessons:
		r.lessons.calibrate()
	case tabCompare:
		r.side.planOthers(false)
		r.side.setAgainst(r.project().Piece.ID)
	}
}

// Lead brings the tab to the front that a line of the sidebar is reckoned in.
func (r *Room) Lead(fact string) {
	tab, ok := map[string]int{"done": tabTime, "wished": tabPhases, "range": tabLessons, "cost": tabCosts, "price": tabPrice, "hour": tabPrice}[fact]
	if ok {
		r.tabs.SelectIndex(tab)
	}
}

// ID implements desk.Room.
func (r *Room) ID() string { return desk.Ledger }

// Title implements desk.Room.
func (r *Room) Title() string { return lang.L("Ledger") }

// Content implements desk.Room.
func (r *Room) Content() fyne.CanvasObject { return r.content }

// Drawing implements desk.Drawer.
func (r *Room) Drawing() (*paint.View, []paint.Tool) { return r.view, nil }

// Commands implements desk.Room.
func (r *Room) Commands() []desk.Command {
	var out []desk.Command
	for i, t := range r.tabs.Items {
		out = append(out, desk.Command{Name: lang.L("Ledger: {{.tab}}", locale.With{"tab": t.Text}), Run: func() {
			into := map[int]fyne.Focusable{tabTime: r.log, tabPhases: r.phases, tabCosts: r.lines, tabExpenses: r.expenses, tabPrice: r.price.settings, tabCompare: r.side.grid, tabLessons: r.lessons.note}
			desk.ShowTab(r.desk, r.tabs, i, into[i])
		}})
	}
	for _, name := range r.which.Options {
		out = append(out, desk.Command{Name: lang.L("Chart: {{.chart}}", locale.With{"chart": name}), Run: func() { r.which.SetSelected(name) }})
	}
	return append(out,
		desk.Command{Name: lang.L("Export the log…"), Tip: lang.L("csv time"), Run: r.exportLog},
		desk.Command{Name: lang.L("Import expenses…"), Tip: lang.L("csv money"), Run: r.importExpenses},
		desk.Command{Name: lang.L("Export the comparison…"), Tip: lang.L("csv pieces"), Run: r.exportComparison},
		desk.Command{Name: lang.L("Plan all pieces for the comparison"), Run: func() { r.tabs.SelectIndex(tabCompare); r.side.planOthers(true) }},
		desk.Command{Name: lang.L("This time is right: learn from it"), Tip: lang.L("keep entry doubtful"), Run: r.keepTime},
		desk.Command{Name: lang.L("Export the expenses…"), Tip: lang.L("csv money"), Run: r.exportExpenses},
		desk.Command{Name: lang.L("Set the asked price to what the wish needs"), Run: r.price.askWish},
	)
}

// Changed implements desk.Room.
func (r *Room) Changed(c session.Change) {
	if !c.Plan && !c.Project && !c.Piece && !c.Busy {
		return
	}
	if c.Project || c.Piece {
		clear(r.side.fresh)
	}
	r.keepFigures()
	if c.Plan || c.Project || c.Piece {
		r.read()
		for _, g := range []*control.Grid{r.log, r.phases, r.lines, r.expenses, r.hardware, r.side.grid} {
			g.Refresh()
		}
		r.price.refresh()
		r.lessons.refresh()
		r.draw()
	}
	if c.Piece {
		r.view.Fit()
	}
	if (c.Project || c.Piece) && r.tabs.SelectedIndex() == tabCompare {
		r.side.setAgainst(r.side.against)
	}
}

// read takes what the tables show, once for all their cells.
func (r *Room) read() {
	r.entries, r.pieces = entries(r.project()), r.allPieces()
}

func (r *Room) project() *plan.Project { return r.desk.Session().Project() }

func (r *Room) plan() *plan.Plan {
	if p := r.desk.Session().Plan(); p != nil {
		return p
	}
	return &plan.Plan{Project: r.desk.Session().Project()}
}

// show writes an amount in the shop's currency.
func show(p *plan.Project, d decimal.Decimal) string { return money.Of(p.Shop.Currency).Format(d) }

// edit makes an undoable change; the edit must not write through the project's slices.
func (r *Room) edit(label, mergeKey string, change func(q *plan.Project) error) error {
	return r.desk.Session().Edit(label, mergeKey, func(p *plan.Project) (*plan.Project, error) {
		var err error
		q := p.With(func(q *plan.Project) { err = change(q) })
		return q, err
	})
}

func (r *Room) exportLog() {
	p := r.project()
	desk.SaveAs(r.desk, "log.csv", func(w io.Writer) error { return writeLog(w, p) })
}

func (r *Room) exportExpenses() {
	p := r.project()
	desk.SaveAs(r.desk, "expenses.csv", func(w io.Writer) error { return writeExpenses(w, p) })
}
