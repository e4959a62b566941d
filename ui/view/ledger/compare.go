package ledger

import (
	"fmt"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"
	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/cost"
	"pilewright/ui/control"
	"pilewright/ui/locale"
)

// figures are what a plan said about a piece, kept while another piece is open.
type figures struct {
	planned float64 // minutes in all, collecting included
	collect float64 // minutes of collecting
	yield   float64 // 0 to 1
	cost    decimal.Decimal
}

func figuresName(id plan.ID) string { return fmt.Sprintf("ledger.figures.%d", id) }

func (f figures) String() string {
	return fmt.Sprintf("%.1f;%.1f;%.4f;%s", f.planned, f.collect, f.yield, f.cost.Round(2))
}

// readFigures reads what String wrote; ok is false for anything else.
func readFigures(text string) (f figures, ok bool) {
	parts := strings.Split(text, ";")
	if len(parts) != 4 {
		return f, false
	}
	var errs [4]error
	f.planned, errs[0] = strconv.ParseFloat(parts[0], 64)
	f.collect, errs[1] = strconv.ParseFloat(parts[1], 64)
	f.yield, errs[2] = strconv.ParseFloat(parts[2], 64)
	f.cost, errs[3] = decimal.NewFromString(parts[3])
	for _, err := range errs {
		if err != nil {
			return figures{}, false
		}
	}
	if !(f.planned >= 0) || !(f.collect >= 0) || !(f.yield >= 0) || f.yield > 1 || f.planned > 1e9 || f.collect > 1e9 {
		return figures{}, false
	}
	return f, true
}

// keepFigures remembers what the finished plan of the open piece says.
func (r *Room) keepFigures() {
	s := r.desk.Session()
	p := s.Plan()
	if busy, _ := s.Busy(); busy || s.Stale() || p == nil || p.Project.Piece.ID == 0 || len(p.Ledger.Phases) == 0 {
		return
	}
	r.keep(p)
}

// keep remembers the figures of a plan.
func (r *Room) keep(p *plan.Plan) {
	r.desk.Remember(figuresName(p.Project.Piece.ID), figuresOf(p).String())
	r.side.fresh[p.Project.Piece.ID] = true
}

func figuresOf(p *plan.Plan) figures {
	return figures{p.Ledger.Target, p.Ledger.Collect, p.Ledger.Yield(), p.Ledger.Costs.Total()}
}

// pieceLine is one piece as the comparison shows it.
type pieceLine struct {
	id      plan.ID
	name    string
	of      string  // the piece it is a variant of
	planned float64 // by its plan; of what was logged where that is not known
	logged  float64 // with its boards' collecting
	known   bool    // a plan's figures are there
	cost    decimal.Decimal
	spent   decimal.Decimal // its expenses by the share used
	yield   float64
	price   decimal.Decimal
	sold    decimal.Decimal
	hour    decimal.NullDecimal // planned: at the asked price, over the hours planned
	earned  decimal.NullDecimal // of a finished piece: at what it brought, over the hours logged
	done    bool
	open    bool
}

// pieceLines lists every piece of the shop. recall gives the figures kept for a
// piece that is not open.
func pieceLines(p *plan.Project, made *plan.Plan, recall func(plan.ID) (figures, bool)) []pieceLine {
	names := map[plan.ID]string{}
	for _, x := range p.Pieces {
		names[x.ID] = x.Name
	}
	worked, target, spent := map[plan.ID]float64{}, map[plan.ID]float64{}, map[plan.ID]decimal.Decimal{}
	for _, e := range p.Log {
		worked[e.Piece] += float64(e.Seconds) / 60
		target[e.Piece] += e.Target
	}
	for _, e := range p.Expenses {
		spent[e.Piece] = spent[e.Piece].Add(e.Amount.Mul(e.Share))
	}
	var out []pieceLine
	for _, x := range p.Pieces {
		l := pieceLine{id: x.ID, name: x.Name, of: names[x.VariantOf], price: x.Price, sold: x.Sold, done: x.Done, open: x.ID == p.Piece.ID, spent: spent[x.ID]}
		f, ok := figures{}, false
		if l.open && made != nil && len(made.Ledger.Phases) > 0 {
			f, ok = figuresOf(made), true
		} else {
			f, ok = recall(x.ID)
		}
		l.known, l.planned, l.cost, l.yield = ok, f.planned, f.cost, f.yield
		l.logged = worked[x.ID] + f.collect
		if !ok { // expenses and targets of what was logged are all that is known
			l.cost, l.planned = l.spent, target[x.ID]
		}
		l.hour = hourOf(p, x.Price, l.cost, l.planned)
		if x.Done {
			brought := x.Price
			if x.Sold.IsPositive() {
				brought = x.Sold
			}
			l.earned = hourOf(p, brought, l.cost, l.logged)
		}
		out = append(out, l)
	}
	return out
}

// hourOf is what an hour earns at a price, over the minutes it takes.
func hourOf(p *plan.Project, price, costs decimal.Decimal, minutes float64) decimal.NullDecimal {
	sale := cost.Sale{Price: price, FeeRate: p.Shop.FeeRate, FeeFixed: p.Shop.FeeFixed, Delivery: p.Shop.Delivery, TaxRate: p.Shop.TaxRate, TaxIncluded: p.Shop.TaxIncluded}
	hours := decimal.NewFromFloat(minutes).DivRound(decimal.NewFromInt(60), 4)
	return cost.Reckon(sale, cost.Costs{Expenses: costs}, hours, decimal.Zero).PerHour
}

func (r *Room) allPieces() []pieceLine {
	s := r.desk.Session()
	return pieceLines(s.Project(), s.Plan(), func(id plan.ID) (figures, bool) { return readFigures(r.desk.Recall(figuresName(id))) })
}

// sideBySide is the tab of all pieces and of what two of them have unlike.
type sideBySide struct {
	room    *Room
	grid    *control.Grid
	diff    *control.Grid
	told    *widget.Label // how far the planning is
	head    *widget.Label // which pieces the differences are of
	halt    *widget.Button
	fresh   map[plan.ID]bool // planned since the last edit
	stop    func()           // nil where no planning runs
	faults  map[plan.ID]string
	list    []plan.Difference
	against plan.ID // the piece the open one is set against
	content fyne.CanvasObject
}

func newSideBySide(r *Room) *sideBySide {
	c := &sideBySide{room: r, told: widget.NewLabel(""), head: widget.NewLabel(""), fresh: map[plan.ID]bool{}, faults: map[plan.ID]string{}}
	r.side = c
	c.grid, c.diff = r.compareGrid(), c.diffGrid()
	c.told.Truncation, c.head.Wrapping = fyne.TextTruncateEllipsis, fyne.TextWrapWord
	c.halt = widget.NewButton(lang.L("Stop planning"), c.stopPlanning)
	c.halt.Disable()
	bar := container.NewHBox(widget.NewButton(lang.L("Plan all again"), func() { c.planOthers(true) }), c.halt, widget.NewButton(lang.L("Export the comparison…"), r.exportComparison))
	c.content = container.NewAppTabs(
		container.NewTabItem(lang.L("Side by side"), container.NewBorder(nil, container.NewBorder(nil, nil, bar, nil, c.told), nil, nil, c.grid)),
		container.NewTabItem(lang.L("What differs"), container.NewBorder(c.head, nil, nil, nil, c.diff)))
	return c
}

// planOthers plans the pieces that are not open: all of them, or only those that
// nothing is known of.
func (c *sideBySide) planOthers(all bool) {
	r := c.room
	var ids []plan.ID
	for _, l := range r.pieces {
		if !l.open && (all || !l.known && c.faults[l.id] == "") {
			ids = append(ids, l.id)
		}
	}
	if len(ids) == 0 || c.stop != nil && !all {
		return
	}
	n := 0
	tell := func() {
		c.told.SetText(lang.L("Planned {{.n}} of {{.all}} other pieces…", locale.With{"n": n, "all": len(ids)}))
	}
	c.stop = r.desk.Session().PlanOthers(ids, func(id plan.ID, p *plan.Plan, err error) {
		n++
		delete(c.faults, id)
		if err != nil {
			c.faults[id] = err.Error()
		} else {
			r.keep(p)
		}
		tell()
		r.read()
		c.grid.Refresh()
		r.draw()
	}, func() { c.ended(lang.L("Every piece is planned.")) })
	c.halt.Enable()
	tell()
}

func (c *sideBySide) stopPlanning() {
	if c.stop != nil {
		c.stop()
		c.ended(lang.L("Stopped. “Plan all again” goes on."))
	}
}

func (c *sideBySide) ended(text string) {
	c.stop = nil
	c.halt.Disable()
	c.told.SetText(text)
}

func (r *Room) compareGrid() *control.Grid {
	g := control.NewGrid([]control.Column{
		{Title: lang.L("Piece"), Width: 140, Stretch: true}, {Title: lang.L("Variant of"), Width: 90}, {Title: lang.L("Planned"), Width: 100, Numeric: true}, {Title: lang.L("Logged"), Width: 100, Numeric: true, Tip: lang.L("with its boards' share of collecting")},
		{Title: lang.L("Cost"), Width: 76, Numeric: true, Tip: lang.L("planned, with its expenses")}, {Title: lang.L("Expenses"), Width: 76, Numeric: true, Tip: lang.L("typed, by the share used")}, {Title: lang.L("Yield"), Width: 56, Numeric: true},
		{Title: lang.L("Asked"), Width: 76, Numeric: true}, {Title: lang.L("Sold for"), Width: 76, Numeric: true},
		{Title: lang.L("Hour planned"), Width: 104, Numeric: true, Tip: lang.L("what an hour earns at the asked price, over the hours planned")}, {Title: lang.L("Hour earned"), Width: 100, Numeric: true, Tip: lang.L("of finished pieces: at what it brought, over the hours logged")}, {Title: lang.L("State"), Width: 70},
	}, func() int { return len(r.pieces) }, func(row, col int) (string, control.CellState) {
		all := r.pieces
		if row >= len(all) {
			return "", control.CellState{}
		}
		return pieceCell(r.project(), all[row], col, r.side.fresh[all[row].id], r.side.faults[all[row].id])
	})
	g.RowID = func(row int) string { return strconv.FormatInt(int64(r.pieces[row].id), 10) }
	g.OnMessage = r.desk.Say
	g.Empty = lang.L("There are no pieces yet.")
	g.OnSelect = func(rows []int) {
		if len(rows) == 1 && rows[0] < len(r.pieces) {
			r.side.setAgainst(r.pieces[rows[0]].id)
		}
	}
	g.OnOpen = func(row, _ int) {
		if all := r.pieces; row < len(all) && !all[row].open {
			r.desk.Fail(r.desk.Session().OpenPiece(all[row].id))
		}
	}
	return g
}

// pieceCell gives one cell of the comparison.
func pieceCell(p *plan.Project, l pieceLine, col int, fresh bool, fault string) (string, control.CellState) {
	unknown := control.CellState{Dim: true, Message: lang.L("It is not planned yet: “Plan all again” plans it in the background.")}
	if fault != "" {
		unknown = control.CellState{Warn: true, Message: fault}
	}
	planned := control.CellState{}
	if !fresh && !l.open {
		planned = control.CellState{Dim: true, Message: lang.L("Planned before the last edits; “Plan all again” brings it up to date.")}
	}
	some := func(d decimal.Decimal) string {
		if d.IsZero() {
			return "–"
		}
		return show(p, d)
	}
	hour := func(d decimal.NullDecimal) (string, control.CellState) {
		if !d.Valid {
			return "–", control.CellState{}
		}
		return show(p, d.Decimal), control.CellState{Bold: true, Warn: d.Decimal.IsNegative()}
	}
	switch col {
	case 0:
		return l.name, control.CellState{Bold: l.open}
	case 1:
		return l.of, control.CellState{}
	case 2:
		if !l.known && l.planned == 0 {
			return "–", unknown
		}
		if !l.known {
			return minutes(l.planned), control.CellState{Dim: true, Message: lang.L("Targets of what was logged. {{.message}}", locale.With{"message": unknown.Message})}
		}
		return minutes(l.planned), planned
	case 3:
		return minutes(l.logged), control.CellState{}
	case 4:
		if !l.known {
			return some(l.cost), control.CellState{Dim: true, Message: lang.L("Its expenses only. {{.message}}", locale.With{"message": unknown.Message})}
		}
		return show(p, l.cost), planned
	case 5:
		return some(l.spent), control.CellState{}
	case 6:
		if !l.known || l.yield <= 0 {
			return "–", unknown
		}
		return locale.Float(100*l.yield, 0) + " %", planned
	case 7:
		return some(l.price), control.CellState{}
	case 8:
		return some(l.sold), control.CellState{}
	case 9:
		return hour(l.hour)
	case 10:
		return hour(l.earned)
	}
	switch {
	case l.open:
		return lang.L("open"), control.CellState{Dim: true}
	case l.done:
		return lang.L("finished"), control.CellState{Dim: true}
	}
	return "", control.CellState{}
}
