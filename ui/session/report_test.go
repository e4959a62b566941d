package session_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pilewright/plan"
	"pilewright/storage"
	"pilewright/ui/session"
)

// reportOf reads the one report beside the bench's shop file, and fails unless
// the finding tells where it is.
func reportOf(t *testing.T, b *bench, f plan.Finding) string {
	t.Helper()
	dir := storage.ReportDir(b.file.Path())
	list, err := os.ReadDir(dir)
	if err != nil || len(list) != 1 {
		t.Fatalf("%d reports, %v", len(list), err)
	}
	at := filepath.Join(dir, list[0].Name())
	if info, err := os.Stat(at); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("%s: %v, %v", at, info.Mode(), err)
	}
	if !strings.Contains(f.Do, at) {
		t.Errorf("the finding does not tell where the report is: %+v", f)
	}
	body, err := os.ReadFile(at)
	if err != nil {
		t.Fatal(err)
	}
	return string(body)
}

func TestAPlanThatFailsItsCheckLeavesAReportToSend(t *testing.T) {
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	b := newBench(t)
	b.settle()
	good := b.Plan()
	b.planner.fault = "piece A1 lies off its board"
	b.name("Zanzibar")
	b.settle()
	if b.Plan() != good || !b.Stale() {
		t.Error("the last good plan is not the one shown")
	}
	if len(b.Findings()) != 1 || b.Findings()[0].Severity != plan.Stop || b.Findings()[0].Subject.Room != "cuts" {
		t.Fatalf("findings %+v", b.Findings())
	}
	body := reportOf(t, b, b.Findings()[0])
	var report struct {
		What    string
		Faults  []string
		Records []struct{ Kind plan.Kind }
	}
	if err := json.Unmarshal([]byte(body), &report); err != nil {
		t.Fatal(err)
	}
	boards := 0
	for _, r := range report.Records {
		if r.Kind == plan.KindBoard {
			boards++
		}
	}
	if report.What != "cuts" || len(report.Faults) != 1 || report.Faults[0] != b.planner.fault || boards != 3 {
		t.Errorf("the report holds %+v", report)
	}
	for _, secret := range []string{"Zanzibar", b.file.Path(), "Rack"} {
		if strings.Contains(body, secret) {
			t.Errorf("the report tells %q", secret)
		}
	}
	b.planner.fault = ""
	b.name("x")
	b.settle()
	for _, f := range b.Findings() {
		if f.Refused != nil {
			t.Errorf("after a good plan the finding stays: %+v", f)
		}
	}
	if b.Stale() || b.Failure() != "" {
		t.Errorf("after a good plan: stale %v, failure %q", b.Stale(), b.Failure())
	}
}

// The search's last answer is broken, one before it was good.
func TestAFurtherPlanThatFailsItsCheckLeavesAReportToo(t *testing.T) {
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	b := newBench(t)
	b.settle()
	b.Close()
	tools := b.planner.tools()
	tools.Check = func(job plan.CutJob, c plan.Cuts) []string {
		if c.Final && !job.First {
			return []string{"a kerf is missing"}
		}
		return nil
	}
	var err error
	if b.Session, err = session.New(b.file, b.Project().Piece.ID, tools, b.queue.post, clock); err != nil {
		t.Fatal(err)
	}
	b.settle()
	if b.Plan() == nil || b.Stale() || b.Failure() != "" {
		t.Fatalf("the good plan is not shown: %v, %q", b.Plan(), b.Failure())
	}
	var told []plan.Finding
	for _, f := range b.Findings() {
		if f.Refused != nil {
			told = append(told, f)
		}
	}
	if len(told) != 1 {
		t.Fatalf("findings %+v", b.Findings())
	}
	if body := reportOf(t, b, told[0]); !strings.Contains(body, "a kerf is missing") {
		t.Errorf("the report holds %s", body)
	}
}

// A report that can't be written anywhere takes nothing from the finding.
func TestAReportThatCanNotBeWrittenIsTold(t *testing.T) {
	b := newBench(t)
	b.settle()
	for _, dir := range []string{storage.ReportDir(b.file.Path()), filepath.Join(filepath.Dir(b.file.Path()), "cache")} {
		if err := os.WriteFile(dir, nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	t.Setenv("XDG_CACHE_HOME", filepath.Join(filepath.Dir(b.file.Path()), "cache"))
	b.planner.fault = "piece A1 lies off its board"
	b.name("x")
	b.settle()
	if len(b.Findings()) != 1 || !strings.Contains(b.Findings()[0].Do, "could not be written") {
		t.Errorf("findings %+v", b.Findings())
	}
}
