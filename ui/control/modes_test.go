package control

import (
	"testing"

	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"
)

func TestOneModeIsDownAndAPressReportsIt(t *testing.T) {
	test.NewTempApp(t)
	var got []int
	m := NewModes([]string{"all", "one", "none"}, func(at int) { got = append(got, at) })
	test.NewTempWindow(t, m)
	down := func() (n, at int) {
		for i, b := range m.buttons {
			if b.Importance == widget.HighImportance {
				n, at = n+1, i
			}
		}
		return n, at
	}
	if n, at := down(); n != 1 || at != 0 || m.At() != 0 {
		t.Errorf("%d buttons are down, number %d; At is %d", n, at, m.At())
	}
	test.Tap(m.buttons[2])
	m.Press(1)
	m.Set(2) // by the owner: not reported
	if n, at := down(); n != 1 || at != 2 || m.At() != 2 {
		t.Errorf("%d buttons are down, number %d; At is %d", n, at, m.At())
	}
	if len(got) != 2 || got[0] != 2 || got[1] != 1 {
		t.Errorf("reported %v, want 2 and 1", got)
	}
}
