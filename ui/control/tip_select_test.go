package control

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
)

func TestATipSelectSaysWhatItIsForAndHoldsItsOptions(t *testing.T) {
	test.NewTempApp(t)
	said, chosen := "", ""
	s := NewTipSelect([]string{"one", "a much longer choice than the first"}, "which of them", func(text string) { chosen = text })
	s.OnMessage = func(text string) { said = text }
	s.PlaceHolder = "which"
	if wide := fyne.MeasureText(s.Options[1], 14, fyne.TextStyle{}).Width; s.MinSize().Width < wide {
		t.Errorf("it is %v wide, its longest choice %v", s.MinSize().Width, wide)
	}
	s.MouseIn(nil)
	if said != "which of them" {
		t.Errorf("under the pointer it says %q", said)
	}
	s.MouseOut()
	if said != "" {
		t.Errorf("left by the pointer it says %q", said)
	}
	s.Pick("one")
	if s.Selected != "one" || chosen != "" {
		t.Errorf("shown %q, reported %q", s.Selected, chosen)
	}
	s.MouseIn(nil)
	s.SetSelected(s.Options[1])
	said = "what came of it"
	s.MouseOut()
	if chosen != s.Options[1] || said != "what came of it" {
		t.Errorf("reported %q, then said %q", chosen, said)
	}
}
