package ledger

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strings"
	"testing"
	"time"

	"pilewright/plan"
)

func TestTheComparisonIsCompleteWithoutOpeningEachPiece(t *testing.T) {
	d, r := atLedger(t)
	if err := d.Session().Edit("copy as variant", "", func(p *plan.Project) (*plan.Project, error) {
		q, err := p.Variant("Variant")
		if err != nil {
			return nil, err
		}
		return q.With(func(q *plan.Project) { q.Piece.Coats = 3 }), nil
	}); err != nil {
		t.Fatal(err)
	}
	d.Settle()
	before, err := d.Session().File().Load(r.project().Piece.VariantOf)
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range r.pieces { // as in a shop file just got from elsewhere
		if !l.open {
			d.Remember(figuresName(l.id), "")
		}
	}
	r.read()
	r.tabs.SelectIndex(tabCompare)
	if r.side.stop == nil {
		t.Fatal("nothing is planned in the background")
	}
	for late := time.Now().Add(30 * time.Second); r.side.stop != nil; time.Sleep(time.Millisecond) {
		d.Settle()
		if time.Now().After(late) {
			t.Fatal("it never came to an end")
		}
	}
	if len(r.pieces) < 3 {
		t.Fatalf("%d pieces", len(r.pieces))
	}
	for _, l := range r.pieces {
		if !l.known || l.planned <= 0 || l.yield <= 0 || l.yield > 1 {
			t.Errorf("%+v", l)
		}
	}
	d.Settle()
	if len(r.side.list) != 1 || r.side.list[0].Of != "coats" || r.side.list[0].Is != "3" || !strings.Contains(r.side.head.Text, "unlike “Garden bench”") {
		t.Errorf("differences %+v under %q", r.side.list, r.side.head.Text)
	}
	after, err := d.Session().File().Load(r.project().Piece.VariantOf)
	if err != nil || after.Piece.Coats != before.Piece.Coats || len(plan.Differences(before, after)) != 0 {
		t.Errorf("the original was touched: %v", err)
	}

	r.side.planOthers(true)
	r.side.stopPlanning()
	if r.side.stop != nil || !r.side.halt.Disabled() || !strings.Contains(r.side.told.Text, "Stopped") {
		t.Errorf("stopped it says %q", r.side.told.Text)
	}
}

func TestTheComparisonIsExportedHarmless(t *testing.T) {
	_, r := atLedger(t)
	list := append([]pieceLine{{name: "=HYPERLINK(1)", done: true}}, r.pieces...)
	var out bytes.Buffer
	if err := writeComparison(&out, r.project(), list); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&out).ReadAll()
	if err != nil || len(rows) != len(list)+1 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	if !strings.HasPrefix(rows[1][0], "'=") || rows[1][2] != "" || rows[1][12] != "true" {
		t.Errorf("%q", rows[1])
	}
}

func TestExpensesAreImportedWholeOrNotAtAll(t *testing.T) {
	d, r := atLedger(t)
	before := len(r.project().Expenses)
	r.previewExpenses(strings.NewReader("date,amount\n2026-03-02,5\nx,5\n"), "bad.csv")
	if d.Failed == nil || len(r.project().Expenses) != before {
		t.Errorf("a bad file: %v, %d expenses", d.Failed, len(r.project().Expenses))
	}
	d.Failed = nil
	list, err := r.project().ReadExpenses(strings.NewReader("date,what,kind,amount,share\n2026-03-02,glue,glue,12,50 %\n2026-03-03,nails,,3,\n"))
	if err != nil {
		t.Fatal(err)
	}
	if text := expensesSum(r.project(), list); !strings.Contains(text, "2 expenses") || !strings.Contains(text, "9.00") {
		t.Errorf("the preview says %q", text)
	}
	var row []string
	for col := range expenseImportColumns() {
		row = append(row, expenseImportCell(r.project(), list[0], col))
	}
	if want := []string{"2026-03-02", "glue", "glue", "$12.00", "50 %", r.project().Piece.Name}; !slices.Equal(row, want) {
		t.Errorf("the first row is shown as %q, want %q", row, want)
	}
	if err := r.takeExpenses(list); err != nil {
		t.Fatal(err)
	}
	d.Settle()
	if len(r.project().Expenses) != before+2 {
		t.Errorf("%d expenses", len(r.project().Expenses))
	}
	if _, err := d.Session().Undo(); err != nil || len(r.project().Expenses) != before {
		t.Errorf("undone %d expenses, %v", len(r.project().Expenses), err)
	}
}

func TestAWildTimeIsMarkedAndCanBeStoodBy(t *testing.T) {
	d, r := atLedger(t)
	s := r.plan().Work.Steps[2]
	if err := r.edit("log", "", func(q *plan.Project) error {
		e := plan.Entry{ID: q.Take(), Piece: q.Piece.ID, Phase: s.Phase, Step: s.Key, Start: d.Time.Add(-20 * time.Hour), Seconds: int64(s.Minutes * 60 * 40), Rate: s.Rate, Quantity: s.Quantity}
		q.Log = append(q.Log[:len(q.Log):len(q.Log)], e)
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	d.Settle()
	_, state := entryCell(r.plan(), r.entries[0], time.UTC, colWorked)
	if !state.Warn || !strings.Contains(state.Message, "times what all else says") {
		t.Errorf("%+v", state)
	}
	r.keepTime()
	if d.Failed == nil {
		t.Error("nothing chosen, yet no word")
	}
	r.log.SelectRow(r.log.RowID(0))
	d.Failed = nil
	r.keepTime()
	d.Settle()
	if d.Failed != nil || !r.entries[0].Kept {
		t.Fatalf("%v, %+v", d.Failed, r.entries[0])
	}
	if _, state := entryCell(r.plan(), r.entries[0], time.UTC, colWorked); state.Warn {
		t.Errorf("still doubted: %+v", state)
	}
}
