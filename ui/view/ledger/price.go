package ledger

import (
	"slices"
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

// price is the tab of the sale: what is asked at the left, what comes of it in
// the middle, prices to ask and discounts at the right.
type price struct {
	room     *Room
	settings *control.Grid
	facts    *control.Facts
	whys     map[string]string
	tags     *control.Grid
	off      *control.Grid
	tagsOf   []tag
	content  fyne.CanvasObject
}

func newPrice(r *Room) *price {
	t := &price{room: r, whys: map[string]string{}}
	t.facts = control.NewFacts(func(id string) string { return t.whys[id] })
	t.settings = t.settingGrid()
	t.tags, t.off = t.tagGrid(), t.discountGrid()
	right := container.NewAppTabs(container.NewTabItem(lang.L("Prices to ask"), container.NewBorder(nil, widget.NewButton(lang.L("Ask the price chosen"), t.askTag), nil, nil, t.tags)), container.NewTabItem(lang.L("Discounts"), t.off))
	inner := control.NewSplit(true, container.NewVScroll(t.facts), right, share(r.desk.Recall("split.price2"), 0.5))
	inner.OnMoved = func(v float64) { r.desk.Remember("split.price2", strconv.FormatFloat(v, 'f', 3, 64)) }
	outer := control.NewSplit(true, t.settings, inner, share(r.desk.Recall("split.price1"), 0.31))
	outer.OnMoved = func(v float64) { r.desk.Remember("split.price1", strconv.FormatFloat(v, 'f', 3, 64)) }
	t.content = outer
	return t
}

// saleSetting is one line of what is asked: of the piece, or of the whole shop.
type saleSetting struct {
	name, tip string
	text      func(p *plan.Project) string
	set       func(q *plan.Project, text string) error
}

func amountSetting(name, tip string, none string, of func(p *plan.Project) *decimal.Decimal) saleSetting {
	return saleSetting{name, tip, func(p *plan.Project) string {
		if d := of(p); !d.IsZero() {
			return show(p, *d)
		}
		return none
	}, func(q *plan.Project, text string) error {
		if text == none {
			text = ""
		}
		return setAmount(q, of(q), text)
	}}
}

func shareSetting(name, tip string, of func(p *plan.Project) *decimal.Decimal) saleSetting {
	return saleSetting{name, tip, func(p *plan.Project) string { return locale.Percent(*of(p), 3) },
		func(q *plan.Project, text string) error {
			return setShare(of(q), text, lang.L("a share is from 0 to 100 %"))
		}}
}

// saleSettings are the lines of what is asked.
func saleSettings() []saleSetting {
	return []saleSetting{
		amountSetting(lang.L("Asked price"), lang.L("of this piece"), lang.L("not set"), func(p *plan.Project) *decimal.Decimal { return &p.Piece.Price }),
		amountSetting(lang.L("Wished for an hour"), lang.L("of this piece; empty = the shop's"), lang.L("the shop's"), func(p *plan.Project) *decimal.Decimal { return &p.Piece.WishHourly }),
		amountSetting(lang.L("Sold for"), lang.L("what it really brought"), lang.L("not sold"), func(p *plan.Project) *decimal.Decimal { return &p.Piece.Sold }),
		{lang.L("Finished"), lang.L("yes once it is out of the shop"), func(p *plan.Project) string { return yesNo(p.Piece.Done) }, func(q *plan.Project, text string) error { return setYes(&q.Piece.Done, text) }},
		amountSetting(lang.L("The shop's wish"), lang.L("an hour, for every piece without a wish of its own"), lang.L("none"), func(p *plan.Project) *decimal.Decimal { return &p.Shop.WishHourly }),
		shareSetting(lang.L("Fees"), lang.L("share of the price that the market place or card keeps"), func(p *plan.Project) *decimal.Decimal { return &p.Shop.FeeRate }),
		amountSetting(lang.L("Fixed fee"), lang.L("kept of every sale"), lang.L("none"), func(p *plan.Project) *decimal.Decimal { return &p.Shop.FeeFixed }),
		amountSetting(lang.L("Delivery"), lang.L("what delivering costs you"), lang.L("none"), func(p *plan.Project) *decimal.Decimal { return &p.Shop.Delivery }),
		shareSetting(lang.L("Sales tax"), lang.L("passed on, never yours"), func(p *plan.Project) *decimal.Decimal { return &p.Shop.TaxRate }),
		{lang.L("Price holds the tax"), lang.L("yes, or no = it comes on top"), func(p *plan.Project) string { return yesNo(p.Shop.TaxIncluded) }, func(q *plan.Project, text string) error { return setYes(&q.Shop.TaxIncluded, text) }},
	}
}

func yesNo(b bool) string {
	if b {
		return lang.L("yes")
	}
	return lang.L("no")
}

func setYes(into *bool, text string) error {
	switch strings.ToLower(text) {
	case strings.ToLower(lang.L("yes")), "yes", "y", "true", "1":
		*into = true
	case strings.ToLower(lang.L("no")), "no", "n", "false", "0", "":
		*into = false
	default:
		return locale.Error("write yes or no")
	}
	return nil
}

func (t *price) settingGrid() *control.Grid {
	r := t.room
	list := saleSettings()
	g := control.NewGrid([]control.Column{{Title: lang.L("Sale"), Width: 140, Stretch: true}, {Title: lang.L("Is"), Width: 108, Editable: true, Numeric: true}},
		func() int { return len(list) }, func(row, col int) (string, control.CellState) {
			s := list[row]
			if col == 0 {
				return s.name, control.CellState{Bold: row == 0, Message: s.tip}
			}
			return s.text(r.project()), control.CellState{Message: s.tip}
		})
	g.OnMessage = r.desk.Say
	g.Commit = func(row, _ int, text string) error {
		s := list[row]
		return r.edit(strings.ToLower(s.name), "sale "+s.name, func(q *plan.Project) error {
			if q.Piece.ID == 0 && row < 4 {
				return locale.Error("there is no piece open; make one first")
			}
			return s.set(q, strings.TrimSpace(text))
		})
	}
	return g
}

func (t *price) refresh() {
	t.tagsOf = tags(t.room.plan().Ledger)
	t.settings.Refresh()
	t.tags.Refresh()
	t.off.Refresh()
	clear(t.whys)
	var facts []control.Fact
	for _, f := range saleFacts(t.room.plan()) {
		facts = append(facts, f.Fact)
		t.whys[f.ID] = f.why
	}
	t.facts.Set(facts)
}

// explained is a fact with where it comes from.
type explained struct {
	control.Fact
	why string
}

// saleFacts are what the sale comes to.
func saleFacts(p *plan.Plan) []explained {
	l := p.Ledger
	res := l.Result
	amount := func(d decimal.Decimal) string { return show(p.Project, d) }
	null := func(d decimal.NullDecimal) string {
		if !d.Valid {
			return "–"
		}
		return amount(d.Decimal)
	}
	percent := func(d decimal.NullDecimal) string {
		if !d.Valid {
			return "–"
		}
		return locale.Percent(d.Decimal, 1)
	}
	hours := locale.Hours(l.Hours())
	out := []explained{
		{control.Fact{ID: "head", Head: true, Label: lang.L("The sale"), Value: stateWord(res.State)}, ""},
		{control.Fact{ID: "net", Label: lang.L("Received"), Value: amount(res.Received), Note: feesNote(p.Project, res)}, lang.L("The asked price less tax, fees and delivery.")},
		{control.Fact{ID: "costs", Label: lang.L("Costs"), Value: amount(l.Costs.Total())}, lang.L("Wood, glue, finish, sandpaper, hardware, machines and the piece's share of expenses; see Costs.")},
		{control.Fact{ID: "earned", Label: lang.L("Earned"), Value: amount(res.Earned)}, lang.L("Received less costs: the pay for all the hours.")},
		{control.Fact{ID: "hour", Label: lang.L("An hour earns"), Value: null(res.PerHour), Note: lang.L("over {{.hours}}", locale.With{"hours": hours}), Bold: true, Mark: hourMark(l)}, lang.L("Earned over the hours now expected: what is logged, what is still to do, and the boards' share of collecting.")},
		{control.Fact{ID: "wish", Label: lang.L("Chance of {{.amount}} an hour", locale.With{"amount": amount(l.Wish)}), Value: chanceText(l)}, lang.L("Share of the forecast's outcomes in which an hour earns at least the wish at this price.")},
		{control.Fact{ID: "prices", Head: true, Label: lang.L("Prices")}, ""},
		{control.Fact{ID: "even", Label: lang.L("Break-even"), Value: null(res.BreakEven), Note: lang.L("nothing earned, nothing lost")}, lang.L("The asked price at which received equals costs.")},
		{control.Fact{ID: "need", Label: lang.L("For the wish"), Value: null(res.PriceWish), Note: lang.L("{{.amount}} an hour over {{.hours}}", locale.With{"amount": amount(l.Wish), "hours": hours})}, lang.L("The asked price at which an hour earns what is wished for.")},
		{control.Fact{ID: "most", Label: lang.L("Largest discount"), Value: discountText(l), Note: lang.L("that still earns the wish")}, lang.L("How much may be taken off the asked price so that an hour still earns the wish.")},
		{control.Fact{ID: "within", Label: lang.L("Hours within the wish"), Value: withinText(l)}, lang.L("So many hours in all still earn the wish at this price.")},
		{control.Fact{ID: "shares", Head: true, Label: lang.L("Margin and markup")}, ""},
		{control.Fact{ID: "margin", Label: lang.L("Margin"), Value: percent(res.Margin), Note: lang.L("earned, as a share of the price before tax")}, lang.L("A margin is a share of the price. It is always less than the markup.")},
		{control.Fact{ID: "markup", Label: lang.L("Markup"), Value: percent(res.Markup), Note: lang.L("earned, as a share of what was laid out")}, lang.L("A markup is a share of costs, fees and delivery. A markup of 25 % is a margin of 20 %.")},
	}
	if res.State == cost.NotPriced {
		out[1].Value, out[1].Note, out[3].Value = "–", lang.L("no price is set"), "–"
	}
	return out
}

func stateWord(s cost.State) string {
	if s == "" {
		return locale.Word(string(cost.NotPriced))
	}
	return locale.Word(string(s))
}

func feesNote(p *plan.Project, res cost.Result) string {
	var parts []string
	for _, x := range []struct {
		name string
		d    decimal.Decimal
	}{{lang.L("tax"), res.Tax}, {lang.L("fees"), res.Fees}, {lang.L("delivery"), res.Delivery}} {
		if x.d.IsPositive() {
			parts = append(parts, x.name+" "+show(p, x.d))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return lang.L("after {{.deductions}}", locale.With{"deductions": strings.Join(parts, ", ")})
}

func hourMark(l plan.Ledger) control.Mark {
	switch {
	case !l.Result.PerHour.Valid:
		return control.Plain
	case l.Result.PerHour.Decimal.IsNegative():
		return control.Bad
	case l.Result.PerHour.Decimal.LessThan(l.Wish):
		return control.Doubt
	}
	return control.Good
}

func chanceText(l plan.Ledger) string {
	if !l.Sale.Price.IsPositive() || !l.Wish.IsPositive() {
		return "–"
	}
	return locale.Float(100*l.Forecast.ChanceOfWish, 0) + " %"
}

func discountText(l plan.Ledger) string {
	d, ok := cost.LargestDiscount(l.Sale, l.Costs, l.Hours(), l.Wish)
	if !ok {
		return "–"
	}
	if d.IsZero() {
		return lang.L("none")
	}
	return locale.Percent(d, 1)
}

func withinText(l plan.Ledger) string {
	h, ok := l.Result.HoursWithin(l.Wish)
	if !ok {
		return "–"
	}
	return locale.Hours(h)
}

// tag is a price to ask, and what an hour earns at it.
type tag struct {
	rule  string
	price decimal.Decimal
	hour  decimal.NullDecimal
}

// tags are prices that look right on a tag: for each ending the least that earns
// the wish and, below it, the greatest that does not fall under break-even.
func tags(l plan.Ledger) []tag {
	if !l.Result.PriceWish.Valid {
		return nil
	}
	var out []tag
	add := func(rule string, p decimal.Decimal) {
		if slices.ContainsFunc(out, func(t tag) bool { return t.price.Equal(p) }) {
			return
		}
		sale := l.Sale
		sale.Price, sale.Discount = p, decimal.Zero
		out = append(out, tag{rule, p, cost.Reckon(sale, l.Costs, l.Hours(), l.Wish).PerHour})
	}
	for _, e := range cost.Endings() {
		add(locale.Word(e.Name), e.Up(l.Result.PriceWish.Decimal))
		if down, ok := e.Down(l.Result.PriceWish.Decimal); ok && l.Result.BreakEven.Valid && down.GreaterThanOrEqual(l.Result.BreakEven.Decimal) {
			add(locale.Word(e.Name), down)
		}
	}
	slices.SortStableFunc(out, func(a, b tag) int { return a.price.Cmp(b.price) })
	return out
}

func (t *price) tagGrid() *control.Grid {
	r := t.room
	list := func() []tag { return t.tagsOf }
	g := control.NewGrid([]control.Column{{Title: lang.L("Price"), Width: 84, Numeric: true}, {Title: lang.L("Ending"), Width: 110, Stretch: true}, {Title: lang.L("An hour"), Width: 84, Numeric: true, Tip: lang.L("what an hour then earns")}},
		func() int { return len(list()) }, func(row, col int) (string, control.CellState) {
			all := list()
			if row >= len(all) {
				return "", control.CellState{}
			}
			return tagCell(r.plan(), all[row], col)
		})
	g.RowID = func(row int) string { return list()[row].price.String() }
	g.Empty = lang.L("No price earns the wish: fees and tax take all of it.")
	g.OnMessage = r.desk.Say
	g.OnOpen = func(row, _ int) { t.ask(row) }
	return g
}

func tagCell(p *plan.Plan, x tag, col int) (string, control.CellState) {
	switch col {
	case 0:
		return show(p.Project, x.price), control.CellState{Bold: true}
	case 1:
		return x.rule, control.CellState{}
	}
	if !x.hour.Valid {
		return "–", control.CellState{}
	}
	below := x.hour.Decimal.LessThan(p.Ledger.Wish)
	state := control.CellState{Warn: below}
	if below {
		state.Message = lang.L("Less than the {{.wish}} wished for.", locale.With{"wish": show(p.Project, p.Ledger.Wish)})
	}
	return show(p.Project, x.hour.Decimal), state
}

func (t *price) askTag() {
	rows := t.tags.SelectedRows()
	if len(rows) != 1 {
		t.room.desk.Fail(locale.Error("choose a price in the table first"))
		return
	}
	t.ask(rows[0])
}

// ask takes a price of the table as the asked one.
func (t *price) ask(row int) {
	if all := t.tagsOf; row >= 0 && row < len(all) {
		t.setPrice(all[row].price)
	}
}

// askWish asks the price at which an hour earns the wish, rounded up to whole money.
func (t *price) askWish() {
	need := t.room.plan().Ledger.Result.PriceWish
	if !need.Valid {
		t.room.desk.Fail(locale.Error("no price earns the wish: fees and tax take all of it"))
		return
	}
	t.setPrice(cost.Endings()[0].Up(need.Decimal))
}

func (t *price) setPrice(d decimal.Decimal) {
	t.room.desk.Fail(t.room.edit(lang.L("asked price"), "", func(q *plan.Project) error {
		if q.Piece.ID == 0 {
			return locale.Error("there is no piece open; make one first")
		}
		q.Piece.Price = d
		return nil
	}))
}

// discounts are the shares looked at.
var discounts = []int64{5, 10, 15, 20, 25, 30}

// discounted is the sale with a share taken off.
func discounted(l plan.Ledger, percent int64) cost.Result {
	sale := l.Sale
	sale.Discount = decimal.New(percent, -2)
	return cost.Reckon(sale, l.Costs, l.Hours(), l.Wish)
}

func (t *price) discountGrid() *control.Grid {
	r := t.room
	rows := func() int {
		if !r.plan().Ledger.Sale.Price.IsPositive() {
			return 0
		}
		return len(discounts)
	}
	g := control.NewGrid([]control.Column{{Title: lang.L("Off"), Width: 54, Numeric: true}, {Title: lang.L("Price"), Width: 84, Numeric: true}, {Title: lang.L("Earned"), Width: 84, Numeric: true, Stretch: true}, {Title: lang.L("An hour"), Width: 84, Numeric: true}},
		rows, func(row, col int) (string, control.CellState) { return discountCell(r.plan(), discounts[row], col) })
	g.Empty = lang.L("Set an asked price to see what a discount does.")
	g.OnMessage = r.desk.Say
	return g
}

func discountCell(p *plan.Plan, percent int64, col int) (string, control.CellState) {
	res := discounted(p.Ledger, percent)
	switch col {
	case 0:
		return strconv.FormatInt(percent, 10) + " %", control.CellState{Bold: true}
	case 1:
		return show(p.Project, res.Agreed), control.CellState{}
	case 2:
		return show(p.Project, res.Earned), control.CellState{Warn: res.Earned.IsNegative()}
	}
	return tagCell(p, tag{hour: res.PerHour}, 2)
}
