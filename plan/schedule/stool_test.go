package schedule

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"
)

// stool is the work of a small stool as a maker would write it down, one part
// after another. The times are made up for the test.
func stool() Problem {
	var ops []Operation
	add := func(id, machine, setup string, min int, after ...string) *Operation {
		ops = append(ops, Operation{ID: id, Machine: machine, Setup: setup, Time: minutes(min), After: after})
		return &ops[len(ops)-1]
	}
	add("break down pallets", "", "", 60)
	add("pull nails", "", "", 30, "break down pallets")
	for _, part := range []struct{ name, stop, fence string }{{"rails", "300", "60"}, {"legs", "450", "38"}, {"seat rows", "360", "60"}} {
		add("crosscut "+part.name, "mitre saw", "stop "+part.stop, 15, "pull nails")
		add("rip "+part.name, "table saw", "rip blade, fence "+part.fence, 20, "crosscut "+part.name)
		add("plane "+part.name, "planer", map[string]string{"legs": "36 mm"}[part.name]+map[string]string{"rails": "19 mm", "seat rows": "19 mm"}[part.name], 15, "rip "+part.name)
	}
	seat := add("glue seat", "", "", 30, "plane seat rows")
	seat.Whole, seat.Wait = true, 4*time.Hour
	add("mortise legs", "router", "6 mm bit", 60, "plane legs")
	add("tenon rails", "", "", 0, "plane rails").Methods = []Method{
		{"dado stack", "table saw", "dado stack", minutes(25)},
		{"by hand", "", "", minutes(70)},
	}
	add("dry fit", "", "", 20, "mortise legs", "tenon rails")
	frame := add("glue frame", "", "", 40, "dry fit")
	frame.Whole, frame.Wait, frame.RightAfter = true, 12*time.Hour, "dry fit"
	add("flatten seat", "planer", "19 mm", 15, "glue seat")
	add("sand", "sander", "120", 60, "glue frame", "flatten seat")
	add("fasten seat", "drill", "3 mm", 20, "sand")
	for k, before := range []string{"fasten seat", "coat 1", "coat 2"} {
		coat := add(fmt.Sprintf("coat %d", k+1), "", "", 20, before)
		coat.Whole, coat.Wait = true, 2*time.Hour
	}
	change := map[string]int{"dado stack": 25}
	return Problem{Operations: ops, Change: func(machine, _, to string) time.Duration {
		if m, ok := change[to]; ok {
			return minutes(m)
		}
		return map[string]time.Duration{"table saw": minutes(6), "planer": minutes(4), "mitre saw": minutes(3)}[machine] + time.Minute
	}}
}

func TestStoolFromPileToCalendar(t *testing.T) {
	week := evenings(zone(t, "Europe/Berlin"))
	start := time.Date(2026, 10, 20, 17, 0, 0, 0, week.Zone)
	p := stool()
	a, err := Arrange(context.Background(), p, week, start, ArrangeOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if v := CheckOrder(p, a.Answer.Order); v != nil {
		t.Error(v)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "part by part: %d set-ups, %v; least: %d, %v (proved: %v); saves %v\n", a.Answer.NaiveSetups, a.Answer.NaiveSetup, a.Answer.Setups, a.Answer.Setup, a.Answer.Status == Optimal, a.Answer.Saves())
	fmt.Fprintf(&b, "methods: %v\nno order can finish before %s\n", a.Answer.Chosen, a.Least.Format("Mon 02 Jan 15:04"))
	for _, o := range []Offer{a.Fewest, a.Soonest} {
		line := o.Timeline
		if v := CheckTimeline(Job{Problem: o.Problem, Week: week, Start: start}, line); v != nil {
			t.Error(v)
		}
		fmt.Fprintf(&b, "\n%d set-ups, %d sessions, finished %s, ready %s\n", line.Setups, len(line.Sessions), line.Finish.Format("Mon 02 Jan 15:04"), line.Ready.Format("Mon 02 Jan 15:04"))
		for i, s := range line.Sessions {
			fmt.Fprintf(&b, "%s-%s\n", s.Start.Format("Mon 02 Jan 15:04"), s.End.Format("15:04"))
			for _, bar := range line.Bars {
				if bar.Session != i {
					continue
				}
				what := bar.Step
				if bar.Kind == Change {
					what = "  set " + bar.Machine + ": " + bar.Setup
				}
				fmt.Fprintf(&b, "  %s-%s %s\n", bar.Start.Format("15:04"), bar.End.Format("15:04"), what)
			}
		}
		for _, w := range line.Waits {
			fmt.Fprintf(&b, "%s waits until %s\n", w.Step, w.End.Format("Mon 02 Jan 15:04"))
		}
	}
	golden(t, "stool.txt", b.String())
	var ics strings.Builder
	events := Events(a.Fewest.Timeline, func(step string, wait bool) (string, string) {
		if wait {
			return step + " rests", ""
		}
		return step, ""
	})
	if err := WriteICS(&ics, events, start, "shop.example", "Stool"); err != nil {
		t.Fatal(err)
	}
	golden(t, "stool.ics", ics.String())
}
