package ledger

import (
	"bytes"
	"encoding/csv"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"github.com/shopspring/decimal"

	"pilewright/layout/drawing"
	"pilewright/plan"
	"pilewright/plan/cost"
	"pilewright/ui/control"
	"pilewright/ui/desk/desktest"
)

func dec(s string) decimal.Decimal { return decimal.RequireFromString(s) }

func atLedger(t *testing.T) (*desktest.Desk, *Room) {
	t.Helper()
	d := desktest.New(t)
	r := New(d)
	r.background = func(work func() func()) { work()() }
	d.Show(r)
	return d, r
}

func TestTimeIsAddedByHandAndCorrected(t *testing.T) {
	d, r := atLedger(t)
	before := r.plan().Ledger.Done
	for _, text := range []string{"1h20", "80 min", "1:20"} {
		if err := r.commitEntry(len(r.entries), colWorked, text); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		d.Settle()
	}
	if got := r.plan().Ledger.Done - before; math.Abs(got-240) > 0.01 {
		t.Errorf("three times 80 minutes add up to %v", got)
	}
	if len(r.entries) != 3 || !r.entries[0].ByHand {
		t.Fatalf("entries %+v", r.entries)
	}
	if err := r.commitEntry(0, colWorked, "1 h"); err != nil {
		t.Fatal(err)
	}
	d.Settle()
	i := slices.IndexFunc(r.entries, func(e plan.Entry) bool { return len(e.Earlier) == 1 })
	if i < 0 || r.entries[i].Seconds != 3600 || r.entries[i].Earlier[0].Seconds != 4800 || !r.entries[i].Earlier[0].At.Equal(desktest.Noon) {
		t.Fatalf("the earlier value is not kept: %+v", r.entries)
	}
	if text, state := entryCell(r.plan(), r.entries[i], time.UTC, colBefore); text != "was 1 h 20 min" || state.Message == "" {
		t.Errorf("shown as %q (%s)", text, state.Message)
	}
	if err := r.commitEntry(len(r.entries), colPhase, "mill"); err == nil {
		t.Error("an entry without time is added")
	}
}

func TestSetEntry(t *testing.T) {
	at := time.Date(2026, 3, 1, 18, 0, 0, 0, time.UTC)
	base := plan.Entry{ID: 1, Piece: 1, Phase: plan.PhaseMill, Start: at, Seconds: 600}
	for _, tt := range []struct {
		name    string
		col     int
		text    string
		fault   string
		earlier int
		check   func(e plan.Entry) bool
	}{
		{"the same time is no correction", colWorked, "10 min", "", 0, func(e plan.Entry) bool { return e.Seconds == 600 }},
		{"another time keeps the first", colWorked, "12 min", "", 1, func(e plan.Entry) bool { return e.Seconds == 720 }},
		{"no time at all", colWorked, "0", "delete the entry", 0, nil},
		{"a text that is no time", colWorked, "long", "", 0, func(e plan.Entry) bool { return e.Seconds == 600 }},
		{"another beginning keeps the first", colStart, "2026-03-01 17:30", "", 1, func(e plan.Entry) bool { return e.Start.Equal(at.Add(-30 * time.Minute)) }},
		{"a day alone", colStart, "2026-02-28", "", 1, func(e plan.Entry) bool { return e.Start.Day() == 28 }},
		{"a beginning that is none", colStart, "noon", "2026-03-21", 0, nil},
		{"a phase", colPhase, "sand", "", 0, func(e plan.Entry) bool { return e.Phase == plan.PhaseSand }},
		{"a phase there is not", colPhase, "nap", "no phase", 0, nil},
		{"a rate", colRate, "rip", "", 0, func(e plan.Entry) bool { return e.Rate == "rip" }},
		{"a rate there is not", colRate, "nap", "no rate", 0, nil},
		{"a quantity with its unit", colQuantity, "12 metre", "", 0, func(e plan.Entry) bool { return e.Quantity == 12 }},
		{"a quantity of nothing", colQuantity, "0", "above nothing", 0, nil},
		{"a quantity that is no number", colQuantity, "NaN", "above nothing", 0, nil},
		{"a note", colNote, "in the cold", "", 0, func(e plan.Entry) bool { return e.Note == "in the cold" }},
		{"the step", colStep, "x", "can't be typed", 0, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			e := base
			err := setEntry(&e, tt.col, tt.text, at)
			if tt.fault != "" && (err == nil || !strings.Contains(err.Error(), tt.fault)) {
				t.Errorf("error %v, want one with %q", err, tt.fault)
			}
			if len(e.Earlier) != tt.earlier {
				t.Errorf("%d earlier values, want %d", len(e.Earlier), tt.earlier)
			}
			if tt.check != nil && !tt.check(e) {
				t.Errorf("entry %+v", e)
			}
		})
	}
}

func TestExpensesFallToThePieceByShare(t *testing.T) {
	d, r := atLedger(t)
	before := r.plan().Ledger.Costs.Expenses
	row := len(spent(r.project()))
	for col, text := range []string{"2026-03-01", "glue", "a bottle", "12.60", "33.3"} {
		if err := r.commitExpense(row, col, text); err != nil {
			t.Fatalf("column %d: %v", col, err)
		}
	}
	d.Settle()
	// By hand: 12.60 × 0.333 = 4.1958.
	if got := r.plan().Ledger.Costs.Expenses.Sub(before); !got.Equal(dec("4.1958")) {
		t.Errorf("%s falls to the piece, want 4.1958", got)
	}
	for col, text := range map[int]string{0: "yesterday", 1: "bribe", 3: "-4", 4: "120", 5: "1"} {
		if err := r.commitExpense(row, col, text); err == nil {
			t.Errorf("column %d takes %q", col, text)
		}
	}
	r.expenses.Delete([]int{row})
	d.Settle()
	if got := r.plan().Ledger.Costs.Expenses; d.Failed != nil || !got.Equal(before) {
		t.Errorf("deleted, expenses are %s: %v", got, d.Failed)
	}
}

func TestHardwareIsEdited(t *testing.T) {
	d, r := atLedger(t)
	before := r.plan().Ledger.Costs.Hardware
	row := len(r.project().Piece.Hardware)
	for col, text := range []string{"hinge", "2", "3.25"} {
		if err := r.hardware.Commit(row, col, text); err != nil {
			t.Fatal(err)
		}
	}
	d.Settle()
	if got := r.plan().Ledger.Costs.Hardware.Sub(before); !got.Equal(dec("6.50")) {
		t.Errorf("two at 3.25 cost %s", got)
	}
	for col, text := range []string{"", "many", "free"} {
		if err := r.hardware.Commit(row, col, text); err == nil {
			t.Errorf("column %d takes %q", col, text)
		}
	}
}

func TestThePriceFollowsWhatIsTyped(t *testing.T) {
	d, r := atLedger(t)
	set := func(name, text string) error {
		i := slices.IndexFunc(saleSettings(), func(s saleSetting) bool { return s.name == name })
		err := r.price.settings.Commit(i, 1, text)
		d.Settle()
		return err
	}
	for name, text := range map[string]string{"Asked price": "$500", "Wished for an hour": "20", "Fees": "10 %", "Fixed fee": "5", "Delivery": "40", "Sales tax": "8.25", "Price holds the tax": "no"} {
		if err := set(name, text); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
	// By hand: 500 - 50 - 5 - 40 = 405.
	if got := r.plan().Ledger.Result.Received; !got.Equal(dec("405")) {
		t.Errorf("received %s, want 405", got)
	}
	for name, text := range map[string]string{"Asked price": "-1", "Fees": "101", "Price holds the tax": "perhaps", "Delivery": "1.234"} {
		if err := set(name, text); err == nil {
			t.Errorf("%s takes %q", name, text)
		}
	}
	for _, s := range saleSettings() { // what is shown can be typed again
		q := r.project().With(func(*plan.Project) {})
		if err := s.set(q, s.text(q)); err != nil {
			t.Errorf("%s: %q does not read back: %v", s.name, s.text(q), err)
		}
	}
	r.price.askWish()
	d.Settle()
	if l := r.plan().Ledger; l.Result.PerHour.Decimal.LessThan(l.Wish) {
		t.Errorf("at the price for the wish an hour earns %s", l.Result.PerHour.Decimal)
	}
	r.price.ask(0)
	d.Settle()
	if !r.project().Piece.Price.Equal(r.price.tagsOf[0].price) || d.Failed != nil {
		t.Errorf("the price of the tag is not asked: %v", d.Failed)
	}
}

// ledgers are sales at the edges of the arithmetic.
func ledgers() map[string]plan.Ledger {
	out := map[string]plan.Ledger{"nothing at all": {}}
	for name, x := range map[string]struct {
		sale       cost.Sale
		done, left float64
		wish       string
	}{
		"no price":                     {cost.Sale{}, 60, 60, "20"},
		"no hours":                     {cost.Sale{Price: dec("100")}, 0, 0, "20"},
		"no wish":                      {cost.Sale{Price: dec("100")}, 60, 0, "0"},
		"fees take all":                {cost.Sale{Price: dec("100"), FeeRate: dec("1")}, 60, 0, "20"},
		"a price below its delivery":   {cost.Sale{Price: dec("10"), Delivery: dec("40")}, 60, 0, "20"},
		"a price that holds 25 % tax":  {cost.Sale{Price: dec("125"), TaxRate: dec("0.25"), TaxIncluded: true}, 60, 600, "20"},
		"a tenth of a second of hours": {cost.Sale{Price: dec("100")}, 0.001, 0, "20"},
	} {
		l := plan.Ledger{Sale: x.sale, Done: x.done, Left: x.left, Target: x.done + x.left, Wish: dec(x.wish), Costs: cost.Costs{Wood: dec("50")}}
		l.Result = cost.Reckon(l.Sale, l.Costs, l.Hours(), l.Wish)
		l.Lines = []plan.Line{{Kind: "wood", Text: "boards", Amount: dec("50")}}
		l.Phases = []plan.PhaseTime{{Phase: plan.PhaseMill, Target: l.Target, Done: l.Done, Left: l.Left}}
		out[name] = l
	}
	return out
}

func TestNothingIsEverNotANumber(t *testing.T) {
	for name, l := range ledgers() {
		t.Run(name, func(t *testing.T) {
			p := &plan.Plan{Project: &plan.Project{Shop: plan.DefaultShop()}, Ledger: l}
			var texts []string
			for _, f := range saleFacts(p) {
				texts = append(texts, f.Value, f.Note)
			}
			for _, x := range tags(l) {
				for col := range 3 {
					text, _ := tagCell(p, x, col)
					texts = append(texts, text)
				}
			}
			for _, off := range discounts {
				for col := range 4 {
					text, _ := discountCell(p, off, col)
					texts = append(texts, text)
				}
			}
			for _, pic := range []*drawing.Picture{
				drawing.Curve(hourCurve(p), drawing.Options{Width: 200}), drawing.MakeUp(makeUp(p), drawing.Options{Width: 200}),
				drawing.TargetsAndActuals(phaseBars(l), drawing.Options{Width: 200}), drawing.Range(closingIn(p, time.UTC), drawing.Options{Width: 200}),
			} {
				for _, m := range pic.Marks {
					texts = append(texts, m.Text)
					for _, q := range m.Pts {
						if math.IsNaN(q.X+q.Y) || math.IsInf(q.X+q.Y, 0) {
							t.Fatalf("%s is drawn at %v", pic.Title, q)
						}
					}
				}
			}
			for _, text := range texts {
				if strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
					t.Errorf("%q", text)
				}
			}
		})
	}
}

func TestTagsEarnTheWishOrStandAboveBreakEven(t *testing.T) {
	for name, l := range ledgers() {
		t.Run(name, func(t *testing.T) {
			last := decimal.Zero
			for _, x := range tags(l) {
				if x.price.LessThanOrEqual(last) {
					t.Errorf("%s comes after %s", x.price, last)
				}
				last = x.price
				if x.price.LessThan(l.Result.BreakEven.Decimal) {
					t.Errorf("%s is under break-even at %s", x.price, l.Result.BreakEven.Decimal)
				}
			}
		})
	}
}

func TestMarginAndMarkupAreNamedApart(t *testing.T) {
	// mo03 of the reference table: a markup of 25 % on 80 is a margin of 20 %.
	l := plan.Ledger{Sale: cost.Sale{Price: dec("100")}, Costs: cost.Costs{Wood: dec("80")}}
	l.Result = cost.Reckon(l.Sale, l.Costs, decimal.Zero, decimal.Zero)
	facts := saleFacts(&plan.Plan{Project: &plan.Project{Shop: plan.DefaultShop()}, Ledger: l})
	for id, want := range map[string]string{"margin": "20 %", "markup": "25 %"} {
		i := slices.IndexFunc(facts, func(f explained) bool { return f.ID == id })
		if facts[i].Value != want {
			t.Errorf("%s is %s, want %s", id, facts[i].Value, want)
		}
	}
}

func TestPiecesSideBySide(t *testing.T) {
	p := &plan.Project{Shop: plan.DefaultShop(), Piece: plan.Piece{ID: 2}}
	p.Pieces = []plan.Piece{
		{ID: 1, Name: "Bench", Price: dec("200"), Sold: dec("180"), Done: true},
		{ID: 2, Name: "Table", Price: dec("300")},
		{ID: 3, Name: "Table, higher", VariantOf: 2},
	}
	p.Log = []plan.Entry{{Piece: 1, Seconds: 3600 * 5, Target: 240}, {Piece: 1, Seconds: 3600 * 4, Target: 240}, {Piece: 2, Seconds: 3600}}
	p.Expenses = []plan.Expense{{Piece: 1, Amount: dec("60"), Share: dec("0.5")}}
	made := &plan.Plan{Project: p, Ledger: plan.Ledger{Target: 600, Collect: 60, Costs: cost.Costs{Wood: dec("100")}, Phases: make([]plan.PhaseTime, 1)}}
	list := pieceLines(p, made, func(plan.ID) (figures, bool) { return figures{}, false })
	said := func(d decimal.NullDecimal) string {
		if !d.Valid {
			return "-"
		}
		return d.Decimal.Round(4).String()
	}
	hour := func(i int) string { return said(list[i].hour) + " " + said(list[i].earned) }
	// By hand: (200 - 30) / 8 h = 21.25, (180 - 30) / 9 h = 16.6667; (300 - 100) / 10 h = 20.
	if hour(0) != "21.25 16.6667" || !list[0].spent.Equal(dec("30")) || list[0].planned != 480 || list[0].logged != 540 || list[0].known {
		t.Errorf("bench %+v, an hour %s", list[0], hour(0))
	}
	if hour(1) != "20 -" || list[1].logged != 120 || !list[1].known || !list[1].open {
		t.Errorf("table %+v, an hour %s", list[1], hour(1))
	}
	if hour(2) != "- -" || list[2].of != "Table" {
		t.Errorf("variant %+v, an hour %s", list[2], hour(2))
	}
	list = pieceLines(p, made, func(id plan.ID) (figures, bool) { return figures{600, 30, 0.8, dec("45")}, id == 1 })
	// By hand: (200 - 45) / 10 h = 15.5; (180 - 45) / (9 + 0.5 h) = 14.2105.
	if hour(0) != "15.5 14.2105" || !list[0].known || list[0].planned != 600 || list[0].yield != 0.8 {
		t.Errorf("bench by its kept figures %+v, an hour %s", list[0], hour(0))
	}
}

func TestFiguresReadBack(t *testing.T) {
	f := figures{123.4, 5.6, 0.75, dec("78.90")}
	if got, ok := readFigures(f.String()); !ok || got.planned != f.planned || got.collect != f.collect || got.yield != f.yield || !got.cost.Equal(f.cost) {
		t.Errorf("%+v, %v", got, ok)
	}
	for _, bad := range []string{"", "1;2", "1;2;3", "1;2;0;x", "NaN;1;0;1", "-1;0;0;0", "1e300;0;0;0", "Inf;0;0;0", "1;1;NaN;0", "1;1;2;0"} {
		if got, ok := readFigures(bad); ok {
			t.Errorf("%q is read as %+v", bad, got)
		}
	}
}

func TestTheOpenPiecesFiguresAreKept(t *testing.T) {
	d, r := atLedger(t)
	f, ok := readFigures(d.Recall(figuresName(r.project().Piece.ID)))
	if !ok || !f.cost.Equal(r.plan().Ledger.Costs.Total().Round(2)) {
		t.Errorf("kept %+v, %v", f, ok)
	}
}

func TestLessonsAreKeptAndCarried(t *testing.T) {
	d, r := atLedger(t)
	r.tabs.SelectIndex(tabLessons)
	if !strings.Contains(r.lessons.past.Text, "Scan for nails twice") {
		t.Errorf("notes of earlier pieces: %q", r.lessons.past.Text)
	}
	if r.lessons.held.Text == "" {
		t.Error("nothing is said about the forecasts")
	}
	r.lessons.note.SetText("Plane the top last.")
	r.lessons.note.FocusLost()
	d.Settle()
	if got := r.project().Piece.Lessons; got != "Plane the top last." || d.Failed != nil {
		t.Errorf("kept %q: %v", got, d.Failed)
	}
}

func TestTheForecastClosesIn(t *testing.T) {
	d, r := atLedger(t)
	for i, s := range r.plan().Work.Steps[:6] {
		day := desktest.Noon.AddDate(0, 0, -6+i)
		err := r.edit("work", "", func(q *plan.Project) error {
			q.Log = append(slices.Clone(q.Log), plan.Entry{ID: q.Take(), Piece: q.Piece.ID, Phase: s.Phase, Step: s.Key, Start: day, Seconds: int64(s.Minutes * 60), Rate: s.Rate, Quantity: s.Quantity})
			q.Steps = append(slices.Clone(q.Steps), plan.StepEdit{ID: q.Take(), Piece: q.Piece.ID, Key: s.Key, Done: true})
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	d.Settle()
	v := closingIn(r.plan(), time.UTC)
	if len(v.Points) != 7 {
		t.Fatalf("%d forecasts, want one before and one for each of 6 days", len(v.Points))
	}
	for _, q := range v.Points {
		if !(q.Low < q.Middle && q.Middle < q.High) {
			t.Errorf("%s: %v, %v, %v", q.Label, q.Low, q.Middle, q.High)
		}
	}
	first, last := v.Points[0], v.Points[6]
	if last.High-last.Low >= first.High-first.Low {
		t.Errorf("the range widens from %v to %v h", first.High-first.Low, last.High-last.Low)
	}
	f := r.plan().Ledger.Forecast
	if want := (f.P50 + r.plan().Ledger.Collect) / 60; math.Abs(last.Middle-want) > 0.02*want {
		t.Errorf("the last forecast is %v h, the plan's %v h", last.Middle, want)
	}
}

func TestThinnedKeepsTheLast(t *testing.T) {
	var days []time.Time
	for i := range 23 {
		days = append(days, desktest.Noon.AddDate(0, 0, i))
	}
	for n := 1; n <= 25; n++ {
		got := thinned(days, n)
		if len(got) != min(n, 23) || !got[len(got)-1].Equal(days[22]) || !slices.IsSortedFunc(got, time.Time.Compare) {
			t.Errorf("%d: %v", n, got)
		}
	}
}

func TestExportsReadBack(t *testing.T) {
	_, r := atLedger(t)
	var b bytes.Buffer
	if err := writeLog(&b, r.project()); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil || len(rows) != len(r.project().Log)+1 {
		t.Errorf("%d rows, %v; want %d", len(rows), err, len(r.project().Log)+1)
	}
	b.Reset()
	if err := writeExpenses(&b, r.project()); err != nil {
		t.Fatal(err)
	}
	if rows, err = csv.NewReader(&b).ReadAll(); err != nil || len(rows) != len(r.project().Expenses)+1 {
		t.Errorf("%d rows, %v", len(rows), err)
	}
}

func TestEveryTabAndChartInEverySize(t *testing.T) {
	d, r := atLedger(t)
	for _, size := range []fyne.Size{{Width: 1280, Height: 800}, {Width: 1920, Height: 1080}, {Width: 800, Height: 600}} {
		d.Window().Resize(size)
		for i := range r.tabs.Items {
			r.tabs.SelectIndex(i)
			if len(r.view.Picture().Marks) == 0 {
				t.Errorf("%s has no chart", r.tabs.Items[i].Text)
			}
		}
	}
	for _, c := range r.Commands() {
		if strings.HasPrefix(c.Name, "Export") {
			continue // asks for a file
		}
		c.Run()
	}
}

func TestAShopWithoutAPiece(t *testing.T) {
	d, r := atLedger(t)
	if err := d.Session().Edit("drop", "", func(p *plan.Project) (*plan.Project, error) { return p.DropPiece(), nil }); err != nil {
		t.Fatal(err)
	}
	d.Settle()
	for name, do := range map[string]func() error{
		"time":     func() error { return r.addEntry(colWorked, "1 h") },
		"expense":  func() error { return r.commitExpense(0, 3, "5") },
		"hardware": func() error { return r.hardware.Commit(0, 0, "x") },
		"price":    func() error { return r.price.settings.Commit(0, 1, "5") },
	} {
		if err := do(); err == nil {
			t.Errorf("%s is taken without a piece", name)
		}
	}
	for i := range r.tabs.Items {
		r.tabs.SelectIndex(i)
	}
	if _, state := pieceCell(r.project(), pieceLine{}, 2, false, ""); state != (control.CellState{Dim: true, Message: state.Message}) || state.Message == "" {
		t.Errorf("an unknown plan is not explained: %+v", state)
	}
}
