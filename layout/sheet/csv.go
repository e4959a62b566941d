package sheet

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"pilewright/plan"
	"pilewright/plan/measure"
)

// Table is one list of a plan that can be written as CSV.
type Table struct{ ID, Title string }

// Tables lists what WriteCSV can write.
func Tables() []Table {
	return []Table{{"parts", "Parts"}, {"boards", "Boards of the pile"}, {"blanks", "Blanks to cut"}, {"steps", "Steps"}, {"log", "Time log of the piece"}, {"expenses", "Expenses of the piece"}}
}

// WriteCSV writes one table of the plan, see Tables, as plan.WriteTable does:
// texts that a spreadsheet would take for a formula are made harmless. Lengths
// are exact and carry their unit, minutes are numbers, moments are RFC 3339.
// Boards and blanks are in the form that plan.ReadBoards and plan.ReadBlanks read
// back. Errors: ErrNoPlan, an unknown table, the writer's.
func WriteCSV(w io.Writer, table string, p *plan.Plan) error {
	if p == nil || p.Project == nil {
		return ErrNoPlan
	}
	switch table {
	case "parts":
		return plan.WriteTable(w, []string{"marks", "part", "pieces", "length", "width", "thickness", "length with tenons", "species", "grade", "made", "note"}, partRows(p))
	case "boards":
		var list []plan.Board
		for _, b := range p.Project.Boards {
			if b.State == plan.InPile || b.State == plan.Kept {
				list = append(list, b)
			}
		}
		return plan.WriteBoards(w, list...)
	case "blanks":
		return plan.WriteBlanks(w, p.Blanks...)
	case "steps":
		return plan.WriteTable(w, []string{"step", "phase", "marks", "machine", "set-up", "minutes", "wait minutes", "begins", "ends", "done", "detail"}, stepRows(p))
	case "log":
		return plan.WriteTable(w, []string{"start", "minutes", "phase", "step", "target minutes", "by hand", "note"}, logRows(p))
	case "expenses":
		return plan.WriteTable(w, []string{"date", "kind", "what", "amount", "share used", "cost to the piece"}, expenseRows(p))
	}
	return fmt.Errorf("there is no table %q of a plan", table)
}

func partRows(p *plan.Plan) [][]string {
	var rows [][]string
	unit := p.Project.Shop.Unit()
	exact := func(l measure.Length) string { return measure.ExactIn(l, unit) }
	for _, sp := range p.Parts {
		var list []string
		for _, c := range p.Copies[sp.First : sp.First+sp.N] {
			list = append(list, c.Mark)
		}
		made := ""
		for _, w := range p.Ways {
			if o, ok := w.Choice(); ok && w.Part == sp.ID {
				made = wayName(nil, o)
			}
		}
		rows = append(rows, []string{strings.Join(list, " "), sp.Name, strconv.Itoa(sp.N), exact(sp.L), exact(sp.W), exact(sp.T), exact(p.Frame.LongestOf(sp)), sp.Species, string(sp.Grade), made, sp.Note})
	}
	return rows
}

func stepRows(p *plan.Plan) [][]string {
	begins, ends := map[string]time.Time{}, map[string]time.Time{}
	for _, b := range p.Work.Timeline.Bars {
		if at, ok := begins[b.Step]; !ok || b.Start.Before(at) {
			begins[b.Step] = b.Start
		}
		if b.End.After(ends[b.Step]) {
			ends[b.Step] = b.End
		}
	}
	var rows [][]string
	for _, s := range p.Work.Steps {
		rows = append(rows, []string{s.Title, string(s.Phase), strings.Join(s.Marks, " "), s.Machine, s.Setup, tenths(s.Minutes), tenths(s.Wait.Minutes()),
			moment(begins[s.Key]), moment(ends[s.Key]), yes(s.Done), strings.Join(s.Detail, " ")})
	}
	return rows
}

func logRows(p *plan.Plan) [][]string {
	var rows [][]string
	for _, e := range p.Project.Log {
		if e.Piece != p.Project.Piece.ID {
			continue
		}
		title := e.Step
		if s, ok := p.Work.Step(e.Step); ok {
			title = s.Title
		}
		rows = append(rows, []string{moment(e.Start), tenths(float64(e.Seconds) / 60), string(e.Phase), title, tenths(e.Target), yes(e.ByHand), e.Note})
	}
	return rows
}

func expenseRows(p *plan.Plan) [][]string {
	var rows [][]string
	for _, e := range p.Project.Expenses {
		if e.Piece == p.Project.Piece.ID {
			rows = append(rows, []string{e.Date, e.Kind, e.What, e.Amount.String(), e.Share.String(), e.Amount.Mul(e.Share).String()})
		}
	}
	return rows
}

// tenths writes minutes to a tenth.
func tenths(m float64) string { return strconv.FormatFloat(m, 'f', 1, 64) }

func moment(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Truncate(time.Second).Format(time.RFC3339)
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}
