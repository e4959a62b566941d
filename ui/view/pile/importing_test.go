package pile

import (
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"

	"pilewright/plan"
	"pilewright/ui/control"
	"pilewright/ui/desk/desktest"
)

// press taps a button of the dialog on top.
func press(t *testing.T, d *desktest.Desk, text string) {
	t.Helper()
	for _, o := range test.LaidOutObjects(d.Window().Canvas().Overlays().Top()) {
		if b, ok := o.(*widget.Button); ok && b.Text == text {
			test.Tap(b)
			return
		}
	}
	t.Fatalf("no button %q", text)
}

// table is the one in the dialog on top.
func table(t *testing.T, d *desktest.Desk) (rows [][]string) {
	t.Helper()
	for _, o := range test.LaidOutObjects(d.Window().Canvas().Overlays().Top()) {
		g, ok := o.(*control.Grid)
		if !ok {
			continue
		}
		for row := range g.Len() {
			var cells []string
			for col := range g.Columns {
				text, _ := g.Cell(row, col)
				cells = append(cells, text)
			}
			rows = append(rows, cells)
		}
		return rows
	}
	t.Fatal("no table")
	return nil
}

const boardsFile = "board,count,length,width,thickness,species,price,trim_left,defects\n" +
	"1,2,36 in,3 1/2 in,5/8 in,pine,4.50,1/2 in,knot@13..14 1/2\n" +
	"X7,5,1200 mm,90 mm,20 mm,oak,,,\n"

func TestBoardsOfAFileAreShownAsTheyWouldBeAddedAndAddedWhenConfirmed(t *testing.T) {
	d, r := shown(t)
	before := d.Session().Project().Boards
	if !slices.ContainsFunc(before, func(b plan.Board) bool { return b.Mark == "1" }) {
		t.Fatal("the pile has no board 1; the test needs one")
	}
	r.previewBoards(strings.NewReader(boardsFile), "found.csv")
	want := [][]string{
		{"1a 1b", "2", `36"`, `3 1/2"`, `5/8"`, "pine", "$4.50", `1/2"`, "", "knot@13..14 1/2", ""},
		{"X7 X7a … X7d", "5", `≈47 1/4"`, `≈3 9/16"`, `≈13/16"`, "oak", "", "", "", "", ""},
	}
	got := table(t, d)
	for i := range want {
		if i >= len(got) || !slices.Equal(got[i], want[i]) {
			t.Errorf("row %d is shown as %q, want %q", i+1, got[i], want[i])
		}
	}
	if now := d.Session().Project().Boards; len(now) != len(before) {
		t.Fatalf("looking at the file added %d boards", len(now)-len(before))
	}
	press(t, d, "Add them")
	d.Settle()
	var marks []string
	for _, b := range d.Session().Project().Boards[len(before):] {
		marks = append(marks, b.Mark)
	}
	if want := []string{"1a", "1b", "X7", "X7a", "X7b", "X7c", "X7d"}; !slices.Equal(marks, want) {
		t.Errorf("added are %q, want %q as shown", marks, want)
	}
	if _, err := d.Session().Undo(); err != nil || len(d.Session().Project().Boards) != len(before) {
		t.Errorf("one undo leaves %d boards, %v", len(d.Session().Project().Boards), err)
	}
}

func TestABoardsFileWithABadRowShowsItsFaultsAndAddsNothing(t *testing.T) {
	for _, c := range []struct {
		name, file string
		want       [][]string
	}{
		{"two bad fields", "length,width,thickness,price\n36 in,3 in,1 in,2\n,3 in,1 in,2\n36 in,3 in,1 in,dear\n", [][]string{{"3", "length"}, {"4", "price"}}},
		{"a heading without the sizes", "board,length\nA,36 in\n", [][]string{{"1", ""}}},
		{"no rows", "length,width,thickness\n", [][]string{{"", ""}}},
		{"more than a pile holds", "length,width,thickness,count\n36 in,3 in,1 in,20000\n", [][]string{{"", ""}}},
		{"an empty file", "", [][]string{{"", ""}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, r := shown(t)
			before := d.Session().Project()
			r.previewBoards(strings.NewReader(c.file), "bad.csv")
			got := table(t, d)
			if len(got) != len(c.want) {
				t.Fatalf("the faults are %q, want %q", got, c.want)
			}
			for i, row := range got {
				if !slices.Equal(row[:2], c.want[i]) || row[2] == "" {
					t.Errorf("fault %d is %q, want row and column %q and what is wrong", i+1, row, c.want[i])
				}
			}
			press(t, d, "Close")
			if d.Failed == nil || !strings.Contains(d.Failed.Error(), "bad.csv") || d.Session().Project() != before {
				t.Errorf("failed with %v; the project changed: %v", d.Failed, d.Session().Project() != before)
			}
		})
	}
}

func TestBoardsLeftOutOfAnImportAreNotAdded(t *testing.T) {
	d, r := shown(t)
	before := d.Session().Project()
	r.previewBoards(strings.NewReader(boardsFile), "found.csv")
	press(t, d, "Leave them out")
	if d.Session().Project() != before || d.Window().Canvas().Overlays().Top() != fyne.CanvasObject(nil) {
		t.Error("left out, yet the pile was changed or the dialog stays")
	}
}
