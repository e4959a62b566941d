package ledger

import (
	"io"
	"strconv"
	"time"

	"pilewright/plan"
)

// writeLog writes the log of every piece as CSV (RFC 4180), times in UTC.
func writeLog(w io.Writer, p *plan.Project) error {
	head := []string{"piece", "phase", "step", "start", "seconds", "target_minutes", "rate", "quantity", "by_hand", "corrections", "note"}
	var rows [][]string
	for _, e := range p.Log {
		rows = append(rows, []string{pieceName(p, e.Piece), string(e.Phase), e.Step, e.Start.UTC().Format(time.RFC3339), strconv.FormatInt(e.Seconds, 10),
			strconv.FormatFloat(e.Target, 'f', 1, 64), e.Rate, strconv.FormatFloat(e.Quantity, 'g', -1, 64), strconv.FormatBool(e.ByHand), strconv.Itoa(len(e.Earlier)), e.Note})
	}
	return plan.WriteTable(w, head, rows)
}

// writeExpenses writes the expenses of every piece as CSV (RFC 4180).
func writeExpenses(w io.Writer, p *plan.Project) error {
	head := []string{"piece", "date", "kind", "what", "amount", "currency", "share", "falls_to_piece"}
	var rows [][]string
	for _, e := range p.Expenses {
		rows = append(rows, []string{pieceName(p, e.Piece), e.Date, e.Kind, e.What, e.Amount.String(), p.Shop.Currency, e.Share.String(), e.Amount.Mul(e.Share).String()})
	}
	return plan.WriteTable(w, head, rows)
}

func pieceName(p *plan.Project, id plan.ID) string {
	for _, x := range p.Pieces {
		if x.ID == id {
			return x.Name
		}
	}
	return ""
}
