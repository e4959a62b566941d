package control

import (
	"fmt"
	"image/color"
	"strings"

	"fyne.io/fyne/v2"
	fynetheme "fyne.io/fyne/v2/theme"
)

// icons are line drawings on a field of 24 by 24, our own shapes. Each is the
// inside of an SVG group that strokes in the wanted colour, {c}.
var icons = map[string]string{
	// three boards, one over the other, ends not flush
	"pile": `<path d="M4 6.5 L18 6.5 L18 9.5 L4 9.5 Z"/><path d="M6.5 10.8 L21 10.8 L21 13.8 L6.5 13.8 Z"/><path d="M3 15.1 L16.5 15.1 L16.5 18.1 L3 18.1 Z"/><path d="M3 21 L21 21"/>`,
	// a small table from the front: top, rail, two legs
	"piece": `<path d="M3 6 L21 6 L21 8.4 L3 8.4 Z"/><path d="M5.5 8.4 L6.5 20 M18.5 8.4 L17.5 20"/><path d="M6 12 L18 12"/>`,
	// a board and the line where it is parted
	"cuts": `<path d="M3 9 L21 9 L21 15 L3 15 Z"/><path d="M14 5 L14 7 M14 8.2 L14 10.2 M14 11.4 L14 13.4 M14 14.6 L14 16.6 M14 17.8 L14 19.8"/>`,
	// strips side by side between the jaws of a clamp
	"glueups": `<path d="M7 8 L17 8 L17 16 L7 16 Z"/><path d="M10.3 8 L10.3 16 M13.7 8 L13.7 16"/><path d="M4 6 L4 18 M7 12 L4 12 M17 12 L22 12 M20 10 L20 14"/>`,
	// a work bench with a dog standing in its top
	"bench": `<path d="M2.5 9 L21.5 9 L21.5 11.5 L2.5 11.5 Z"/><path d="M5 11.5 L5 20 M19 11.5 L19 20 M5 17 L19 17"/><path d="M15.5 9 L15.5 5.5"/>`,
	// a page with lines and a total under a double rule
	"ledger": `<path d="M5 3.5 L19 3.5 L19 20.5 L5 20.5 Z"/><path d="M8 8 L16 8 M8 11 L16 11"/><path d="M11 15 L16 15 M11 17 L16 17"/>`,
	// a rule with its marks
	"measure": `<path d="M3 9 L21 9 L21 15.5 L3 15.5 Z"/><path d="M6.5 9 L6.5 12 M10 9 L10 11 M13.5 9 L13.5 12 M17 9 L17 11"/>`,
	// a region of broken line
	"frame": `<path d="M4 8 L4 5 L7 5 M10 5 L14 5 M17 5 L20 5 L20 8 M20 11 L20 14 M20 16 L20 19 L17 19 M14 19 L10 19 M7 19 L4 19 L4 16 M4 14 L4 11"/>`,
	"hand":  `<path d="M12 3 L12 21 M3 12 L21 12 M9.5 5.5 L12 3 L14.5 5.5 M9.5 18.5 L12 21 L14.5 18.5 M5.5 9.5 L3 12 L5.5 14.5 M18.5 9.5 L21 12 L18.5 14.5"/>`,
	"fit":   `<path d="M4 9 L4 4 L9 4 M15 4 L20 4 L20 9 M20 15 L20 20 L15 20 M9 20 L4 20 L4 15"/><path d="M9 10 L15 10 L15 14 L9 14 Z"/>`,
	"more":  `<path d="M12 5 L12 19 M5 12 L19 12"/>`,
	"less":  `<path d="M5 12 L19 12"/>`,
	"close": `<path d="M6 6 L18 18 M18 6 L6 18"/>`,
	"open":  `<path d="M6 9 L12 15 L18 9"/>`,
	"shut":  `<path d="M9 6 L15 12 L9 18"/>`,
	"start": `<path d="M7 4 L20 12 L7 20 Z" fill="#{c}"/>`,
	"pause": `<path d="M5.5 4 L10 4 L10 20 L5.5 20 Z" fill="#{c}"/><path d="M14 4 L18.5 4 L18.5 20 L14 20 Z" fill="#{c}"/>`,
	"done":  `<path d="M4.5 12.5 L10 18 L20 6.5" stroke-width="3.2"/>`,
	"fault": `<path d="M12 3.5 L21.5 20 L2.5 20 Z"/><path d="M12 10 L12 15 M12 17 L12 17.8"/>`,
}

// Icon is a line drawing in the theme's text colour, for buttons and menus. The
// names are those of the rooms (pile, piece, cuts, glueups, bench, ledger) and
// measure, frame, hand, fit, more, less, close, open, shut, start, pause, done,
// fault. An unknown name gives an empty drawing.
func Icon(name string) fyne.Resource { return lineIcon{name, fynetheme.ColorNameForeground} }

// IconOf is Icon in another colour of the theme.
func IconOf(name string, c fyne.ThemeColorName) fyne.Resource { return lineIcon{name, c} }

type lineIcon struct {
	name   string
	colour fyne.ThemeColorName
}

func (i lineIcon) hex() string {
	c := fyne.CurrentApp().Settings().Theme().Color(i.colour, fyne.CurrentApp().Settings().ThemeVariant())
	n := color.NRGBAModel.Convert(c).(color.NRGBA)
	return fmt.Sprintf("%02x%02x%02x", n.R, n.G, n.B)
}

// Name has the colour in it, since drawings are cached by name.
func (i lineIcon) Name() string { return "icon-" + i.name + "-" + i.hex() + ".svg" }

// Content is the SVG.
func (i lineIcon) Content() []byte {
	c := i.hex()
	return []byte(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 24 24" width="24" height="24"><g fill="none" stroke="#` +
		c + `" stroke-width="1.7" stroke-linecap="round" stroke-linejoin="round">` + strings.ReplaceAll(icons[i.name], "{c}", c) + `</g></svg>`)
}
