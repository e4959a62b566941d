package plan_test

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"pilewright/plan"
	"pilewright/plan/measure"
)

func TestALineOfBoards(t *testing.T) {
	const in, mm = measure.Inch, measure.Millimetre
	for line, want := range map[string]struct {
		unit  measure.Unit
		count int
		plan.Board
	}{
		"6 @ 38 1/2 x 3 1/2 x 5/8 pine":         {measure.Inches, 6, plan.Board{Length: 38*in + in/2, Width: 3*in + in/2, Thickness: in * 5 / 8, Species: "pine"}},
		"1200x90x18 spruce":                     {measure.Millimetres, 1, plan.Board{Length: 1200 * mm, Width: 90 * mm, Thickness: 18 * mm, Species: "spruce"}},
		"2@4' 1\" × 3.5\" × ¾\"   white   oak ": {measure.Inches, 2, plan.Board{Length: 49 * in, Width: 3*in + in/2, Thickness: in * 3 / 4, Species: "white oak"}},
		"38 X 3 X 1":                            {measure.Inches, 1, plan.Board{Length: 38 * in, Width: 3 * in, Thickness: in}},
		"60 cm x 9 cm x 18 mm box elder":        {measure.Inches, 1, plan.Board{Length: 600 * mm, Width: 90 * mm, Thickness: 18 * mm, Species: "box elder"}},
		"0.000001 mm x 1/64 x 1":                {measure.Inches, 1, plan.Board{Length: 1, Width: in / 64, Thickness: in}},
		"20000 @ 1 x 1 x 1":                     {measure.Inches, 20000, plan.Board{Length: in, Width: in, Thickness: in}},
		"38 in x 3 in x 1 in maple":             {measure.Millimetres, 1, plan.Board{Length: 38 * in, Width: 3 * in, Thickness: in, Species: "maple"}},
	} {
		count, b, err := plan.QuickEntry(line, want.unit)
		if diff := cmp.Diff(want.Board, b); diff != "" || count != want.count || err != nil {
			t.Errorf("%q: %d, %v (-want +got)\n%s", line, count, err, diff)
		}
	}
}

func TestWrongLinesSayWhereAndWhat(t *testing.T) {
	for line, c := range map[string]struct {
		at  int
		say string
	}{
		"":                                {0, "length x width x thickness"},
		"pine":                            {0, "length x width x thickness"},
		"38 x 3":                          {0, "length x width x thickness"},
		"0 @ 1 x 1 x 1":                   {0, "1 to 20000, not “0”"},
		"1000000 @ 1 x 1 x 1":             {0, "1 to 20000, not “1000000”"},
		"six @ 1 x 1 x 1":                 {0, "not “six”"},
		"2 @ 38 x 3 1/3.5 x 1":            {11, "The width “3 1/3.5” can't be read"},
		"38 x -3 x 1":                     {0, "length x width x thickness"},
		"38 x 0 x 1":                      {4, "The width must be more than nothing"},
		"101 m x 3 x 1":                   {0, "The length must be more than nothing and at most 100 m"},
		"1\x00 x 1 x 1":                   {0, "characters that are not text"},
		"1 x \xff x 1":                    {0, "characters that are not text"},
		strings.Repeat("1", 401):          {400, "longer than 400 characters"},
		strings.Repeat("9", 390) + "x1x1": {0, "The length “999"},
	} {
		_, b, err := plan.QuickEntry(line, measure.Inches)
		var where *plan.EntryError
		if !errors.As(err, &where) || !strings.Contains(where.Say, c.say) {
			t.Errorf("%.50q: got %v, want %q", line, err, c.say)
			continue
		}
		if b.Length != 0 {
			t.Errorf("%.50q: a board beside the error: %+v", line, b)
		}
		if c.at != where.Offset && len(line) < 300 {
			t.Errorf("%q: told at %d, want %d (%s)", line, where.Offset, c.at, where.Say)
		}
	}
}

func FuzzQuickEntry(f *testing.F) {
	for _, line := range []string{"6 @ 38 1/2 x 3 1/2 x 5/8 pine", "1200x90x18", "x x x", "1 @ 2 @ 3", "¼x¼x¼", "9999999999999999999 @ 1x1x1", "1x1x1 in", "1x1x1 ªµº"} {
		f.Add(line, true)
		f.Add(line, false)
	}
	f.Fuzz(func(t *testing.T, line string, inches bool) {
		unit := measure.Millimetres
		if inches {
			unit = measure.Inches
		}
		count, b, err := plan.QuickEntry(line, unit)
		if err != nil {
			var where *plan.EntryError
			if !errors.As(err, &where) || where.Offset < 0 || where.Offset > len(line) || where.Say == "" {
				t.Fatalf("%q: %#v", line, err)
			}
			return
		}
		for _, l := range []measure.Length{b.Length, b.Width, b.Thickness} {
			if l <= 0 || l > plan.SizeLimit {
				t.Fatalf("%q: size %d", line, l)
			}
		}
		if count < 1 || count > plan.MaxBoards {
			t.Fatalf("%q: %d boards", line, count)
		}
		if _, err := new(plan.Project).AddBoards(b, min(count, 10)); err != nil {
			t.Fatalf("%q: a board that was read can't be added: %v", line, err)
		}
	})
}

func TestStartingPointsThatCanNotBeUsed(t *testing.T) {
	copies := strings.Repeat(`{"x":"0","along":0,"thick":1},`, plan.MaxCopies+1)
	for name, c := range map[string]struct{ body, say string }{
		"nothing":                {"", "not well-formed"},
		"more after the end":     {`{"id":"a","name":"a","parts":[{"name":"p"}]} x`, "not well-formed"},
		"no parts":               {`{"id":"a","name":"a"}`, "1 to 500 parts"},
		"no name":                {`{"id":"a","name":" ","parts":[{"name":"p"}]}`, "no id or no name"},
		"a part twice":           {`{"id":"a","name":"a","parts":[{"name":"p"},{"name":"p"}]}`, `part name "p"`},
		"a part without name":    {`{"id":"a","name":"a","parts":[{}]}`, `part name ""`},
		"a joint with nobody":    {`{"id":"a","name":"a","parts":[{"name":"p"}],"joints":[{"a":"p","b":"q"}]}`, `"q", which it does not have`},
		"a copy along no axis":   {`{"id":"a","name":"a","parts":[{"name":"p","copies":[{"along":9,"thick":1}]}]}`, "two different axes"},
		"a copy thick as long":   {`{"id":"a","name":"a","parts":[{"name":"p","copies":[{"along":1,"thick":1}]}]}`, "two different axes"},
		"too many copies":        {`{"id":"a","name":"a","parts":[{"name":"p","copies":[` + copies[:len(copies)-1] + `]}]}`, "more than 2000 copies"},
		"too large":              {strings.Repeat(" ", 1<<20+1), "larger than 1 MB"},
		"another kind of figure": {`{"id":7}`, "not well-formed"},
		"deeply nested":          {strings.Repeat("[", 1<<20), "not well-formed"},
	} {
		s, err := plan.ReadStart([]byte(c.body))
		if !errors.Is(err, plan.ErrStart) || !strings.Contains(err.Error(), c.say) {
			t.Errorf("%s: got %v, want %q", name, err, c.say)
		}
		if s.ID != "" || len(s.Parts) > 0 {
			t.Errorf("%s: a starting point beside the error", name)
		}
	}
}

func FuzzReadStart(f *testing.F) {
	for _, id := range startIDs(f) {
		f.Add(must(json.Marshal(readStart(f, id))))
	}
	f.Add([]byte(`{"id":"a","name":"a","parts":[{"name":"p","copies":[{"along":-1}]}]}`))
	f.Fuzz(func(t *testing.T, body []byte) {
		s, err := plan.ReadStart(body)
		if err != nil {
			return
		}
		p := emptyShop().NewPiece(s, s.Name)
		if len(p.Parts) != len(s.Parts) || len(p.Joints) != len(s.Joints) {
			t.Fatal("the piece lacks something of its starting point")
		}
		again, err := p.StartOf(s.ID, s.Name, s.Note)
		if err != nil {
			t.Fatalf("a piece that was made can't be kept as a starting point: %v", err)
		}
		q := emptyShop().NewPiece(again, s.Name)
		if diff := cmp.Diff(dump(t, p), dump(t, q)); diff != "" && s.Measures == nil {
			t.Fatalf("(-want +got)\n%s", diff)
		}
	})
}

func TestAVariantBringsChoicesAndOwnStepsAlong(t *testing.T) {
	p := emptyShop().NewPiece(readStart(t, "bench"), "Bench").With(func(q *plan.Project) {
		q.Steps = []plan.StepEdit{{ID: q.Take(), Piece: q.Piece.ID, Key: "own-1", Own: true, Title: "Burn the brand in", Done: true, Needs: []string{"own-2", "saw/7"}},
			{ID: q.Take(), Piece: q.Piece.ID, Key: "own-2", Own: true}, {ID: q.Take(), Piece: q.Piece.ID, Key: "saw/7", Minutes: 5}}
		q.Choices = []plan.Choice{{ID: q.Take(), Piece: q.Piece.ID, Kind: plan.NeverBoard, Board: 3}}
	}).Settled()
	v, err := p.Variant("Bench")
	if err != nil {
		t.Fatal(err)
	}
	if v.Piece.Name != "Bench 2" || v.Piece.VariantOf != p.Piece.ID || len(v.Parts) != len(p.Parts) || len(v.Choices) != 1 || len(v.Steps) != 2 {
		t.Fatalf("%q of %d with %d choices and %d steps", v.Piece.Name, v.Piece.VariantOf, len(v.Choices), len(v.Steps))
	}
	if s := v.Steps[0]; s.Done || len(s.Needs) != 1 || s.Piece != v.Piece.ID || s.ID == p.Steps[0].ID {
		t.Errorf("own step %+v", s)
	}
	if changes := must(plan.Diff(p, v)); len(changes) == 0 || changes[0].Before != nil {
		t.Errorf("the original is touched: %v", changes[0])
	}
}
