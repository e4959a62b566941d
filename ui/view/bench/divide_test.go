package bench

import (
	"bytes"
	"strings"
	"testing"

	ics "github.com/arran4/golang-ical"

	"pilewright/layout/sheet"
	"pilewright/plan"
)

func TestASplitStepIsShownCalendaredExportedAndJoined(t *testing.T) {
	d, r, _ := atBench(t)
	var whole plan.Step
	for _, s := range r.plan().Work.Steps {
		if strings.HasPrefix(s.Key, "mortise/") && s.Undivided() == "" {
			whole = s
		}
	}
	if whole.Key == "" {
		t.Fatal("no step to split")
	}
	r.choose(whole.Key)
	if err := r.takeSplit(whole, "1 + 99"); err == nil {
		t.Error("more than there is was taken")
	}
	if err := r.takeSplit(whole, halves(whole)); err != nil {
		t.Fatal(err)
	}
	d.Settle()
	second, ok := r.plan().Work.Step(whole.Key + "#2")
	if !ok || second.Parts != 2 {
		t.Fatalf("there is no second part: %+v", second)
	}
	row := -1
	for i, s := range r.plan().Work.Steps {
		if s.Key == second.Key {
			row = i
		}
	}
	if text, _ := stepCell(r.plan(), r.now(), row, colTitle); !strings.Contains(text, "part 2 of 2") {
		t.Errorf("the table shows %q", text)
	}
	var out bytes.Buffer
	if err := writeICS(&out, r.plan(), r.now()); err != nil {
		t.Fatal(err)
	}
	c, err := ics.ParseCalendar(&out)
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	for _, e := range c.Events() {
		if strings.Contains(e.GetProperty(ics.ComponentPropertySummary).Value, "of 2") {
			found++
		}
	}
	if found < 2 {
		t.Errorf("%d events of the parts", found)
	}
	var csv bytes.Buffer
	if err := sheet.WriteCSV(&csv, "steps", r.plan()); err != nil || strings.Count(csv.String(), "of 2") != 2 {
		t.Errorf("the table of steps has %d parts, %v", strings.Count(csv.String(), "of 2"), err)
	}
	if _, err := d.Session().Undo(); err != nil {
		t.Fatal(err)
	}
	d.Settle()
	if s, _ := r.plan().Work.Step(whole.Key); s.Parts != 0 || s.Quantity != whole.Quantity {
		t.Errorf("undone it is %+v", s)
	}
	if _, err := d.Session().Redo(); err != nil {
		t.Fatal(err)
	}
	d.Settle()
	r.choose(second.Key)
	r.join()
	d.Settle()
	if s, _ := r.plan().Work.Step(whole.Key); d.Failed != nil || s.Parts != 0 {
		t.Errorf("joined: %v, %+v", d.Failed, s)
	}
}

func TestAStepThatStaysWholeSaysWhy(t *testing.T) {
	d, r, _ := atBench(t)
	for _, s := range r.plan().Work.Steps {
		if strings.HasPrefix(s.Key, "coat/") {
			r.choose(s.Key)
			r.split()
			if d.Failed == nil || !strings.Contains(d.Failed.Error(), "wet edge") {
				t.Errorf("%s: %v", s.Key, d.Failed)
			}
			return
		}
	}
	t.Fatal("no coat")
}
