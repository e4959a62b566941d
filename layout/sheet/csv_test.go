package sheet

import (
	"bytes"
	"encoding/csv"
	"errors"
	"strings"
	"testing"

	"pilewright/plan"
	"pilewright/plan/measure"
)

func rows(t *testing.T, table string, p *plan.Plan) [][]string {
	t.Helper()
	var out bytes.Buffer
	if err := WriteCSV(&out, table, p); err != nil {
		t.Fatal(err)
	}
	list, err := csv.NewReader(&out).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", table, err)
	}
	return list
}

func TestEveryTableIsWrittenWithAHeading(t *testing.T) {
	p := theDemo(t)
	least := map[string]int{"parts": len(p.Parts), "boards": 40, "blanks": len(p.Blanks), "steps": len(p.Work.Steps), "log": 0, "expenses": 1}
	for _, table := range Tables() {
		t.Run(table.ID, func(t *testing.T) {
			if got := len(rows(t, table.ID, p)); got < 1+least[table.ID] {
				t.Errorf("%d lines, want a heading and at least %d", got, least[table.ID])
			}
		})
	}
	if err := WriteCSV(&bytes.Buffer{}, "nonsense", p); err == nil {
		t.Error("an unknown table gives no error")
	}
	if err := WriteCSV(&bytes.Buffer{}, "parts", nil); !errors.Is(err, ErrNoPlan) {
		t.Errorf("without a plan: %v", err)
	}
}

func TestBoardsAndBlanksAreReadBack(t *testing.T) {
	p := theDemo(t)
	var out bytes.Buffer
	if err := WriteCSV(&out, "boards", p); err != nil {
		t.Fatal(err)
	}
	boards, err := plan.ReadBoards(&out, measure.Inches)
	if err != nil {
		t.Fatal(err)
	}
	want := 0
	for _, b := range p.Project.Boards {
		if b.State == plan.InPile || b.State == plan.Kept {
			want++
		}
	}
	if len(boards) != want {
		t.Errorf("%d boards read back of %d", len(boards), want)
	}
	out.Reset()
	if err := WriteCSV(&out, "blanks", p); err != nil {
		t.Fatal(err)
	}
	blanks, err := plan.ReadBlanks(&out, measure.Inches)
	if err != nil {
		t.Fatal(err)
	}
	for i, b := range blanks {
		if o := p.Blanks[i]; b.Length != o.Length || b.Width != o.Width || b.Thickness != o.Thickness {
			t.Errorf("blank %s came back as %v x %v x %v", o.Key, b.Length, b.Width, b.Thickness)
		}
	}
}

// A spreadsheet reckons a cell that begins with one of these out (OWASP, CSV
// injection; from memory).
func TestNoTextOfTheMakersIsTakenForAFormula(t *testing.T) {
	p := *theDemo(t)
	evil := "=HYPERLINK(\"x\")"
	p.Project = p.Project.With(func(q *plan.Project) {
		q.Log = []plan.Entry{{Piece: q.Piece.ID, Note: evil, Phase: "+mill", Step: "@x"}}
		q.Expenses = []plan.Expense{{Piece: q.Piece.ID, What: "-2+3", Kind: evil}}
	})
	p.Parts = append([]plan.SizedPart(nil), p.Parts...)
	p.Parts[0].Name, p.Parts[0].Note = evil, "\t=1"
	p.Work.Steps = []plan.Step{{Key: "k", Title: evil, Detail: []string{"@y"}, Marks: []string{"+1+1"}}}
	for _, table := range Tables() {
		for _, row := range rows(t, table.ID, &p)[1:] {
			for _, cell := range row {
				if cell != "" && strings.ContainsRune("=+@\t", rune(cell[0])) || strings.HasPrefix(cell, "-2") {
					t.Errorf("%s: the cell %q would be reckoned out", table.ID, cell)
				}
			}
		}
	}
}
