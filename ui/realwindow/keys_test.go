//go:build linux

package realwindow

import (
	"path/filepath"
	"testing"
	"time"
)

func TestEscapeClosesADialogWhateverInItHasTheKeyboard(t *testing.T) {
	if testing.Short() {
		t.Skip("the program is built and run on a display of its own")
	}
	d := newDesktop(t)
	p := d.open(build(t), "demo", "-shop", filepath.Join(t.TempDir(), "demo.pile"))
	first := p.screen()
	p.key("ctrl+5")
	p.until(20*time.Second, "the room is entered", func() bool { return changed(first, p.screen(), 0.08, 0.1, 0.78, 0.9) > 0.05 })
	time.Sleep(2 * time.Second) // for the room to settle; the plan may change further
	before := p.screen()
	bar := func() float64 { return changed(before, p.screen(), 0, 0.06, 1, 0.1) } // a dialog's shade lies on it
	rail := func() bool { return changed(before, p.screen(), 0, 0.1, 0.06, 0.9) < 0.002 }
	for _, c := range []struct {
		name string
		open func()
		keys []string
	}{
		{"an entry of a question", func() { p.command("split the step") }, nil},
		{"a button, reached by Tab", func() { p.key("ctrl+n") }, []string{"Tab", "Tab"}},
		{"the name of a file to save", func() { p.command("copy the shop file") }, []string{"Tab"}},
		{"nothing in it at the keyboard", func() { p.command("machines blades") }, nil},
	} {
		c.open()
		p.until(20*time.Second, "a dialog with "+c.name+" opens", func() bool { return bar() > 0.2 })
		time.Sleep(time.Second)            // the list of commands shades the room too, and goes first
		p.key(append(c.keys, "ctrl+1")...) // the room behind stays
		p.key("Escape")
		p.until(20*time.Second, "Escape closes the dialog with "+c.name, func() bool { return bar() < 0.01 && rail() })
	}
	p.quit()
}
