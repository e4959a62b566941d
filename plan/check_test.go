package plan_test

import (
	"context"
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"

	"pilewright/plan"
	"pilewright/plan/plantest"
)

// A cutter that goes wrong is found out: no plan is published or given back.
func TestCutsThatFailTheirCheckAreNotShown(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(*plan.Cuts)
	}{
		{"a piece off its board", func(c *plan.Cuts) { c.Boards[0].Pieces[0].X = -1 }},
		{"a board that is not there", func(c *plan.Cuts) { c.Boards[0].Board = 9999 }},
		{"two pieces in one place", func(c *plan.Cuts) {
			c.Boards[0].Pieces = append(slices.Clone(c.Boards[0].Pieces), c.Boards[0].Pieces[0])
		}},
	} {
		for _, late := range []bool{false, true} {
			tools := toyTools
			tools.Cut = func(ctx context.Context, job plan.CutJob, better func(plan.Cuts)) (plan.Cuts, error) {
				if job.First == late {
					return plantest.Cut(ctx, job, better)
				}
				out, err := plantest.Cut(ctx, job, nil)
				c.spoil(&out)
				if better != nil {
					better(out)
				}
				return out, err
			}
			published := 0
			made, err := plan.Make(context.Background(), demoProject(t), tools, func(*plan.Plan) { published++ })
			var failed *plan.CheckError
			if made != nil || !errors.As(err, &failed) || failed.What != "cuts" || len(failed.Faults) == 0 {
				t.Errorf("%s: plan %v, error %v", c.name, made != nil, err)
			}
			if !late && published > 0 {
				t.Errorf("%s: %d plans were published", c.name, published)
			}
		}
	}
}

func TestReportOfAFailedCheckTellsSizesAndNoNames(t *testing.T) {
	p := demoProject(t)
	const secret = "Zanzibar"
	p.Shop.Name, p.Piece.Name, p.Piece.Note, p.Piece.Lessons = secret, secret, secret, secret
	p.Pieces = append(slices.Clone(p.Pieces), plan.Piece{ID: 9001, Name: secret})
	p.Lots = slices.Clone(p.Lots)
	p.Boards, p.Parts, p.Measures = slices.Clone(p.Boards), slices.Clone(p.Parts), slices.Clone(p.Measures)
	p.Lots[0].Name, p.Lots[0].Note, p.Lots[0].Source = secret, secret, secret
	p.Boards[0].Mark, p.Boards[0].Place, p.Boards[0].Note = secret, secret, secret
	p.Parts[0].Name, p.Parts[0].Note = secret, secret
	p.Piece.Hardware = []plan.Hardware{{Name: secret, Count: 1}}
	was := p.Measures[1].Name
	p.Measures[1].Note = secret
	p.Rename(was, strings.ToLower(secret))
	p.Measures[1].Name = strings.ToLower(secret)
	p.Steps = append(p.Steps, plan.StepEdit{ID: p.Take(), Piece: p.Piece.ID, Key: "mine", Own: true, Title: secret})
	p.Log = append(slices.Clone(p.Log), plan.Entry{ID: p.Take(), Piece: p.Piece.ID, Note: secret})
	p.Expenses = append(slices.Clone(p.Expenses), plan.Expense{ID: p.Take(), Piece: p.Piece.ID, What: secret})
	body, err := (&plan.CheckError{What: "cuts", Faults: []string{"a piece off its board"}}).Report(p)
	if err != nil {
		t.Fatal(err)
	}
	if i := strings.Index(strings.ToLower(string(body)), strings.ToLower(secret)); i >= 0 {
		t.Errorf("the report tells a name: %s", body[max(0, i-60):min(len(body), i+40)])
	}
	var out struct {
		What    string
		Faults  []string
		Records []struct {
			Kind plan.Kind
			ID   plan.ID
			Body json.RawMessage
		}
	}
	if err := json.Unmarshal(body, &out); err != nil || out.What != "cuts" || len(out.Faults) != 1 {
		t.Fatalf("%+v, %v", out.What, err)
	}
	// The report is enough to plan the piece again.
	var records []plan.Record
	for _, r := range out.Records {
		records = append(records, plan.Record{Kind: r.Kind, ID: r.ID, Piece: pieceOf(r.Kind, p.Piece.ID), Body: r.Body})
	}
	back, err := plan.FromRecords(records, p.Piece.ID)
	if err != nil {
		t.Fatal(err)
	}
	a, b := mustMake(t, p), mustMake(t, back)
	if len(a.Blanks) == 0 || len(a.Blanks) != len(b.Blanks) || a.Cuts.Wood.Cmp(b.Cuts.Wood) != 0 {
		t.Errorf("planned again from the report: %d and %d blanks", len(a.Blanks), len(b.Blanks))
	}
}

func pieceOf(k plan.Kind, open plan.ID) plan.ID {
	if k.PieceOnly() {
		return open
	}
	return 0
}
