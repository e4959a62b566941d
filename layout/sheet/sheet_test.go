package sheet

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"pilewright/plan"
	"pilewright/plan/measure"
)

var update = flag.Bool("update", false, "write the goldens anew")

// printed is the day on the foot of every sheet of these tests.
const printed = "2026-03-02"

// text is what a sheet says and where, as lines.
func text(t testing.TB, p *plan.Plan, opt Options) string {
	t.Helper()
	d, err := lay(p, opt)
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	if err := d.Dump(&out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// said is the text of a sheet without places, a line a text.
func said(t testing.TB, p *plan.Plan, pages ...string) string {
	t.Helper()
	opt := Options{Now: printed}
	if len(pages) > 0 {
		opt.Pages = map[string]bool{}
		for _, id := range pages {
			opt.Pages[id] = true
		}
	}
	var out []string
	for _, line := range strings.Split(text(t, p, opt), "\n") {
		if len(line) > 15 {
			out = append(out, line[15:])
		}
	}
	return strings.Join(out, "\n")
}

func TestTheDemosSheetReadsAsBefore(t *testing.T) {
	got := text(t, theDemo(t), Options{Paper: "letter", Now: printed, Revision: "plan 1"})
	golden(t, "demo_letter.txt", got)
}

// golden compares a text of the sheet with the one kept.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); diff != "" {
		t.Errorf("the sheet changed (-was +is); look at it and run with -update if it is meant:\n%s", diff[:min(len(diff), 4000)])
	}
}

func TestTheSamePlanGivesTheSameBytes(t *testing.T) {
	var a, b bytes.Buffer
	opt := Options{Paper: "a4", Now: printed}
	for _, w := range []*bytes.Buffer{&a, &b} {
		if err := Write(w, theDemo(t), opt); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two sheets of one plan differ")
	}
}

func TestASheetThatCannotBeWrittenSaysWhy(t *testing.T) {
	if err := Write(&bytes.Buffer{}, nil, Options{}); !errors.Is(err, ErrNoPlan) {
		t.Errorf("without a plan: %v", err)
	}
	if err := Write(&bytes.Buffer{}, theDemo(t), Options{Pages: map[string]bool{"cover": false, "nonsense": true}}); !errors.Is(err, ErrNoPages) {
		t.Errorf("without a page: %v", err)
	}
	broken := errors.New("disk full")
	if err := Write(failing{broken}, theDemo(t), Options{}); !errors.Is(err, broken) {
		t.Errorf("a writer that fails: %v", err)
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

func TestEveryPageCanBePrintedAlone(t *testing.T) {
	for _, pg := range Pages() {
		t.Run(pg.ID, func(t *testing.T) {
			got := said(t, theDemo(t), pg.ID)
			if !strings.Contains(got, "Potting table") || !strings.Contains(got, "page 1 of ") {
				t.Errorf("the page lacks its head or foot:\n%s", got)
			}
		})
	}
}

// bare is a plan with nothing but its project.
func bare() *plan.Plan {
	return &plan.Plan{Project: &plan.Project{Shop: plan.DefaultShop()}}
}

func TestAPieceWithoutPartsStillHasATrueSheet(t *testing.T) {
	got := said(t, bare())
	for _, want := range []string{"The piece has no parts yet.", "No board of the pile is cut for this piece.", "Nothing is glued up before assembly.", "There are no steps yet.", "Nothing has to be bought."} {
		if !strings.Contains(got, want) {
			t.Errorf("the sheet does not say %q", want)
		}
	}
}

func TestAShortPileIsToldOnCoverPileCutsAndShoppingList(t *testing.T) {
	p := *theDemo(t)
	p.Cuts = plan.Cuts{Short: []plan.Short{{Blank: p.Blanks[0].Key, Count: 3, Say: "One more pallet would do."}}}
	p.GlueUps, p.Work, p.Ledger = nil, plan.Work{}, plan.Ledger{}
	blank := p.Blanks[0]
	if got := said(t, &p, "cover"); !strings.Contains(got, "3 of "+blank.Name) {
		t.Errorf("the cover does not say what is short:\n%s", got)
	}
	for _, page := range []string{"pile", "cuts", "shopping"} {
		got := said(t, &p, page)
		for _, want := range []string{"Missing wood", blank.Name, measure.Format(blank.Length, p.Project.Shop.Style()), "One more pallet"} {
			if !strings.Contains(got, want) {
				t.Errorf("%s does not say %q", page, want)
			}
		}
	}
}

func TestAPieceThatCannotBeSizedSaysWhatIsWrongOnEveryPage(t *testing.T) {
	p, err := demoProject()
	if err != nil {
		t.Fatal(err)
	}
	p = p.With(func(q *plan.Project) { q.Parts[0].Length = "no such measure" })
	made, err := plan.Make(context.Background(), p, quickTools(), nil)
	if err != nil {
		t.Fatal(err)
	}
	if made.Drawable() {
		t.Fatal("a length that can't be read was planned")
	}
	for _, pg := range Pages() {
		flat := strings.ReplaceAll(said(t, made, pg.ID), "\n", " ")
		if !strings.Contains(flat, made.Failure()) {
			t.Errorf("%s does not say %q:\n%s", pg.ID, made.Failure(), flat)
		}
	}
}

func TestLongBoardsTurnThePaperAndWhatFollowsStandsUprightAgain(t *testing.T) {
	p := *theDemo(t)
	p.Project = p.Project.With(func(q *plan.Project) {
		q.Boards = slices.Clone(q.Boards)
		for i := range q.Boards {
			if q.Boards[i].ID == p.Cuts.Boards[0].Board {
				q.Boards[i].Length = 3 * measure.Metre
			}
		}
	})
	d, err := lay(&p, Options{Paper: "a4", Pages: map[string]bool{"pile": true, "cuts": true, "parts": true}})
	if err != nil {
		t.Fatal(err)
	}
	turned := ""
	for i := range d.Pages() {
		if w, h := d.PageSize(i); w > h {
			turned += "L"
		} else {
			turned += "P"
		}
	}
	if trimmed := strings.Trim(turned, "P"); trimmed == "" || strings.Contains(trimmed, "P") || !strings.HasPrefix(turned, "P") || !strings.HasSuffix(turned, "P") {
		t.Errorf("the pages stand and lie as %s, want standing, lying, standing", turned)
	}
}

func TestProgressNamesEveryPageAndCanEndTheWriting(t *testing.T) {
	var told []string
	opt := Options{Progress: func(title string, n, of int) error {
		told = append(told, fmt.Sprintf("%d/%d %s", n, of, title))
		return nil
	}}
	if err := Write(io.Discard, theDemo(t), opt); err != nil {
		t.Fatal(err)
	}
	if len(told) != len(Pages()) || told[0] != "1/11 Cover and targets" {
		t.Errorf("told %q", told)
	}
	enough := errors.New("enough")
	opt.Progress = func(string, int, int) error { return enough }
	if err := Write(io.Discard, theDemo(t), opt); !errors.Is(err, enough) {
		t.Errorf("got %v", err)
	}
}

func TestEveryBoardIsPulledAndEveryBlankIsGivenOnce(t *testing.T) {
	p := theDemo(t)
	pile, cuts := said(t, p, "pile"), said(t, p, "cuts")
	for _, cb := range p.Cuts.Boards {
		board, _ := p.Project.Board(cb.Board)
		if !strings.Contains(pile, "\n"+board.Mark+"\n") {
			t.Errorf("board %s is not to be pulled", board.Mark)
		}
		if !strings.Contains(cuts, "Board "+board.Mark+" ") {
			t.Errorf("board %s has no cut page", board.Mark)
		}
	}
}

// The line of a cut must be an edge of wood that is kept, and the blade must run
// beside that wood, never in it.
func TestTheBladeRunsOnTheWasteSideOfTheLine(t *testing.T) {
	p := theDemo(t)
	b := newBook(p, Options{})
	for _, cb := range p.Cuts.Boards {
		for i, s := range cb.Saws {
			line, blade := b.sawLine(cb, s)
			kerf := p.Project.Shop.Kerf(map[bool]string{false: "crosscut", true: "rip"}[s.Rip])
			from, to := line, line+kerf
			if blade == "left" || blade == "above" {
				from, to = line-kerf, line
			}
			if from != s.At {
				t.Errorf("cut %d: line %v, blade %s is not the cut at %v", i+1, line, blade, s.At)
			}
			edge := false
			for _, c := range cb.Pieces {
				lo, hi, meets := c.X, c.X+c.Length, c.Y < s.To && c.Y+c.Width > s.From
				if s.Rip {
					lo, hi, meets = c.Y, c.Y+c.Width, c.X < s.To && c.X+c.Length > s.From
				}
				if meets && lo < to && hi > from {
					t.Errorf("cut %d runs through %s", i+1, c.Mark)
				}
				edge = edge || meets && (lo == line || hi == line)
			}
			for _, l := range cb.Leftovers {
				edge = edge || !s.Rip && (l.X == line || l.X+l.Length == line) || s.Rip && (l.Y == line || l.Y+l.Width == line)
			}
			if s.Stop > 0 && !edge {
				t.Errorf("cut %d at %v is no edge of anything kept", i+1, line)
			}
		}
	}
}

func TestEveryCopyHasALabelAndEveryJointItsNumber(t *testing.T) {
	p := theDemo(t)
	labels := said(t, p, "labels")
	for _, c := range p.Copies {
		if !strings.Contains(labels, "\n"+c.Mark+"\n") {
			t.Errorf("%s has no label", c.Mark)
		}
	}
	assembly := said(t, p, "assembly")
	for _, j := range p.Frame.Joints {
		if !strings.Contains(assembly, fmt.Sprintf("\n%d\n", j.Pair)) {
			t.Errorf("pair %d is not listed", j.Pair)
		}
	}
}

func TestOnlyTheCautionsOfTheStepsArePrinted(t *testing.T) {
	p := *theDemo(t)
	p.Work.Steps = []plan.Step{{Key: "a", Title: "Oil it", Machine: "bench", Cautions: []string{"oily-rags"}}}
	got := said(t, &p, "cautions")
	if !strings.Contains(got, "General cautions only.") || !strings.Contains(got, "Rags with drying oil") {
		t.Errorf("the lead or the caution is missing:\n%s", got)
	}
	if strings.Contains(got, "riving knife") || strings.Contains(got, "Unplug") {
		t.Errorf("a caution that no step asks for is printed:\n%s", got)
	}
}

func TestSessionsAddUpToTheCalendar(t *testing.T) {
	p := theDemo(t)
	steps := said(t, p, "steps")
	sum := 0.0
	for _, b := range p.Work.Timeline.Bars {
		sum += b.End.Sub(b.Start).Minutes()
	}
	if want := "all so far: " + newBook(p, Options{}).minutes(sum); !strings.Contains(steps, want) {
		t.Errorf("the last session does not end at %q", want)
	}
	for _, s := range p.Work.Steps {
		first, _, _ := strings.Cut(s.Title, ",")
		if !strings.Contains(steps, first) {
			t.Errorf("the step %q is not printed", s.Title)
		}
	}
}

func TestASplitStepIsPrintedAsItsParts(t *testing.T) {
	made := theDemo(t)
	i := slices.IndexFunc(made.Work.Steps, func(s plan.Step) bool {
		return s.Quantity >= 6 && s.Quantity == math.Trunc(s.Quantity) && strings.HasPrefix(s.Key, "mortise/")
	})
	if i < 0 {
		t.Fatal("the demo has no six mortises in a step")
	}
	whole := made.Work.Steps[i]
	p, err := made.Project.SplitStep(whole, []float64{2, whole.Quantity - 2})
	if err != nil {
		t.Fatal(err)
	}
	again, err := plan.Make(context.Background(), settled(p), quickTools(), nil)
	if err != nil {
		t.Fatal(err)
	}
	printed, parts := said(t, again, "steps"), 0
	for _, s := range again.Work.Steps {
		if s.Title != whole.Title && strings.HasPrefix(s.Title, whole.Title) {
			parts++
			if !strings.Contains(printed, s.Title) {
				t.Errorf("the sheet lacks %q", s.Title)
			}
		}
	}
	if parts != 2 {
		t.Errorf("%q is in %d parts, want 2", whole.Title, parts)
	}
}

func TestARevisionNamesAStateOfThePlan(t *testing.T) {
	p := theDemo(t)
	if Revision(p) != Revision(p) {
		t.Error("one plan has two revisions")
	}
	q := *p
	q.Project = p.Project.With(func(x *plan.Project) { x.Measures = slices.Clone(x.Measures); x.Measures[0].Text += " + 1 mm" })
	if Revision(p) == Revision(&q) {
		t.Error("another size has the same revision")
	}
}

func TestMarksAreWrittenInRuns(t *testing.T) {
	for _, c := range []struct {
		name string
		in   []string
		want string
	}{
		{"three that count up are a run", []string{"A1", "A2", "A3"}, "A1 to A3"},
		{"two stay two", []string{"A1", "A2", "B1"}, "A1, A2, B1"},
		{"a gap ends a run", []string{"A1", "A2", "A3", "A5"}, "A1 to A3, A5"},
		{"another letter ends a run", []string{"A9", "B10", "B11", "B12"}, "A9, B10 to B12"},
		{"what has no number stands alone", []string{"A", "B", "long"}, "A, B, long"},
		{"none is empty", nil, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := newBook(bare(), Options{}).marks(c.in); got != c.want {
				t.Errorf("marks(%v) = %q, want %q", c.in, got, c.want)
			}
		})
	}
}

// Worked by hand: the front apron C1 of the table ends in the right side of the
// front left leg B1, near its top. Its own end is no place to write on, so its
// number stands on the face that looks into the piece.
func TestPairNumbersStandWhereTheJointHidesThemOrInside(t *testing.T) {
	p := theDemo(t)
	for _, m := range p.Frame.Marking.Joints {
		if m.A.Copy != "B1" || m.B.Copy != "C1" {
			continue
		}
		leg, _ := p.Copy("B1")
		apron, _ := p.Copy("C1")
		if got := newBook(p, Options{}).spotWords(leg, m.A); got != "right face, upper end" {
			t.Errorf("on the leg: %q", got)
		}
		if got := newBook(p, Options{}).spotWords(apron, m.B); got != "back face, left end" {
			t.Errorf("on the apron: %q", got)
		}
		return
	}
	t.Fatal("the joint of B1 and C1 is not marked")
}

// Every starting point, planned as far as its first cuts from the demo's pile.
func TestEveryStartingPointHasASheetThatReaches(t *testing.T) {
	p, err := demoProject()
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range []string{"table", "bench", "stool", "shelf", "crate"} {
		t.Run(id, func(t *testing.T) {
			start, err := readStart(id)
			if err != nil {
				t.Fatal(err)
			}
			ctx, cancel := context.WithCancel(context.Background())
			defer cancel()
			made, err := plan.Make(ctx, p.NewPiece(start, "A "+id), quickTools(), func(*plan.Plan) { cancel() })
			if failed := new(plan.CheckError); errors.As(err, &failed) {
				t.Skipf("not the sheet's fault: %v", err)
			}
			if err != nil {
				t.Fatal(err)
			}
			d, err := lay(made, Options{Paper: "letter", Now: printed})
			if err != nil {
				t.Fatal(err)
			}
			for i, page := range d.Pages() {
				w, h := d.PageSize(i)
				if b := page.Bounds(); b.X0 < 5 || b.Y0 < 5 || b.X1 > w-5 || b.Y1 > h-5 {
					t.Errorf("page %d reaches from (%.1f, %.1f) to (%.1f, %.1f) on paper of %.0f x %.0f mm", i+1, b.X0, b.Y0, b.X1, b.Y1, w, h)
				}
			}
			if got := said(t, made, "labels"); strings.Count(got, "face up") != len(made.Copies) {
				t.Errorf("%d labels for %d copies", strings.Count(got, "face up"), len(made.Copies))
			}
		})
	}
}
