package plan_test

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"pilewright/plan"
)

func shopOfTwo(t testing.TB) *plan.Project {
	p := demoProject(t)
	p.Shop.Currency = "EUR"
	return p.With(func(q *plan.Project) { q.Pieces = append(q.Pieces, plan.Piece{ID: 7777, Name: "Stool"}) })
}

func TestExpensesAreReadAsWritten(t *testing.T) {
	p := shopOfTwo(t)
	list, err := p.ReadExpenses(strings.NewReader("\ufeffdate,what,kind,amount,share,piece,currency\r\n2026-03-02,\"glue, 1 l\",Glue,12.50,33 %,,EUR\r\n2026-03-03,'=screws,,4,,Stool,\r\n"))
	if err != nil {
		t.Fatal(err)
	}
	if len(list) != 2 || list[0].What != "glue, 1 l" || list[0].Kind != "glue" || !list[0].Share.Equal(decimal.RequireFromString("0.33")) || list[0].Piece != p.Piece.ID {
		t.Errorf("%+v", list)
	}
	if list[1].Piece != 7777 || list[1].Kind != "other" || list[1].What != "=screws" || !list[1].Share.Equal(decimal.NewFromInt(1)) {
		t.Errorf("%+v", list[1])
	}
	q := p.AddExpenses(list)
	if len(q.Expenses) != len(p.Expenses)+2 || q.Expenses[len(q.Expenses)-1].ID == q.Expenses[len(q.Expenses)-2].ID {
		t.Errorf("%+v", q.Expenses)
	}
}

func TestABadExpensesFileNamesEveryBadRow(t *testing.T) {
	p := shopOfTwo(t)
	for _, x := range []struct{ name, file, want string }{
		{"no day", "date,amount\n,5\n", "row 2, date"}, {"a day that is none", "date,amount\n2026-02-30,5\n", "row 2, date"},
		{"no amount", "date,amount\n2026-02-03,\n", "row 2, amount"}, {"below nothing", "date,amount\n2026-02-03,-1\n", "row 2, amount"},
		{"not a number", "date,amount\n2026-02-03,NaN\n", "row 2, amount"}, {"1e99", "date,amount\n2026-02-03,1e99\n", "row 2, amount"},
		{"another currency", "date,amount,currency\n2026-02-03,5,USD\n", "row 2, currency"}, {"too large a share", "date,amount,share\n2026-02-03,5,140 %\n", "row 2, share"},
		{"a piece that is not there", "date,amount,piece\n2026-02-03,5,Boat\n", "row 2, piece"}, {"an unknown kind", "date,amount,kind\n2026-02-03,5,rent\n", "row 2, kind"},
		{"no rows", "date,amount\n", "no rows"}, {"a missing column", "date\n2026-02-03\n", "amount"}, {"nothing", "", "empty"}, {"semicolons", "date;amount\n2026-02-03;5\n", "commas"},
		{"two bad rows", "date,amount\n2026-02-03,5\nx,5\n2026-02-03,y\n", "row 4, amount"},
	} {
		list, err := p.ReadExpenses(strings.NewReader(x.file))
		if err == nil || list != nil || !strings.Contains(err.Error(), x.want) {
			t.Errorf("%s: %v, %v; want it to name %q", x.name, list, err, x.want)
		}
	}
	_, err := p.ReadExpenses(strings.NewReader("date,amount\nx,5\ny,5\n"))
	var row *plan.RowError
	if !errors.As(err, &row) || strings.Count(err.Error(), "row ") != 2 {
		t.Errorf("not every bad row is named: %v", err)
	}
}

// A row of ten million fields would take a gigabyte; rows within quotation marks
// are no way round.
func TestARowOfAnyLengthIsRefusedEarly(t *testing.T) {
	p := shopOfTwo(t)
	for name, file := range map[string]*endless{
		"fields":        {head: "date,amount\n2026-02-03", line: ",1"},
		"fields quoted": {head: "date,amount\n2026-02-03", line: ",\"\n\""},
		"headings":      {head: "date", line: ",x"},
		"a quotation":   {head: "date,amount\n\"", line: "x\n"},
	} {
		if list, err := p.ReadExpenses(file); err == nil || list != nil || !strings.Contains(err.Error(), "a row is longer than 1 MB") {
			t.Errorf("%s without end: %v, %v", name, list, err)
		}
		if file.given > 3<<20 {
			t.Errorf("%s without end: %d bytes were read", name, file.given)
		}
	}
	if _, err := p.ReadExpenses(&endless{head: "date,amount\n", line: "\n"}); err == nil || !strings.Contains(err.Error(), "larger than 64 MB") {
		t.Errorf("blank lines without end: %v", err)
	}
}

func FuzzReadExpenses(f *testing.F) {
	f.Add([]byte("date,amount,share\n2026-02-03,5,33 %\n"))
	f.Add([]byte("date,what,amount,piece,currency\n2026-02-03,x,1 000,Stool,EUR\n"))
	p := shopOfTwo(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		list, err := p.ReadExpenses(bytes.NewReader(data))
		if err != nil {
			return
		}
		one := decimal.NewFromInt(1)
		for _, e := range list {
			if e.Amount.IsNegative() || e.Share.IsNegative() || e.Share.GreaterThan(one) || plan.CheckDay(e.Date) != nil || e.Date == "" || e.Piece == 0 {
				t.Fatalf("read %+v", e)
			}
		}
	})
}
