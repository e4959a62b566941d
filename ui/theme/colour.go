package theme

import (
	"image/color"
	"math"
)

// Mix gives the opaque colour of over laid on base with the given strength,
// from 0 (base alone) to 1 (over alone). Both are taken as opaque; the blend
// is in sRGB values, as the screen's own blending is.
func Mix(base, over color.Color, strength float64) color.NRGBA {
	b, o := opaque(base), opaque(over)
	blend := func(x, y uint8) uint8 {
		return uint8(math.Round(float64(x)*(1-strength) + float64(y)*strength))
	}
	return color.NRGBA{R: blend(b.R, o.R), G: blend(b.G, o.G), B: blend(b.B, o.B), A: 0xff}
}

// Contrast is the contrast ratio of two opaque colours, from 1 to 21.
// Source: W3C, Web Content Accessibility Guidelines 2.1, definitions of
// "relative luminance" and "contrast ratio".
func Contrast(a, b color.Color) float64 {
	la, lb := luminance(opaque(a)), luminance(opaque(b))
	if la < lb {
		la, lb = lb, la
	}
	return (la + 0.05) / (lb + 0.05)
}

func luminance(c color.NRGBA) float64 {
	linear := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.03928 { // the guideline's own threshold
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}

func opaque(c color.Color) color.NRGBA {
	n := color.NRGBAModel.Convert(c).(color.NRGBA)
	n.A = 0xff
	return n
}

// How strongly a ground is tinted, so that text on it stays legible (checked in
// the tests): a chosen row with the primary colour, an invalid or doubtful cell
// with its own, a line under the pointer with the text's.
const (
	ChosenStrength = 0.18
	MarkStrength   = 0.16
	HoverStrength  = 0.06
)
