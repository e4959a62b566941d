package theme

import (
	"image/color"
	"math"

	"fyne.io/fyne/v2"
	fynetheme "fyne.io/fyne/v2/theme"
)

func root(v float32) float32 { return float32(math.Sqrt(float64(v))) }

// rgb is an opaque colour from its 24 bits.
func rgb(v uint32) color.NRGBA {
	return color.NRGBA{R: uint8(v >> 16), G: uint8(v >> 8), B: uint8(v), A: 0xff}
}

func faint(v uint32, a uint8) color.NRGBA {
	c := rgb(v)
	c.A = a
	return c
}

// tones are the few colours a look is made from.
type tones struct {
	ground, sheet, raised   uint32 // window, inputs and tables, menus and dialogs
	ink, lesser, off        uint32 // text, lesser text, disabled
	line, edge              uint32 // separators, borders of inputs
	button, head            uint32
	accent, onAccent        uint32
	bad, onBad              uint32
	doubt, onDoubt          uint32
	good, onGood            uint32
	hover, press, shade     color.NRGBA
	bar, barGround, offButt uint32
	focus, chosen           color.NRGBA
}

var sets = map[Look]map[fyne.ThemeColorName]color.Color{
	// Chalk and spruce: a warm white, near-black ink, a dull green accent.
	Light: tones{
		ground: 0xf1efe9, sheet: 0xfdfcf9, raised: 0xfaf8f3,
		ink: 0x23282a, lesser: 0x5b6062, off: 0x8d9191,
		line: 0xd3cfc5, edge: 0x87847c,
		button: 0xe4e0d6, head: 0xe8e4da,
		accent: 0x1d655c, onAccent: 0xffffff,
		bad: 0xa8281f, onBad: 0xffffff, doubt: 0x875300, onDoubt: 0xffffff, good: 0x2c6a35, onGood: 0xffffff,
		hover: faint(0x23282a, 0x14), press: faint(0x23282a, 0x28), shade: faint(0x000000, 0x38),
		bar: 0x8f8c84, barGround: 0xe8e4da, offButt: 0xe9e6de,
		focus: faint(0x1d655c, 0x50), chosen: faint(0x1d655c, 0x40),
	}.set(),
	// Slate and lichen.
	Dark: tones{
		ground: 0x1d2123, sheet: 0x252a2c, raised: 0x2b3134,
		ink: 0xe7e4dd, lesser: 0xaeb1ae, off: 0x74797a,
		line: 0x3a4144, edge: 0x6d7577,
		button: 0x353c3f, head: 0x2d3336,
		accent: 0x7cc6b8, onAccent: 0x10201d,
		bad: 0xf59287, onBad: 0x2b0906, doubt: 0xe6b869, onDoubt: 0x271a00, good: 0x93cd97, onGood: 0x0b210d,
		hover: faint(0xffffff, 0x14), press: faint(0xffffff, 0x28), shade: faint(0x000000, 0x80),
		bar: 0x7a8284, barGround: 0x2d3336, offButt: 0x2a2f32,
		focus: faint(0x7cc6b8, 0x60), chosen: faint(0x7cc6b8, 0x50),
	}.set(),
	// Black, white and one yellow, for bad light and tired eyes.
	HighContrast: tones{
		ground: 0x000000, sheet: 0x000000, raised: 0x000000,
		ink: 0xffffff, lesser: 0xe0e0e0, off: 0xa8a8a8,
		line: 0xffffff, edge: 0xffffff,
		button: 0x262626, head: 0x262626,
		accent: 0xffe14d, onAccent: 0x000000,
		bad: 0xff9c94, onBad: 0x000000, doubt: 0xffc247, onDoubt: 0x000000, good: 0x8df09a, onGood: 0x000000,
		hover: faint(0xffffff, 0x30), press: faint(0xffffff, 0x50), shade: faint(0xffffff, 0x60),
		bar: 0xffffff, barGround: 0x262626, offButt: 0x1a1a1a,
		focus: faint(0xffe14d, 0x90), chosen: faint(0xffe14d, 0x60),
	}.set(),
}

func (t tones) set() map[fyne.ThemeColorName]color.Color {
	return map[fyne.ThemeColorName]color.Color{
		fynetheme.ColorNameBackground:          rgb(t.ground),
		fynetheme.ColorNameButton:              rgb(t.button),
		fynetheme.ColorNameDisabledButton:      rgb(t.offButt),
		fynetheme.ColorNameDisabled:            rgb(t.off),
		fynetheme.ColorNameError:               rgb(t.bad),
		fynetheme.ColorNameFocus:               t.focus,
		fynetheme.ColorNameForeground:          rgb(t.ink),
		fynetheme.ColorNameForegroundOnError:   rgb(t.onBad),
		fynetheme.ColorNameForegroundOnPrimary: rgb(t.onAccent),
		fynetheme.ColorNameForegroundOnSuccess: rgb(t.onGood),
		fynetheme.ColorNameForegroundOnWarning: rgb(t.onDoubt),
		fynetheme.ColorNameHeaderBackground:    rgb(t.head),
		fynetheme.ColorNameHover:               t.hover,
		fynetheme.ColorNameHyperlink:           rgb(t.accent),
		fynetheme.ColorNameInputBackground:     rgb(t.sheet),
		fynetheme.ColorNameInputBorder:         rgb(t.edge),
		fynetheme.ColorNameMenuBackground:      rgb(t.raised),
		fynetheme.ColorNameOverlayBackground:   rgb(t.raised),
		fynetheme.ColorNamePlaceHolder:         rgb(t.lesser),
		fynetheme.ColorNamePressed:             t.press,
		fynetheme.ColorNamePrimary:             rgb(t.accent),
		fynetheme.ColorNameScrollBar:           rgb(t.bar),
		fynetheme.ColorNameScrollBarBackground: rgb(t.barGround),
		fynetheme.ColorNameSelection:           t.chosen,
		fynetheme.ColorNameSeparator:           rgb(t.line),
		fynetheme.ColorNameShadow:              t.shade,
		fynetheme.ColorNameSuccess:             rgb(t.good),
		fynetheme.ColorNameWarning:             rgb(t.doubt),
	}
}
