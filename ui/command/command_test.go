package command_test

import (
	"bytes"
	"context"
	"encoding/json"
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
	if status != command.Short || !strings.Contains(out, `"complete":false`) || !strings.Contains(out, `{"part":"long","count":1}`) {
		t.Errorf("a blank longer than any board: status %d, %s", status, out)
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
	if !strings.Contains(fault, `board B1, defects: the split from 0" to 48" covers the whole board`) {
		t.Errorf("it says %q of the board that is split from end to end", fault)
	}
	if !strings.Contains(out, "crosscut, stop or fence at 20\"\n") || !strings.Contains(out, "2 boards, ") {
		t.Errorf("no order of cuts, or not of two boards:\n%s", out)
	}
	if n := strings.Count(out, "stop or fence at 20\""); n != 1 {
		t.Errorf("the stop at 20 in is set %d times, once is enough:\n%s", n, out)
	}
}
