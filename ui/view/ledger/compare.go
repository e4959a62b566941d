package ledger

import (
	"fmt"
	"strconv"
	"strings"

	"fyne.io/fyne/v2/lang"

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
	cost    decimal.Decimal
}

func figuresName(id plan.ID) string { return fmt.Sprintf("ledger.figures.%d", id) }

func (f figures) String() string {
	return fmt.Sprintf("%.1f;%.1f;%s", f.planned, f.collect, f.cost.Round(2))
}

// readFigures reads what String wrote; ok is false for anything else.
func readFigures(text string) (f figures, ok bool) {
	parts := strings.Split(text, ";")
	if len(parts) != 3 {
		return f, false
	}
	var errs [3]error
	f.planned, errs[0] = strconv.ParseFloat(parts[0], 64)
	f.collect, errs[1] = strconv.ParseFloat(parts[1], 64)
	f.cost, errs[2] = decimal.NewFromString(parts[2])
	for _, err := range errs {
		if err != nil {
			return figures{}, false
		}
	}
	if !(f.planned >= 0) || !(f.collect >= 0) || f.planned > 1e9 || f.collect > 1e9 {
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
	r.desk.Remember(figuresName(p.Project.Piece.ID), figuresOf(p).String())
}

func figuresOf(p *plan.Plan) figures {
	return figures{p.Ledger.Target, p.Ledger.Collect, p.Ledger.Costs.Total()}
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
	price   decimal.Decimal
	sold    decimal.Decimal
	hour    decimal.NullDecimal
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
	var out []pieceLine
	for _, x := range p.Pieces {
		l := pieceLine{id: x.ID, name: x.Name, of: names[x.VariantOf], price: x.Price, sold: x.Sold, done: x.Done, open: x.ID == p.Piece.ID}
		f, ok := figures{}, false
		if l.open && made != nil && len(made.Ledger.Phases) > 0 {
			f, ok = figuresOf(made), true
		} else {
			f, ok = recall(x.ID)
		}
		l.known, l.planned, l.cost = ok, f.planned, f.cost
		for _, e := range p.Log {
			if e.Piece != x.ID {
				continue
			}
			l.logged += float64(e.Seconds) / 60
			if !ok {
				l.planned += e.Target
			}
		}
		l.logged += f.collect
		if !ok { // expenses are all that is known
			l.cost = spentOn(p, x.ID)
		}
		l.hour = hourOf(p, x, l)
		out = append(out, l)
	}
	return out
}

func spentOn(p *plan.Project, id plan.ID) decimal.Decimal {
	sum := decimal.Zero
	for _, e := range p.Expenses {
		if e.Piece == id {
			sum = sum.Add(e.Amount.Mul(e.Share))
		}
	}
	return sum
}

// hourOf is what an hour earned, or is expected to: at the price it brought or is
// asked, over the hours logged of a finished piece, else the hours planned.
func hourOf(p *plan.Project, x plan.Piece, l pieceLine) decimal.NullDecimal {
	sale := cost.Sale{Price: x.Price, FeeRate: p.Shop.FeeRate, FeeFixed: p.Shop.FeeFixed, Delivery: p.Shop.Delivery, TaxRate: p.Shop.TaxRate, TaxIncluded: p.Shop.TaxIncluded}
	if x.Sold.IsPositive() {
		sale.Price = x.Sold
	}
	took := max(l.planned, l.logged)
	if x.Done {
		took = l.logged
	}
	hours := decimal.NewFromFloat(took).DivRound(decimal.NewFromInt(60), 4)
	return cost.Reckon(sale, cost.Costs{Expenses: l.cost}, hours, decimal.Zero).PerHour
}

func (r *Room) allPieces() []pieceLine {
	s := r.desk.Session()
	return pieceLines(s.Project(), s.Plan(), func(id plan.ID) (figures, bool) { return readFigures(r.desk.Recall(figuresName(id))) })
}

func (r *Room) compareGrid() *control.Grid {
	g := control.NewGrid([]control.Column{
		{Title: lang.L("Piece"), Width: 140, Stretch: true}, {Title: lang.L("Variant of"), Width: 100}, {Title: lang.L("Planned"), Width: 94, Numeric: true}, {Title: lang.L("Logged"), Width: 94, Numeric: true, Tip: lang.L("with its boards' share of collecting")},
		{Title: lang.L("Cost"), Width: 84, Numeric: true}, {Title: lang.L("Asked"), Width: 90, Numeric: true}, {Title: lang.L("Sold for"), Width: 90, Numeric: true},
		{Title: lang.L("An hour earns"), Width: 112, Numeric: true, Tip: lang.L("finished pieces: over the hours logged; others: over the hours planned")}, {Title: lang.L("State"), Width: 80},
	}, func() int { return len(r.pieces) }, func(row, col int) (string, control.CellState) {
		all := r.pieces
		if row >= len(all) {
			return "", control.CellState{}
		}
		return pieceCell(r.project(), all[row], col)
	})
	g.RowID = func(row int) string { return strconv.FormatInt(int64(r.pieces[row].id), 10) }
	g.OnMessage = r.desk.Say
	g.Empty = lang.L("There are no pieces yet.")
	g.OnOpen = func(row, _ int) {
		if all := r.pieces; row < len(all) && !all[row].open {
			r.desk.Fail(r.desk.Session().OpenPiece(all[row].id))
		}
	}
	return g
}

// pieceCell gives one cell of the comparison.
func pieceCell(p *plan.Project, l pieceLine, col int) (string, control.CellState) {
	unknown := control.CellState{Dim: true, Message: lang.L("Open the piece once and come here: its plan is then reckoned and kept.")}
	some := func(d decimal.Decimal) string {
		if d.IsZero() {
			return "–"
		}
		return show(p, d)
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
		return minutes(l.planned), control.CellState{}
	case 3:
		return minutes(l.logged), control.CellState{}
	case 4:
		if !l.known {
			return some(l.cost), control.CellState{Dim: true, Message: lang.L("Its expenses only. {{.message}}", locale.With{"message": unknown.Message})}
		}
		return show(p, l.cost), control.CellState{}
	case 5:
		return some(l.price), control.CellState{}
	case 6:
		return some(l.sold), control.CellState{}
	case 7:
		if !l.hour.Valid {
			return "–", control.CellState{}
		}
		return show(p, l.hour.Decimal), control.CellState{Bold: true, Warn: l.hour.Decimal.IsNegative()}
	}
	switch {
	case l.open:
		return lang.L("open"), control.CellState{Dim: true}
	case l.done:
		return lang.L("finished"), control.CellState{Dim: true}
	}
	return "", control.CellState{}
}
