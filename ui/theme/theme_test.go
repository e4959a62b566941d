package theme

import (
	"image/color"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	fynetheme "fyne.io/fyne/v2/theme"

	d "pilewright/layout/drawing"
)

// The pairs below must reach what WCAG 2.1 success criteria 1.4.3 (text, 4.5),
// 1.4.11 (parts of controls, 3) and, in high contrast, 1.4.6 (text, 7) ask.
const (
	forText     = 4.5
	forControls = 3.0
	forEnhanced = 7.0
)

func TestContrastIsThatOfTheGuideline(t *testing.T) {
	// The definition's end points; 767676 on white at 4.54 is a widely published
	// worked value (WebAIM's contrast checker), quoted from memory.
	for _, c := range []struct {
		a, b uint32
		want float64
	}{{0x000000, 0xffffff, 21}, {0xffffff, 0xffffff, 1}, {0x767676, 0xffffff, 4.54}} {
		if got := Contrast(rgb(c.a), rgb(c.b)); got < c.want-0.005 || got > c.want+0.005 {
			t.Errorf("contrast of %06x and %06x: got %.3f, want %.2f", c.a, c.b, got, c.want)
		}
	}
}

func TestTextIsLegibleInEveryLook(t *testing.T) {
	type pair struct{ ink, ground fyne.ThemeColorName }
	pairs := []pair{}
	for _, ground := range []fyne.ThemeColorName{
		fynetheme.ColorNameBackground, fynetheme.ColorNameInputBackground, fynetheme.ColorNameMenuBackground,
		fynetheme.ColorNameOverlayBackground, fynetheme.ColorNameHeaderBackground, fynetheme.ColorNameButton,
	} {
		for _, ink := range []fyne.ThemeColorName{
			fynetheme.ColorNameForeground, fynetheme.ColorNamePlaceHolder, fynetheme.ColorNameError,
			fynetheme.ColorNameWarning, fynetheme.ColorNamePrimary, fynetheme.ColorNameHyperlink, fynetheme.ColorNameSuccess,
		} {
			pairs = append(pairs, pair{ink, ground})
		}
	}
	pairs = append(pairs,
		pair{fynetheme.ColorNameForegroundOnPrimary, fynetheme.ColorNamePrimary},
		pair{fynetheme.ColorNameForegroundOnError, fynetheme.ColorNameError},
		pair{fynetheme.ColorNameForegroundOnWarning, fynetheme.ColorNameWarning},
		pair{fynetheme.ColorNameForegroundOnSuccess, fynetheme.ColorNameSuccess},
	)
	for _, look := range []Look{Light, Dark, HighContrast} {
		th := New(look, 1)
		want := forText
		if look == HighContrast {
			want = forEnhanced
		}
		for _, p := range pairs {
			if got := Contrast(th.Color(p.ink, 0), th.Color(p.ground, 0)); got < want {
				t.Errorf("%s: %s on %s has contrast %.2f, want %.1f", look, p.ink, p.ground, got, want)
			}
		}
		// Lines of inputs must be seen against the window and the sheet.
		for _, ground := range []fyne.ThemeColorName{fynetheme.ColorNameBackground, fynetheme.ColorNameInputBackground} {
			if got := Contrast(th.Color(fynetheme.ColorNameInputBorder, 0), th.Color(ground, 0)); got < forControls {
				t.Errorf("%s: border of inputs on %s has contrast %.2f, want %.1f", look, ground, got, forControls)
			}
		}
	}
}

func TestTextOnMarkedAndChosenRowsIsLegible(t *testing.T) {
	for _, look := range []Look{Light, Dark, HighContrast} {
		th := New(look, 1)
		sheet := th.Color(fynetheme.ColorNameInputBackground, 0)
		grounds := map[string]color.Color{
			"chosen row":    Mix(sheet, th.Color(fynetheme.ColorNamePrimary, 0), ChosenStrength),
			"invalid cell":  Mix(sheet, th.Color(fynetheme.ColorNameError, 0), MarkStrength),
			"doubtful cell": Mix(sheet, th.Color(fynetheme.ColorNameWarning, 0), MarkStrength),
		}
		ground := th.Color(fynetheme.ColorNameBackground, 0)
		hovered := Mix(ground, th.Color(fynetheme.ColorNameForeground, 0), HoverStrength)
		for _, ink := range []fyne.ThemeColorName{fynetheme.ColorNameError, fynetheme.ColorNameWarning, fynetheme.ColorNameSuccess, fynetheme.ColorNamePlaceHolder} {
			if got := Contrast(th.Color(ink, 0), hovered); got < forText {
				t.Errorf("%s: %s on a hovered line has contrast %.2f, want %.1f", look, ink, got, forText)
			}
		}
		for name, tinted := range map[string]color.Color{ // these carry full ink only
			"strip that tells of a failure": Mix(ground, th.Color(fynetheme.ColorNameError, 0), MarkStrength),
			"entered room":                  Mix(th.Color(fynetheme.ColorNameHeaderBackground, 0), th.Color(fynetheme.ColorNamePrimary, 0), ChosenStrength),
		} {
			if got := Contrast(th.Color(fynetheme.ColorNameForeground, 0), tinted); got < forText {
				t.Errorf("%s: text on the %s has contrast %.2f, want %.1f", look, name, got, forText)
			}
		}
		for name, ground := range grounds {
			for _, ink := range []fyne.ThemeColorName{fynetheme.ColorNameForeground, fynetheme.ColorNamePlaceHolder} {
				if got := Contrast(th.Color(ink, 0), ground); got < forText {
					t.Errorf("%s: %s on a %s has contrast %.2f, want %.1f", look, ink, name, got, forText)
				}
			}
		}
	}
}

func TestLabelsOnDrawnAreasAreLegible(t *testing.T) {
	areas := []d.Role{d.RolePaper, d.RoleBoard, d.RolePart, d.RolePartAlt, d.RoleLeftover, d.RoleBarA, d.RoleBarB,
		d.RoleBarC, d.RoleBarD, d.RoleFaceLight, d.RoleFaceMid, d.RoleFaceDark}
	for _, look := range []Look{Light, Dark, HighContrast} {
		p := DrawingOf(look)
		for _, area := range areas {
			for _, ink := range []d.Role{d.RoleLabel, d.RoleNote} {
				want := forText
				if ink == d.RoleNote && (area == d.RoleFaceDark || area == d.RoleFaceLight || area == d.RoleFaceMid) {
					continue // notes stand beside faces, not on them
				}
				if got := Contrast(p.Text[ink], p.Fill[area]); got < want {
					t.Errorf("%s: %v text on %v has contrast %.2f, want %.1f", look, ink, area, got, want)
				}
			}
		}
		for _, ink := range []d.Role{d.RoleDimension, d.RoleWarning} {
			if got := Contrast(p.Text[ink], p.Paper); got < forText {
				t.Errorf("%s: %v text on paper has contrast %.2f, want %.1f", look, ink, got, forText)
			}
		}
		for _, line := range []d.Role{d.RoleOutline, d.RoleCut, d.RoleDefect, d.RoleSelected, d.RoleBlemish} {
			for _, area := range []d.Role{d.RolePaper, d.RoleBoard, d.RolePart} {
				if got := Contrast(p.Line[line], p.Fill[area]); got < forControls {
					t.Errorf("%s: %v line on %v has contrast %.2f, want %.1f", look, line, area, got, forControls)
				}
			}
		}
	}
}

func TestEveryColourNameIsDefined(t *testing.T) {
	test.NewTempApp(t)
	for _, look := range Looks() {
		test.AssertAllColorNamesDefined(t, New(look, 1), string(look))
	}
}

func TestTextScaleGrowsTextAndBoundsItself(t *testing.T) {
	test.NewTempApp(t)
	plain, large := New(Light, 1), New(Light, 2)
	if got, want := large.Size(fynetheme.SizeNameText), 2*plain.Size(fynetheme.SizeNameText); got != want {
		t.Errorf("text at scale 2 is %v, want %v", got, want)
	}
	if got := New(Light, 99).Scale(); got != 3 {
		t.Errorf("scale 99 became %v, want 3", got)
	}
	if got := New("no such look", 0); got.Look() != System || got.Scale() != 1 {
		t.Errorf("unknown look and zero scale became %v at %v, want system at 1", got.Look(), got.Scale())
	}
	for _, n := range []fyne.ThemeSizeName{fynetheme.SizeNamePadding, fynetheme.SizeNameInnerPadding, fynetheme.SizeNameScrollBar} {
		if large.Size(n) < plain.Size(n) {
			t.Errorf("size %s shrinks with the text", n)
		}
	}
}

func TestDrawingFollowsTheLook(t *testing.T) {
	app := test.NewTempApp(t)
	for _, look := range []Look{Light, Dark, HighContrast} {
		app.Settings().SetTheme(New(look, 1))
		if Drawing() != DrawingOf(look) {
			t.Errorf("in the %s look drawings do not take its palette", look)
		}
	}
}
