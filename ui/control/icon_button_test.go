package control

import (
	"testing"

	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
)

func TestAButtonWithoutWordsSaysWhatItDoes(t *testing.T) {
	test.NewTempApp(t)
	said, taps := "before", 0
	b := NewIconButton(Icon("fit"), "Fit the drawing", func() { taps++ })
	b.OnMessage = func(text string) { said = text }
	w := test.NewTempWindow(t, b)

	b.MouseIn(&desktop.MouseEvent{})
	if said != "Fit the drawing" {
		t.Errorf("under the pointer it says %q", said)
	}
	b.MouseOut()
	if said != "" {
		t.Errorf("%q stays when the pointer is gone", said)
	}
	w.Canvas().Focus(b)
	if said != "Fit the drawing" {
		t.Errorf("with the keyboard it says %q", said)
	}
	w.Canvas().Unfocus()
	if said != "" {
		t.Errorf("%q stays when the keyboard is gone", said)
	}
	b.MouseIn(&desktop.MouseEvent{})
	test.Tap(b)
	said = "what the tap said"
	b.MouseOut()
	if said != "what the tap said" || taps != 1 {
		t.Errorf("after %d taps %q stands there", taps, said)
	}
}
