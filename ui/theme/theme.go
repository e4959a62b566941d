// Package theme holds the looks of the window: light, dark and high contrast,
// a scale of text sizes, and for each look the colours of drawings. Start with
// New; Drawing gives the palette of the look in use.
package theme

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"
	fynetheme "fyne.io/fyne/v2/theme"

	"pilewright/layout/drawing/raster"
)

// Look names one look of the window.
type Look string

// The looks. System is Light or Dark as the desktop wishes.
const (
	System       Look = "system"
	Light        Look = "light"
	Dark         Look = "dark"
	HighContrast Look = "contrast"
)

// Looks lists them in the order to offer them.
func Looks() []Look { return []Look{System, Light, Dark, HighContrast} }

// Title is the look's name as shown.
func (l Look) Title() string {
	switch l {
	case Light:
		return lang.L("Light")
	case Dark:
		return lang.L("Dark")
	case HighContrast:
		return lang.L("High contrast")
	}
	return lang.L("As the desktop")
}

// Scales are the text scales to offer; 1 is the plain size.
var Scales = []float32{0.85, 1, 1.15, 1.35, 1.6, 2}

// Theme is a look at a text scale; it implements fyne.Theme.
type Theme struct {
	look  Look
	scale float32
}

// New gives the theme of a look. A scale outside 0.5 to 3 is brought to the
// nearer end, zero means 1, and an unknown look is System.
func New(look Look, scale float32) *Theme {
	switch look {
	case Light, Dark, HighContrast:
	default:
		look = System
	}
	if scale == 0 {
		scale = 1
	}
	return &Theme{look: look, scale: max(0.5, min(scale, 3))}
}

// Look is the look the theme was made for.
func (t *Theme) Look() Look { return t.look }

// Scale is the text scale.
func (t *Theme) Scale() float32 { return t.scale }

// resolve turns System into the look the desktop wishes.
func (t *Theme) resolve(v fyne.ThemeVariant) Look {
	if t.look != System {
		return t.look
	}
	if v == fynetheme.VariantDark {
		return Dark
	}
	return Light
}

// Color implements fyne.Theme.
func (t *Theme) Color(n fyne.ThemeColorName, v fyne.ThemeVariant) color.Color {
	set := sets[t.resolve(v)]
	if c, ok := set[n]; ok {
		return c
	}
	variant := fyne.ThemeVariant(fynetheme.VariantDark)
	if t.resolve(v) == Light {
		variant = fynetheme.VariantLight
	}
	return fynetheme.DefaultTheme().Color(n, variant)
}

// Font implements fyne.Theme.
func (t *Theme) Font(s fyne.TextStyle) fyne.Resource { return fynetheme.DefaultTheme().Font(s) }

// Icon implements fyne.Theme.
func (t *Theme) Icon(n fyne.ThemeIconName) fyne.Resource { return fynetheme.DefaultTheme().Icon(n) }

// Size implements fyne.Theme. Room around things grows with the square root of
// the text scale, so that large text does not push everything off the screen.
func (t *Theme) Size(n fyne.ThemeSizeName) float32 {
	switch n {
	case fynetheme.SizeNameText:
		return 14 * t.scale
	case fynetheme.SizeNameCaptionText:
		return 12 * t.scale
	case fynetheme.SizeNameSubHeadingText:
		return 17 * t.scale
	case fynetheme.SizeNameHeadingText:
		return 22 * t.scale
	case fynetheme.SizeNameInlineIcon:
		return 18 * t.scale
	case fynetheme.SizeNameInnerPadding:
		return 6 * root(t.scale)
	case fynetheme.SizeNamePadding:
		return 4 * root(t.scale)
	case fynetheme.SizeNameInputRadius, fynetheme.SizeNameSelectionRadius:
		return 3
	case fynetheme.SizeNameInputBorder, fynetheme.SizeNameSeparatorThickness:
		if t.look == HighContrast {
			return 2
		}
		return 1
	}
	return fynetheme.DefaultTheme().Size(n)
}

// Drawing is the palette for drawings in the running application's look. With a
// theme that is not ours it goes by light or dark. The result is shared: do not
// change it.
func Drawing() *raster.Palette {
	app := fyne.CurrentApp()
	if app == nil {
		return palettes[Light]
	}
	v := app.Settings().ThemeVariant()
	if t, ok := app.Settings().Theme().(*Theme); ok {
		return palettes[t.resolve(v)]
	}
	return palettes[New(System, 1).resolve(v)]
}

// DrawingOf is the palette of a look; System counts as Light.
func DrawingOf(l Look) *raster.Palette {
	if p, ok := palettes[l]; ok {
		return p
	}
	return palettes[Light]
}
