package sheet

import (
	"io"
	"regexp"
	"testing"

	"pilewright/layout/drawing/svg"
)

func TestFiguresHaveNamesFitForFilesAndAreNotEmpty(t *testing.T) {
	p := theDemo(t)
	list := Figures(p)
	if least := 3 + len(p.Cuts.Boards) + len(p.Parts) + len(p.GlueUps) + len(p.Frame.Build.Sequence.Stages); len(list) < least {
		t.Errorf("%d figures, want at least %d", len(list), least)
	}
	fit := regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)
	seen := map[string]bool{}
	for _, f := range list {
		if !fit.MatchString(f.Name) || seen[f.Name] {
			t.Errorf("the name %q is not fit for a file or there twice", f.Name)
		}
		seen[f.Name] = true
		if f.Picture.Bounds().Empty() {
			t.Errorf("%s is empty", f.Name)
		}
		if err := svg.Write(io.Discard, f.Picture); err != nil {
			t.Errorf("%s: %v", f.Name, err)
		}
	}
}

func TestNamesOfFilesArePlain(t *testing.T) {
	for _, c := range []struct{ name, in, want string }{
		{"letters and digits stay", "Cut A12", "cut-a12"},
		{"signs become one hyphen", "../a  /b:c", "a-b-c"},
		{"nothing left gives a word", "…", "figure"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := plainName(c.in); got != c.want {
				t.Errorf("plainName(%q) = %q, want %q", c.in, got, c.want)
			}
		})
	}
	if list := Figures(nil); list != nil {
		t.Errorf("without a plan: %v", list)
	}
}
