package plan_test

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"pilewright/plan"
)

func TestASoundProjectHasNoFaults(t *testing.T) {
	if got := demoProject(t).Faults(); len(got) > 0 {
		t.Errorf("got %q", got)
	}
	if got := emptyShop().Faults(); len(got) > 0 {
		t.Errorf("got %q", got)
	}
}

func TestFaultsAreNamed(t *testing.T) {
	p := &plan.Project{Piece: plan.Piece{ID: 9, Name: "Rack"},
		Boards: []plan.Board{{ID: 1, Mark: "P1", Length: 10, Width: 10, Thickness: 10, Lot: 7}, {ID: 2, Mark: "p1", Length: 10, Width: 0, Thickness: 10},
			{ID: 3, Mark: "P3", Length: 10, Width: 10, Thickness: 10, TrimLeft: 5, TrimRight: 5}, {ID: 4, Mark: "P4", Length: 10, Width: 10, Thickness: 10, Defects: []plan.Defect{{Kind: plan.Knot, From: 5, To: 11}}}},
		Parts:   []plan.Part{{ID: 5}},
		Joints:  []plan.Joint{{ID: 6, A: plan.CopyRef{Part: 5}, B: plan.CopyRef{Part: 8}}},
		Choices: []plan.Choice{{ID: 7, Kind: plan.BlankOnBoard, Board: 44}, {ID: 8, Kind: plan.RowPlace}},
	}
	want := []string{
		"Board P1 belongs to a lot that is not there.",
		"Board p1 has a size of nothing or less.",
		"Two boards have the mark p1.",
		"Board P3: the trims leave nothing of the board.",
		"Board P4: the knot from 0.000005 mm to 0.000011 mm does not lie within the board's length.",
		"Joint 6 names a part that is not there.",
		"A choice names a board that is not there.",
	}
	if diff := cmp.Diff(want, p.Faults()); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	if diff := cmp.Diff(want[5:], p.PieceFaults()); diff != "" {
		t.Errorf("of the piece (-want +got)\n%s", diff)
	}
}

func TestAddedBoardsGetMarksOfTheirOwn(t *testing.T) {
	p := emptyShop().With(func(q *plan.Project) {
		q.Boards = []plan.Board{{ID: q.Take(), Mark: "2", Length: 5, Width: 5, Thickness: 5, Order: 4}, {ID: q.Take(), Mark: "oakA", Length: 5, Width: 5, Thickness: 5, Order: 2}}
	})
	for mark, want := range map[string][]string{"": {"1", "3", "4"}, "OAK": {"OAK", "OAKb", "OAKc"}, "new": {"new", "newa", "newb"}} {
		q, err := p.AddBoards(plan.Board{Mark: mark, Length: 5, Width: 5, Thickness: 5}, 3)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, b := range q.Boards[2:] {
			got = append(got, b.Mark)
		}
		if !slices.Equal(got, want) || q.Boards[2].Order != 5 || len(p.Boards) != 2 {
			t.Errorf("%q: marks %q, want %q; first order %d", mark, got, want, q.Boards[2].Order)
		}
	}
	many, err := p.AddBoards(plan.Board{Mark: "x", Length: 5, Width: 5, Thickness: 5}, plan.MaxBoards-2)
	if err != nil || len(many.Faults()) > 0 {
		t.Errorf("a full pile: %v, %q", err, many.Faults())
	}
	for _, n := range []int{plan.MaxBoards + 1, 1 << 62, -1} {
		if _, err := p.AddBoards(plan.Board{Length: 5, Width: 5, Thickness: 5}, n); err == nil {
			t.Errorf("%d boards were added", n)
		}
	}
	if _, err := p.AddBoards(plan.Board{Length: 5, Width: 5, Thickness: 5, TrimLeft: 5}, 1); err == nil {
		t.Error("a board that its trims use up was added")
	}
}

func TestAListOfBoardsIsAddedAsItsRowsOneByOneOrNotAtAll(t *testing.T) {
	list := []plan.CSVBoard{{Board: plan.Board{Mark: "x", Length: 5, Width: 5, Thickness: 5}, Count: 30}, {Board: plan.Board{Length: 6, Width: 5, Thickness: 5}, Count: 2}, {Board: plan.Board{Mark: "X", Length: 7, Width: 5, Thickness: 5}, Count: 1}}
	one := emptyShop()
	for _, b := range list {
		var err error
		if one, err = one.AddBoards(b.Board, b.Count); err != nil {
			t.Fatal(err)
		}
	}
	all, err := emptyShop().AddBoardList(list)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(one.Boards, all.Boards); diff != "" {
		t.Errorf("one by one (-) and as a list (+):\n%s", diff)
	}
	for name, bad := range map[string]plan.CSVBoard{"a board its trims use up": {Board: plan.Board{Length: 5, Width: 5, Thickness: 5, TrimLeft: 5}, Count: 1}, "one more than a pile holds": {Board: list[0].Board, Count: plan.MaxBoards - 32}} {
		if got, err := emptyShop().AddBoardList(append(list[:3:3], bad)); err == nil || got != nil {
			t.Errorf("%s among the others: %v", name, err)
		}
	}
}

func TestEditsThatSpoilABoardAreRefused(t *testing.T) {
	p := emptyShop().With(func(q *plan.Project) {
		q.Boards = []plan.Board{{ID: q.Take(), Mark: "P1", Length: 50, Width: 5, Thickness: 5}}
	})
	for name, edit := range map[string]func(*plan.Board) error{
		"no length":     func(b *plan.Board) error { b.Length = 0; return nil },
		"below nothing": func(b *plan.Board) error { b.Width = -1; return nil },
		"beyond 100 m":  func(b *plan.Board) error { b.Thickness = plan.SizeLimit + 1; return nil },
		"all trim":      func(b *plan.Board) error { b.TrimLeft = 50; return nil },
		"negative trim": func(b *plan.Board) error { b.TrimRight = -50; return nil },
		"a defect off it": func(b *plan.Board) error {
			b.Defects = []plan.Defect{{Kind: plan.Knot, From: 49, To: 51}}
			return nil
		},
	} {
		if _, err := p.EditBoards([]plan.ID{1}, edit); err == nil {
			t.Errorf("%s: it was taken", name)
		}
	}
	q, err := p.EditBoards([]plan.ID{1}, func(b *plan.Board) error { b.Length = 40; return nil })
	if err != nil || q.Boards[0].Length != 40 || p.Boards[0].Length != 50 {
		t.Errorf("%v, %v, %v", err, q.Boards, p.Boards)
	}
}
