package drawing_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"pilewright/layout/drawing"
)

func TestTimeline(t *testing.T) {
	h := func(v float64) time.Duration { return time.Duration(v * float64(time.Hour)) }
	v := drawing.TimelineView{ShowNow: true, Now: h(25.2), Sessions: []drawing.Session{{"Mon 30", 0, h(3)}, {"Tue 1", h(24), h(26.5)}, {"Wed 2", h(48), h(51)}, {"Sat 5", h(110), h(115)}}}
	add := func(label string, done bool, s ...drawing.Stretch) {
		v.Bars = append(v.Bars, drawing.TimeBar{Ref: label, Label: label, Stretches: s, Done: done})
	}
	add("break down two pallets", true, drawing.Stretch{Kind: drawing.SettingUp, From: 0, To: h(.2)}, drawing.Stretch{From: h(.2), To: h(2)})
	add("crosscut blanks, mitre saw", true, drawing.Stretch{Kind: drawing.SettingUp, From: h(2), To: h(2.3)}, drawing.Stretch{From: h(2.3), To: h(3)})
	add("rip slats at the table saw with a very long name", false, drawing.Stretch{Kind: drawing.SettingUp, From: h(24), To: h(24.4)}, drawing.Stretch{From: h(24.4), To: h(25.5)})
	add("glue top", false, drawing.Stretch{From: h(25.5), To: h(26.5)}, drawing.Stretch{Kind: drawing.Waiting, From: h(26.5), To: h(49)})
	add("mortises", false, drawing.Stretch{Kind: drawing.SettingUp, From: h(48), To: h(48.5)}, drawing.Stretch{From: h(48.5), To: h(111)})
	add("oil, first coat", false, drawing.Stretch{From: h(111), To: h(112)}, drawing.Stretch{Kind: drawing.Waiting, From: h(112), To: h(115)})
	golden(t, "timeline", drawing.Timeline(v, drawing.Options{}))
}

func TestMakeUp(t *testing.T) {
	golden(t, "make_up", drawing.MakeUp(drawing.MakeUpView{Title: "Cost of the piece", Mark: 260, Text: "price 260.00", Shares: []drawing.Share{
		{Ref: "w", Label: "wood", Text: "18.40", Value: 18.4}, {Ref: "c", Label: "consumables", Text: "12.10", Value: 12.1}, {Ref: "m", Label: "machines and power", Text: "9.75", Value: 9.75},
		{Ref: "l", Label: "labour 9.5 h", Text: "142.50", Value: 142.5}, {Ref: "f", Label: "fees", Text: "13.00", Value: 13}, {Ref: "z", Label: "hardware", Text: "0.00", Value: 0}}}, drawing.Options{}))
}

func TestTargetsAndActuals(t *testing.T) {
	golden(t, "targets", drawing.TargetsAndActuals([]drawing.Against{
		{Ref: "1", Label: "break down", Target: 120, Actual: 95, Text: "1 h 35 of 2 h"},
		{Ref: "2", Label: "milling", Target: 180, Actual: 240, Text: "4 h of 3 h"},
		{Ref: "3", Label: "joinery", Target: 200, Actual: 60, Text: "1 h of 3 h 20", Running: true},
		{Ref: "4", Label: "finish", Target: 90, Text: "not begun"},
		{Ref: "5", Label: "unplanned", Actual: 30, Text: "30 min, no target"}}, drawing.Options{}))
}

func TestCurve(t *testing.T) {
	v := drawing.CurveView{Ref: "e", XTitle: "price", YTitle: "earned an hour", Across: []drawing.Guide{{0, "break-even"}, {18, "wish 18.00"}},
		Upright: []drawing.Guide{{97, "break-even at 97"}, {260, "price 260"}}, Dots: []drawing.Value{{X: 260, Y: (260*0.93 - 90) / 9.5}}}
	for x := 0.0; x <= 400; x += 20 {
		v.Values = append(v.Values, drawing.Value{X: x, Y: (x*0.93 - 90) / 9.5})
	}
	golden(t, "curve", drawing.Curve(v, drawing.Options{Width: 150}))
}

func TestRange(t *testing.T) {
	v := drawing.RangeView{YTitle: "profit", Across: []drawing.Guide{{110, "wished"}}}
	for i := range 9 {
		w := 80 * math.Pow(0.75, float64(i))
		v.Points = append(v.Points, drawing.RangePoint{Ref: fmt.Sprint(i), Label: fmt.Sprintf("%d Dec", i+1), Low: 120 - w + float64(i), Middle: 121 + 2*float64(i%3), High: 128 + w})
	}
	golden(t, "range", drawing.Range(v, drawing.Options{Width: 150}))
}

func TestChartsOfNothingAreEmpty(t *testing.T) {
	for name, p := range map[string]*drawing.Picture{
		"timeline": drawing.Timeline(drawing.TimelineView{}, drawing.Options{}),
		"make-up":  drawing.MakeUp(drawing.MakeUpView{Shares: []drawing.Share{{Value: 0}}}, drawing.Options{}),
		"targets":  drawing.TargetsAndActuals(nil, drawing.Options{}),
		"curve":    drawing.Curve(drawing.CurveView{Values: []drawing.Value{{X: math.NaN()}}}, drawing.Options{}),
		"range":    drawing.Range(drawing.RangeView{}, drawing.Options{}),
		"part":     drawing.Part(drawing.PartView{}, drawing.Options{}),
		"panel":    drawing.PanelRows(drawing.PanelView{}, drawing.Options{}),
		"joint":    drawing.Joint(drawing.JointView{}, drawing.Options{}),
	} {
		if len(p.Marks) != 0 {
			t.Errorf("%s: %d marks", name, len(p.Marks))
		}
	}
}
