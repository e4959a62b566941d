package plan

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"pilewright/plan/money"
)

// ReadExpenses reads an expenses file: RFC 4180, UTF-8, with a heading row of
// date,kind,what,amount,share,piece,currency in any order; date and amount must be
// there. share is 0 to 1 or a per cent such as 33 %, the whole where it is empty.
// piece names a piece of the shop; rows without one belong to the open piece.
// falls_to_piece, as the export writes it, is passed over. Either every row is
// good, or the error joins a *RowError for each bad field.
func (p *Project) ReadExpenses(r io.Reader) ([]Expense, error) {
	t, err := readTable(r, "expenses", []string{"date", "amount"}, []string{"kind", "what", "share", "piece", "currency", "falls_to_piece"})
	if err != nil {
		return nil, err
	}
	currency := money.Of(p.Shop.Currency)
	var out []Expense
	for t.next() {
		e := Expense{Date: t.text("date"), Kind: strings.ToLower(t.text("kind")), What: t.text("what"), Piece: p.Piece.ID, Share: decimal.NewFromInt(1)}
		if day, err := time.Parse(time.DateOnly, e.Date); err != nil || day.Year() < 1900 || day.Year() > 2200 {
			t.fail("date", fmt.Sprintf("%q is not a day; write it as 2026-03-21", shortText(e.Date)))
		}
		if e.Kind == "" {
			e.Kind = "other"
		}
		if !slices.Contains(ExpenseKinds, e.Kind) {
			t.fail("kind", fmt.Sprintf("%q is no kind; they are %s", shortText(e.Kind), strings.Join(ExpenseKinds, ", ")))
		}
		if c := t.text("currency"); c != "" && !strings.EqualFold(c, p.Shop.Currency) {
			t.fail("currency", fmt.Sprintf("%q is not the shop's currency, %s", shortText(c), p.Shop.Currency))
		}
		if text := t.text("amount"); text == "" {
			t.fail("amount", "an expense needs an amount")
		} else if e.Amount, err = currency.Parse(text); err != nil {
			t.fail("amount", err.Error())
		} else if e.Amount.IsNegative() || e.Amount.GreaterThan(maxPrice) {
			t.fail("amount", fmt.Sprintf("%q is not an amount from nothing to 1,000,000,000", shortText(text)))
		}
		if text := t.text("share"); text != "" {
			if e.Share, err = readShare(text); err != nil {
				t.fail("share", err.Error())
			}
		}
		if name := t.text("piece"); name != "" {
			i := slices.IndexFunc(p.Pieces, func(q Piece) bool { return strings.EqualFold(q.Name, name) })
			if i < 0 {
				t.fail("piece", fmt.Sprintf("the shop has no piece called %q", shortText(name)))
			} else {
				e.Piece = p.Pieces[i].ID
			}
		} else if e.Piece == 0 {
			t.fail("piece", "no piece is open, and the row names none")
		}
		if len(out) == MaxExpenses {
			t.fail("", fmt.Sprintf("there are more than %d rows", MaxExpenses))
			break
		}
		out = append(out, e)
	}
	if err := t.err(); err != nil {
		return nil, err
	}
	if len(out) == 0 {
		return nil, &RowError{1, "", "there are no rows below the heading"}
	}
	return out, nil
}

// MaxExpenses is how many expenses are read from one file.
const MaxExpenses = 20_000

// readShare reads 0 to 1, or a per cent.
func readShare(text string) (decimal.Decimal, error) {
	bad := fmt.Errorf("%q is not a share; write 0 to 1, or 0 %% to 100 %%", shortText(text))
	if len(text) > 30 || strings.ContainsAny(text, "eE") {
		return decimal.Zero, bad
	}
	number, percent := strings.CutSuffix(text, "%")
	d, err := decimal.NewFromString(strings.TrimSpace(number))
	if err != nil {
		return decimal.Zero, bad
	}
	if percent {
		d = d.Shift(-2)
	}
	if d.IsNegative() || d.GreaterThan(decimal.NewFromInt(1)) {
		return decimal.Zero, bad
	}
	return d, nil
}

// AddExpenses gives the project with expenses added, each with a number of its own.
func (p *Project) AddExpenses(list []Expense) *Project {
	return p.With(func(q *Project) {
		q.Expenses = slices.Clone(p.Expenses)
		order := 0
		for _, e := range q.Expenses {
			order = max(order, e.Order+1)
		}
		for i, e := range list {
			e.ID, e.Order = q.Take(), order+i
			q.Expenses = append(q.Expenses, e)
		}
	})
}
