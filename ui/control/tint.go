package control

import (
	"image/color"

	"fyne.io/fyne/v2"
	fynetheme "fyne.io/fyne/v2/theme"

	"pilewright/ui/theme"
)

// tint is the window's ground with a little of another colour of the theme, on
// which text stays legible.
func tint(th fyne.Theme, name fyne.ThemeColorName) color.Color {
	v := fyne.CurrentApp().Settings().ThemeVariant()
	return theme.Mix(th.Color(fynetheme.ColorNameBackground, v), th.Color(name, v), theme.MarkStrength)
}
