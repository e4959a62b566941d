package command_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pilewright/assets"
	"pilewright/layout"
	"pilewright/plan"
	"pilewright/plan/plantest"
	"pilewright/ui/command"
)

var day = time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)

// run runs one command line in a folder of its own, with a clock that stands and
// a plain text instead of the build sheet.
func run(t *testing.T, args ...string) (status int, stdout, stderr string) {
	t.Helper()
	return runWith(t, plantest.FirstCut(layout.Tools(day)), args...)
}

// runWith is run with these solvers. The tests of the solver are elsewhere.
func runWith(t *testing.T, tools plan.Tools, args ...string) (status int, stdout, stderr string) {
	t.Helper()
	var out, fault bytes.Buffer
	env := command.Env{
		Stdout: &out, Stderr: &fault, Now: func() time.Time { return day }, DataDir: t.TempDir(),
		Tools: func(*plan.Project) plan.Tools { return tools },
		Starts: func(id string) (plan.Start, error) {
			return plan.OpenStart(assets.Starts, id)
		},
		Sheet: func(w io.Writer, p *plan.Plan, paper string) error {
			_, err := fmt.Fprintf(w, "%s on %s%s", p.Project.Piece.Name, paper, p.Words.Tag())
			return err
		},
	}
	status = command.Run(context.Background(), args, env)
	return status, out.String(), fault.String()
}

func file(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestDemoWithoutADisplayPlansAndWritesTheSheet(t *testing.T) {
	dir := t.TempDir()
	shop, sheet := filepath.Join(dir, "d.pile"), filepath.Join(dir, "d.pdf")
	status, out, fault := run(t, "demo", "-shop", shop, "-no-window", "-o", sheet)
	if status != command.Done || fault != "" {
		t.Fatalf("status %d, %q\n%s", status, fault, out)
	}
	if text, err := os.ReadFile(sheet); err != nil || string(text) != "Potting table on letter" {
		t.Errorf("sheet %q, %v", text, err)
	}
	for _, want := range []string{"Potting table", "Cuts:", "Every blank is made", "an hour earns about"} {
		if !strings.Contains(out, want) {
			t.Errorf("the summary lacks %q:\n%s", want, out)
		}
	}
	if status, out, _ := run(t, "list", "-shop", shop); status != 0 || out != "Herb shelf\nPotting table\n" {
		t.Errorf("list: %d %q", status, out)
	}
	if status, out, fault := run(t, "check", "-shop", shop); status != 0 || !strings.Contains(out, "sound") {
		t.Errorf("check: %d %q %q", status, out, fault)
	}
	if status, _, fault := run(t, "sheet", "-shop", shop, "-piece", "Potting table", "-o", sheet, "-language", "es-MX"); status != command.Done {
		t.Errorf("sheet in Spanish: %d %q", status, fault)
	}
	if text, _ := os.ReadFile(sheet); string(text) != "Potting table on letteres-MX" {
		t.Errorf("sheet in Spanish: %q", text)
	}
	status, out, _ = run(t, "plan", "-shop", shop, "-piece", "potting table", "-json")
	var got struct {
		Piece    string
		Complete bool
		Parts    []struct {
			Mark   string
			Copies int
		}
		Steps []struct{ Key string }
	}
	if err := json.Unmarshal([]byte(out), &got); err != nil || status != 0 {
		t.Fatalf("plan -json: %d, %v", status, err)
	}
	if got.Piece != "Potting table" || !got.Complete || len(got.Parts) != 8 || got.Parts[1].Copies != 4 || len(got.Steps) < 20 {
		t.Errorf("plan -json: %+v", got)
	}
	if status, _, fault := run(t, "sheet", "-shop", shop, "-piece", "Herb shelf", "-o", filepath.Join(dir, "h.pdf"), "-paper", "a4"); status > command.Short {
		t.Errorf("sheet: %d %q", status, fault)
	}
}

func TestBadUseIsASentenceAndWritesNothing(t *testing.T) {
	boards := file(t, "b.csv", "board,length,width,thickness\nB1,48,5.5,7/8\n")
	parts := file(t, "p.csv", "part,count,length,width,thickness\nleg,2,20,2,3/4\n")
	out := filepath.Join(t.TempDir(), "never.pdf")
	shop := filepath.Join(t.TempDir(), "none.pile")
	text := file(t, "text.pile", "this is no shop file, only a text that is long enough to be read")
	for _, tt := range []struct {
		name string
		args []string
		want string
	}{
		{"unknown command", []string{"saw"}, "no command"},
		{"unknown flag", []string{"list", "-shops", "x"}, "not defined"},
		{"missing flag", []string{"sheet", "-shop", shop}, "-piece is missing"},
		{"missing file", []string{"list", "-shop", shop}, "no such file"},
		{"foreign file", []string{"list", "-shop", text}, "not a Pilewright shop file"},
		{"paper", []string{"sheet", "-shop", shop, "-piece", "x", "-o", out, "-paper", "a5"}, "letter or a4"},
		{"language", []string{"sheet", "-shop", shop, "-piece", "x", "-o", out, "-language", "la"}, "en or es"},
		{"no window without a display", []string{"-shop", shop}, "no display"},
		{"kerf", []string{"cuts", "-boards", boards, "-parts", parts, "-rip-kerf", "wide"}, "-rip-kerf"},
		{"effort", []string{"cuts", "-boards", boards, "-parts", parts, "-effort", "-1s"}, "-effort"},
		{"boards missing", []string{"cuts", "-boards", shop, "-parts", parts}, "can't be read"},
		{"a bad length names row and field", []string{"cuts", "-boards", file(t, "x.csv", "board,length,width,thickness\nB1,48,5.5,7/8\nB2,long,4,1\n"), "-parts", parts}, "row 3, length"},
		{"a zero count", []string{"cuts", "-boards", boards, "-parts", file(t, "y.csv", "part,count,length,width\nleg,0,20,2\n")}, "row 2, count"},
		{"a defect off the board", []string{"cuts", "-parts", parts, "-boards", file(t, "z.csv", "board,length,width,thickness,defects\nB1,48,5.5,7/8,split@40..60\n")}, "row 2, defects"},
		{"a unit", []string{"cuts", "-boards", boards, "-parts", parts, "-unit", "cm"}, "-unit must be in or mm"},
		{"a shortest piece less than nothing", []string{"cuts", "-boards", boards, "-parts", parts, "-shortest", "-3"}, "-shortest must be from nothing"},
		{"a kerf wider than any strip", []string{"cuts", "-boards", boards, "-parts", parts, "-rip-kerf", "9in"}, "-rip-kerf"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			status, stdout, fault := run(t, tt.args...)
			if status != command.Misuse || !strings.Contains(fault, tt.want) || stdout != "" {
				t.Errorf("status %d, stderr %q, stdout %q; want 2 and %q", status, fault, stdout, tt.want)
			}
			if strings.Count(strings.TrimSpace(fault), "\n") > 3 || !strings.HasSuffix(strings.TrimSpace(fault), ".") {
				t.Errorf("not a sentence: %q", fault)
			}
		})
	}
	if _, err := os.Stat(out); err == nil {
		t.Error("a sheet was written")
	}
}

// Hand-worked: from 48 in with 1/8 in kerf come two blanks of 20 in (20 + 1/8 +
// 20 = 40 1/8), a third does not fit; side by side, two of 2 1/2 in fit a 5 1/2 in
// board (2 1/2 + 1/8 + 2 1/2 = 5 1/8).
func TestCutsPrintsTheContract(t *testing.T) {
	boards := file(t, "b.csv", "board,count,length,width,thickness,species,price\nB01,2,48,5 1/2,7/8,pine,2.50\n")
	parts := file(t, "p.csv", "part,count,length,width,thickness,species,grade\nP1,4,20,2 1/2,3/4,pine,show\n")
	status, out, fault := run(t, "cuts", "-boards", boards, "-parts", parts, "-json")
	if status != command.Done {
		t.Fatalf("status %d: %s", status, fault)
	}
	var got map[string]any
	if err := json.Unmarshal([]byte(out), &got); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"complete", "short", "boards", "boards_opened", "wood_opened_mm2", "price", "bound", "proved", "seconds"} {
		if _, ok := got[key]; !ok {
			t.Errorf("%q is missing", key)
		}
	}
	if got["complete"] != true || got["boards_opened"] != 1.0 || got["price"] != "2.5" || got["wood_opened_mm2"] != "170322.24" { // 48 x 5.5 in² = 264 x 645.16 mm²
		t.Errorf("%v", got)
	}
	bound := got["bound"].(map[string]any)
	if bound["price"] != "2.5" || bound["wood_opened_mm2"] != "170322.24" || got["proved"] != true {
		t.Errorf("bound %v, proved %v", bound, got["proved"])
	}

	status, out, _ = run(t, "cuts", "-boards", boards, "-parts", file(t, "q.csv", "part,count,length,width\nlong,1,60,2\nP1,1,20,2\n"), "-json")
	if status != command.Short || !strings.Contains(out, `"complete":false`) || !strings.Contains(out, `{"part":"long","count":1,`) {
		t.Errorf("a blank longer than any board: status %d, %s", status, out)
	}
}

// refuted is a proof that does not hold.
type refuted struct{}

func (refuted) Check(context.Context) error {
	return errors.New("wood: the proof gives 3, 4 is claimed")
}

func TestCutsHasItsProofReckonedAnewWhenAsked(t *testing.T) {
	boards := file(t, "b.csv", "board,count,length,width,thickness\nB01,3,48,5 1/2,7/8\n")
	parts := file(t, "p.csv", "part,count,length,width\nP1,5,20,2 1/2\n")
	tools := layout.Tools(day)
	status, out, fault := runWith(t, tools, "cuts", "-boards", boards, "-parts", parts, "-check-proof")
	if status != command.Done || !strings.Contains(out, "The proof was reckoned anew") {
		t.Errorf("status %d, %s%s", status, out, fault)
	}
	if status, out, _ = runWith(t, tools, "cuts", "-boards", boards, "-parts", parts, "-json"); status != command.Done || !strings.Contains(out, `"proof_checked":false`) {
		t.Errorf("not asked for: status %d, %s", status, out)
	}
	ply := file(t, "s.csv", "board,length,width,thickness,sheet\nS1,48,24,1/2,yes\n")
	shelf := file(t, "q.csv", "part,count,length,width,sheet\nshelf,2,20,10,yes\n")
	if status, out, fault = runWith(t, tools, "cuts", "-boards", ply, "-parts", shelf, "-check-proof"); status != command.Done || !strings.Contains(out, "No proof could be checked") {
		t.Errorf("sheets alone: status %d, %s%s", status, out, fault)
	}
	full := tools.Cut
	tools.Cut = func(ctx context.Context, job plan.CutJob, better func(plan.Cuts)) (plan.Cuts, error) {
		c, err := full(ctx, job, better)
		c.Proof = refuted{}
		return c, err
	}
	if status, out, fault = runWith(t, tools, "cuts", "-boards", boards, "-parts", parts, "-check-proof"); status == command.Done || out != "" || !strings.Contains(fault, "The proof does not hold: wood") {
		t.Errorf("a proof that does not hold: status %d, %s%s", status, out, fault)
	}
}

func TestAPlanThatFailsItsCheckLeavesAReport(t *testing.T) {
	dir := t.TempDir()
	shop, sheet := filepath.Join(dir, "d.pile"), filepath.Join(dir, "d.pdf")
	tools := plantest.FirstCut(layout.Tools(day))
	tools.Check = func(plan.CutJob, plan.Cuts) []string { return []string{"a kerf is missing"} }
	status, out, fault := runWith(t, tools, "demo", "-shop", shop, "-no-window", "-o", sheet)
	if status == command.Done || out != "" {
		t.Errorf("status %d, %s", status, out)
	}
	if _, err := os.Stat(sheet); err == nil {
		t.Error("a sheet of the plan was written")
	}
	reports, err := filepath.Glob(shop + ".reports/*.json")
	if err != nil || len(reports) != 1 || !strings.Contains(fault, reports[0]) {
		t.Fatalf("reports %q, %v; told: %s", reports, err, fault)
	}
	if body, err := os.ReadFile(reports[0]); err != nil || !strings.Contains(string(body), "a kerf is missing") || strings.Contains(string(body), "Potting") {
		t.Errorf("the report: %.300s, %v", body, err)
	}
}

func TestCutsPrintsTheOrderOfCutsAndNamesABoardThatADefectCovers(t *testing.T) {
	boards := file(t, "b.csv", "board,count,length,width,thickness,defects\nB1,1,48,5.5,7/8,split@0..48\nB2,2,48,5.5,7/8,\n")
	parts := file(t, "p.csv", "part,count,length,width,thickness\nleg,4,20,5 1/2,3/4\n")
	status, out, fault := run(t, "cuts", "-boards", boards, "-parts", parts)
	if status != command.Done {
		t.Fatalf("status %d: %s", status, fault)
	}
	if !strings.Contains(fault, `b.csv: row 2, defects: board B1: the split from 0" to 48" covers the whole board`) {
		t.Errorf("it says %q of the board that is split from end to end", fault)
	}
	if !strings.Contains(out, "crosscut, stop or fence at 20\"\n") || !strings.Contains(out, "2 boards, ") {
		t.Errorf("no order of cuts, or not of two boards:\n%s", out)
	}
	if n := strings.Count(out, "stop or fence at 20\""); n != 1 {
		t.Errorf("the stop at 20 in is set %d times, once is enough:\n%s", n, out)
	}
}

// Every sentence about a bad list names the file, the row and the field.
func TestBadListsOfCutsNameFileRowAndField(t *testing.T) {
	const b, p = "board,count,length,width,thickness,price,trim_left,defects,keep\n", "part,count,length,width,board,widths,total\n"
	const goodB, goodP = b + "B1,2,48,5.5,7/8,,,,\n", p + "leg,2,20,2,,,\n"
	many := b
	for range 30 {
		many += "B,1,10,-1,1,,,,\n"
	}
	for _, tt := range []struct {
		name, boards, parts string
		want                []string
	}{
		{"a blank of no length", goodB, p + "leg,2,20,2,,,\nrail,1,0,2,,,\n", []string{"p.csv: row 3, length: "}},
		{"a blank of a negative width", goodB, p + "leg,2,20,-2,,,\n", []string{"p.csv: row 2, width: "}},
		{"a board of a negative thickness", b + "B1,1,48,5.5,-1,,,,\n", goodP, []string{"b.csv: row 2, thickness: "}},
		{"a blank a nanometre long", goodB, p + "leg,2,20,2,,,\nrail,1,0.000001 mm,2,,,\n", []string{`p.csv: row 3, length: 0.000001 mm is shorter than the crosscut kerf of 1/8"`}},
		{"a blank narrower than the kerf", goodB, p + "leg,2,20,1/16,,,\n", []string{`p.csv: row 2, width: 1/16" is narrower than the rip kerf of 1/8"`}},
		{"a strip narrower than the kerf", goodB, p + "top,,20,,,1;1/16,5\n", []string{`p.csv: row 2, widths: 1/16" is narrower than the rip kerf of 1/8"`}},
		{"sizes to the nanometre", b + "B1,3,99999.999999 mm,99999.999999 mm,1,,,,\n", p + "leg,1,20.000001 mm,2,,,\n",
			[]string{"b.csv: row 2, length: 99999.999999 mm is given too finely", "b.csv: row 2, width: ", "p.csv: row 2, length: 20.000001 mm is given too finely"}},
		{"a million boards", b + "B1,1000000,48,5.5,1,,,,\n", goodP, []string{`b.csv: row 2, count: "1000000" is not a count`}},
		{"a million blanks", goodB, p + "leg,1000000,20,2,,,\n", []string{`p.csv: row 2, count: "1000000" is not a count`}},
		{"blanks that add up to too many", goodB, p + "leg,200000,20,2,,,\nrail,1,20,2,,,\n", []string{"p.csv: row 3, count: there are more than 200000 blanks"}},
		{"a count that would overflow", goodB, p + "leg,99999999999999999999,20,2,,,\n", []string{"p.csv: row 2, count: "}},
		{"a length that would overflow", goodB, p + "leg,1,9223372036854775807 mm,2,,,\n", []string{"p.csv: row 2, length: ", "beyond 1 km"}},
		{"a price that would overflow", b + "B1,1,48,5.5,1,99999999999999999,,,\n", goodP, []string{"b.csv: row 2, price: "}},
		{"a defect off the board", b + "B1,1,48,5.5,1,,,split@40..60,\n", goodP, []string{"b.csv: row 2, defects: "}},
		{"a defect above the board", b + "B1,1,48,5.5,1,,,knot@4..6:5..6,\n", goodP, []string{"b.csv: row 2, defects: "}},
		{"trims of the whole board", b + "B1,1,48,5.5,1,,48,,\n", goodP, []string{"b.csv: row 2, trim_left: "}},
		{"a board that is not there", goodB, p + "leg,2,20,2,B9,,\n", []string{"p.csv: row 2, board: there is no board B9"}},
		{"one of two boards", goodB, p + "leg,2,20,2,B1,,\n", []string{"p.csv: row 2, board: there are 2 boards B1; write B1 (1)"}},
		{"a board that is kept", b + "B1,1,48,5.5,1,,,,yes\n", p + "leg,2,20,2,b1,,\n", []string{"p.csv: row 2, board: board b1 is kept whole"}},
		{"many bad rows", many, goodP, []string{"b.csv: row 2, width: ", "and "}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			status, stdout, fault := run(t, "cuts", "-boards", file(t, "b.csv", tt.boards), "-parts", file(t, "p.csv", tt.parts))
			if status != command.Misuse || stdout != "" {
				t.Errorf("status %d, %q", status, stdout)
			}
			for _, want := range tt.want {
				if !strings.Contains(fault, want) {
					t.Errorf("it says %q, without %q", fault, want)
				}
			}
			if lines := strings.Count(fault, "\n"); lines > 22 || !strings.HasSuffix(fault, ".\n") {
				t.Errorf("%d lines: %q", lines, fault)
			}
		})
	}
}

// By hand, in millimetres with a kerf of 3: both legs are locked to the second board
// B1; the strips of the top are two of 60 mm or three, less 1 for each joint; the 500 mm
// panel is longer than the sheet is wide, so it lies along it; B3 is kept, so the 900 mm rail lacks.
func TestEverythingOfTheCutsRoomGoesInAndComesOutByFile(t *testing.T) {
	boards := file(t, "b.csv", "board,count,length,width,thickness,species,price,trim_left,defects,sheet,keep\n"+
		"B1,2,800,110,20,pine,1.5,10,nail@12..20:105..110,,\nS1,1,600,400,12,ply,9,,,no grain,\nB3,1,1000,110,20,pine,,,,,yes\n")
	parts := file(t, "p.csv", "part,count,length,width,thickness,species,grade,board,sheet,widths,total,rows,joint\n"+
		"leg,2,250,40,20,pine,show,B1 (2),,,,,\npanel,1,300,500,12,,,,yes,,,,\ntop,,200,,20,pine,,,,60;40,118,,1\nslat,,150,,18,,hidden,,,45,,2,\nrail,1,900,40,20,pine,,,,,,,\n")
	args := []string{"cuts", "-boards", boards, "-parts", parts, "-unit", "mm", "-crosscut-kerf", "3", "-rip-kerf", "3", "-plane-limit", "5", "-shortest", "180", "-leftover", "200", "-effort", "1s"}
	tools := plantest.FirstCut(layout.Tools(day))
	cut := tools.Cut
	tools.Cut = func(ctx context.Context, job plan.CutJob, better func(plan.Cuts)) (plan.Cuts, error) {
		c, err := cut(ctx, job, better)
		for i, s := range c.Short {
			c.Short[i].Say = fmt.Sprintf("%d of the %s: a board of %s is wanted.", s.Count, s.Blank, job.Say(job.Blanks[4].Length))
		}
		return c, err
	}
	status, out, fault := runWith(t, tools, args...)
	if status != command.Short || fault != "" {
		t.Fatalf("status %d: %s%s", status, out, fault)
	}
	for _, want := range []string{"B1 (2)\n", "leg.1 ", "leg.2 ", "panel.1 ", ": 500 mm x 300 mm\n", "top.2 ", "slat.2 ", "Short: 1 of the rail: a board of 900 mm is wanted.\n", "Set-up 1: ", "stop or fence at 250 mm", ", frees leg1", " m² opened, price 1", "One blank can't be made: proved"} {
		if !strings.Contains(out, want) {
			t.Errorf("without %q:\n%s", want, out)
		}
	}
	status, out, _ = runWith(t, tools, append(args, "-json")...)
	var got struct {
		Boards []struct {
			Board  string
			Copy   int
			Pieces []struct{ Part string }
		}
		Short  []struct{ Part, Say string }
		Levels []struct {
			Kind   string
			Proved bool
		}
		Cuts     []struct{ Board string }
		Sentence string
	}
	if err := json.Unmarshal([]byte(out), &got); err != nil || status != command.Short {
		t.Fatalf("status %d, %v: %s", status, err, out)
	}
	for _, b := range got.Boards {
		for _, p := range b.Pieces {
			if p.Part == "leg" && (b.Board != "B1" || b.Copy != 2) || b.Board == "B3" {
				t.Errorf("%s comes from %s (%d)", p.Part, b.Board, b.Copy)
			}
		}
	}
	if len(got.Short) != 1 || got.Short[0].Part != "rail" || got.Short[0].Say == "" || len(got.Levels) < 4 || len(got.Cuts) < 6 || got.Sentence == "" {
		t.Errorf("%+v", got)
	}
}

// By hand: 150 mm is cut 180 mm long, a kerf of 3 leaves 617 of 800 mm; 20 mm is not
// planed down to 10 where 5 is the limit.
func TestCutsKeepsToThePlanerAndTellsTheLeftover(t *testing.T) {
	boards := file(t, "b.csv", "length,width,thickness\n800,110,20\n")
	parts := file(t, "p.csv", "part,length,width,thickness\nbit,150,110,15\nthin,150,110,10\n")
	status, out, _ := run(t, "cuts", "-boards", boards, "-parts", parts, "-unit", "mm", "-crosscut-kerf", "3", "-plane-limit", "5", "-shortest", "180", "-leftover", "200")
	if status != command.Short {
		t.Fatalf("status %d: %s", status, out)
	}
	for _, want := range []string{"bit1 leaves the saw 180 mm long and is parted after planing\n", "leftover   at 183 mm across 0 mm: 617 mm x 110 mm\n", "frees bit1, after planing\n", "Short: 1 x thin\n"} {
		if !strings.Contains(out, want) {
			t.Errorf("without %q:\n%s", want, out)
		}
	}
}

func TestTheHelpOfCutsTellsEveryFlagAndColumn(t *testing.T) {
	status, out, fault := run(t, "cuts", "-help")
	if status != command.Done || fault != "" {
		t.Fatalf("status %d, %q", status, fault)
	}
	for _, want := range []string{"-boards", "-parts", "-unit", "-crosscut-kerf", "-rip-kerf", "-plane-limit", "-shortest", "-leftover", "-effort", "-json", "-check-proof",
		"board", "count", "species", "price", "trim_left", "trim_right", "defects", "faces", "sheet", "keep", "part", "grade", "widths", "total", "joint", "rows", "Exit status"} {
		if !strings.Contains(out, want) {
			t.Errorf("the help lacks %q", want)
		}
	}
}
