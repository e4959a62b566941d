package plan

import (
	"encoding/json"
	"errors"
	"fmt"

	"github.com/shopspring/decimal"

	"pilewright/plan/schedule"
)

// errCheck marks an answer that its checker refused.
var errCheck = errors.New("a plan failed its check and is not shown")

// CheckError tells what an independent checker found wrong with an answer.
type CheckError struct {
	What   string // cuts, fit, order, calendar or money
	Faults []string
}

func (e *CheckError) Error() string {
	return fmt.Sprintf("%v: %s (%d faults; the first: %s)", errCheck, e.What, len(e.Faults), e.Faults[0])
}

// Finding tells the maker that a plan was refused, in the room of what failed.
func (e *CheckError) Finding() Finding {
	room := "piece"
	switch e.What {
	case "cuts":
		room = "cuts"
	case "order", "calendar":
		room = "bench"
	case "money":
		room = "ledger"
	}
	return Finding{Code: e.What + ".check", Severity: Stop, Subject: Subject{Room: room}, Refused: e,
		Text: "A plan of this state failed its check and is not shown; the last good one stays."}
}

// Reported is the finding with the place of the report that was written of it, or
// why none could be.
func (f Finding) Reported(at string, err error) Finding {
	f.Do = fmt.Sprintf("A report with sizes and choices, without names, notes or log, is in %s. Sending it to the makers of the program helps them to put it right.", at)
	if err != nil {
		f.Do = fmt.Sprintf("A report could not be written: %v.", err)
	}
	return f
}

// Unwrap lets a caller tell a failed check from other errors.
func (e *CheckError) Unwrap() error { return errCheck }

// Report is the failed check with the records the plan was made from, as JSON, to
// be sent to who maintains the program. It holds no names, notes, places, prices
// of other pieces or log: sizes and choices only. Measures are renamed m1, m2 ...
func (e *CheckError) Report(p *Project) ([]byte, error) {
	changes, err := Diff(nil, bare(p))
	if err != nil {
		return nil, fmt.Errorf("report of the failed check: %w", err)
	}
	type record struct {
		Kind Kind            `json:"kind"`
		ID   ID              `json:"id"`
		Body json.RawMessage `json:"body"`
	}
	out := struct {
		What    string   `json:"what"`
		Faults  []string `json:"faults"`
		Records []record `json:"records"`
	}{What: e.What, Faults: e.Faults}
	for _, c := range changes {
		out.Records = append(out.Records, record{c.Kind, c.ID, json.RawMessage(c.After)})
	}
	return json.MarshalIndent(out, "", " ")
}

// bare is the project without anything that tells of the maker.
func bare(p *Project) *Project {
	q := p.With(func(q *Project) {
		q.Pieces, q.Log, q.Expenses, q.Starts, q.Timer = nil, nil, nil, nil, Timer{}
		q.Shop.Name = ""
		q.Piece = Piece{ID: p.Piece.ID, Kind: p.Piece.Kind, Price: p.Piece.Price, WishHourly: p.Piece.WishHourly, Finish: p.Piece.Finish, Coats: p.Piece.Coats, Glue: p.Piece.Glue,
			Start: p.Piece.Start, Due: p.Piece.Due, LostDays: p.Piece.LostDays, Stagger: p.Piece.Stagger, StepLimit: p.Piece.StepLimit, LoadKG: p.Piece.LoadKG}
		for _, h := range p.Piece.Hardware {
			q.Piece.Hardware = append(q.Piece.Hardware, Hardware{Count: h.Count, Each: h.Each})
		}
		q.Lots = each(p.Lots, func(l *Lot) { l.Name, l.Source, l.Date, l.Note = "", "", "", "" })
		q.Boards = each(p.Boards, func(b *Board) { b.Mark, b.Place, b.Note = fmt.Sprint(b.ID), "", "" })
		q.Measures = each(p.Measures, func(m *Measure) { m.Note = "" })
		q.Parts = each(p.Parts, func(s *Part) { s.Name, s.Note = fmt.Sprintf("part %d", s.ID), "" })
		q.Joints = each(p.Joints, func(j *Joint) { j.Note = "" })
		q.Steps = each(p.Steps, func(s *StepEdit) { s.Title = "" })
	})
	for i := range q.Measures {
		to := fmt.Sprintf("m%d", i+1)
		q.Rename(q.Measures[i].Name, to)
		q.Measures[i].Name = to
	}
	return q
}

// each gives a copy of the list with every element changed.
func each[T any](list []T, change func(*T)) []T {
	out := make([]T, len(list))
	copy(out, list)
	for i := range out {
		change(&out[i])
	}
	return out
}

// checkWork has the order and the calendar of both offers read by the checkers of
// package schedule, which share no code with the search.
func checkWork(a schedule.Arrangement, week schedule.Week, w *Work) error {
	for _, o := range []schedule.Offer{a.Fewest, a.Soonest} {
		if faults := schedule.CheckOrder(o.Problem, o.Timeline.Order); len(faults) > 0 {
			return &CheckError{"order", violations(faults)}
		}
		job := schedule.Job{Problem: o.Problem, Week: week, Start: w.Start}
		if faults := schedule.CheckTimeline(job, o.Timeline); len(faults) > 0 {
			return &CheckError{"calendar", violations(faults)}
		}
		if a.Soonest.Timeline.Finish.Equal(a.Fewest.Timeline.Finish) {
			break
		}
	}
	return nil
}

func violations(list []schedule.Violation) []string {
	out := make([]string, len(list))
	for i, v := range list {
		out[i] = v.String()
	}
	return out
}

// checkMoney reckons the ledger's sums a second way: the lines shown must come to
// the costs, and the price must go to the last cent to tax, fees, delivery, costs
// and the maker.
func checkMoney(l *Ledger) error {
	var faults []string
	sum := decimal.Zero
	for _, line := range l.Lines {
		sum = sum.Add(line.Amount)
	}
	if !sum.Equal(l.Costs.Total()) {
		faults = append(faults, fmt.Sprintf("the lines come to %s, the costs to %s", sum, l.Costs.Total()))
	}
	r := l.Result
	if r.State != "" && l.Sale.Price.IsPositive() {
		spent := r.Tax.Add(r.Fees).Add(r.Delivery).Add(r.Costs).Add(r.Earned)
		if !spent.Equal(r.BuyerPays) {
			faults = append(faults, fmt.Sprintf("the buyer pays %s, tax, fees, delivery, costs and earnings come to %s", r.BuyerPays, spent))
		}
	}
	if len(faults) > 0 {
		return &CheckError{"money", faults}
	}
	return nil
}
