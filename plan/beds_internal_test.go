package plan

import (
	"fmt"
	"testing"

	"pilewright/plan/measure"
)

func TestEvenBeds(t *testing.T) {
	rows := func(widths ...measure.Length) (out []PanelRow) {
		for _, w := range widths {
			out = append(out, PanelRow{Width: w * measure.Millimetre})
		}
		return out
	}
	for _, c := range []struct {
		name string
		rows []PanelRow
		bed  measure.Length
		want [][2]int
	}{
		{"two halves as even as rows allow", rows(100, 100, 100, 100), 330, [][2]int{{1, 2}, {3, 4}}},
		{"three runs", rows(120, 120, 120, 120, 120), 250, [][2]int{{1, 2}, {3, 4}, {5, 5}}},
		{"one row wider than the bed stays one", rows(100, 400), 330, [][2]int{{1, 1}, {2, 2}}},
		{"thirteen rows of 40 mm for 330 mm", rows(40, 40, 40, 40, 40, 40, 40, 40, 40, 40, 40, 40, 40), 330, [][2]int{{1, 7}, {8, 13}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := evenBeds(c.rows, c.bed*measure.Millimetre); fmt.Sprint(got) != fmt.Sprint(c.want) {
				t.Errorf("got %v, want %v", got, c.want)
			}
		})
	}
}
