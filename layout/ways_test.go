package layout_test

import (
	"testing"

	"pilewright/plan"
)

// Every way that was tried shows its own figures, and reaches the thickness the
// part needs where none of its blanks is missing.
func TestTriedWaysShowTheirOwnFigures(t *testing.T) {
	p := made(t, demoProject(t))
	tried := 0
	for _, pw := range p.Ways {
		sp, _ := p.Part(pw.Part)
		for i, o := range pw.Options {
			if o.Trial == nil {
				continue
			}
			tried++
			if o.Trial.Missing == 0 && o.Trial.Thick < sp.T {
				t.Errorf("%s, %s of %d: %v thick is reached, %v is wanted", sp.Name, o.Way, o.Rows, o.Trial.Thick, sp.T)
			}
			for _, other := range pw.Options[:i] {
				if other.Trial != nil && other.Way == o.Way && other.Way != plan.Solid && other.Rows != o.Rows && other.Trial.Minutes.Equal(o.Trial.Minutes) {
					t.Errorf("%s, %s: %d and %d rows take the same %s min of gluing", sp.Name, o.Way, o.Rows, other.Rows, o.Trial.Minutes)
				}
			}
		}
	}
	if tried < 5 {
		t.Errorf("only %d ways were tried", tried)
	}
}
