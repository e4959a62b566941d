package pile

import (
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"

	"pilewright/plan"
	"pilewright/ui/locale"
)

// goodWords and ringWords name what is known of a board's faces, in the order of
// goods and rings.
func goodWords() []string {
	return []string{"A", "B", lang.L("both good"), lang.L("neither good")}
}

func ringWords() []string {
	return []string{lang.L("bark up"), lang.L("bark down"), lang.L("upright")}
}

var (
	goods = []plan.GoodFaces{plan.GoodA, plan.GoodB, plan.GoodBoth, plan.GoodNone}
	rings = []plan.Rings{plan.BarkUp, plan.BarkDown, plan.Upright}
)

// facesText writes what is known of a board's faces so that it can be read back.
func facesText(b plan.Board) string {
	var out []string
	for i, g := range goods {
		if b.Faces == g {
			out = append(out, goodWords()[i])
		}
	}
	for i, r := range rings {
		if b.Rings == r {
			out = append(out, ringWords()[i])
		}
	}
	return strings.Join(out, ", ")
}

// facesTold says in a sentence what facesText writes.
func facesTold(b plan.Board) string {
	var out []string
	switch b.Faces {
	case plan.GoodA:
		out = append(out, lang.L("face A is the good one"))
	case plan.GoodB:
		out = append(out, lang.L("face B is the good one"))
	case plan.GoodBoth:
		out = append(out, lang.L("both faces are good"))
	case plan.GoodNone:
		out = append(out, lang.L("neither face is good"))
	}
	switch b.Rings {
	case plan.BarkUp:
		out = append(out, lang.L("with A up the rings arch like a hill, bark up"))
	case plan.BarkDown:
		out = append(out, lang.L("with A up the rings sag, bark down"))
	case plan.Upright:
		out = append(out, lang.L("the rings stand upright"))
	}
	return strings.Join(out, "; ")
}

// readFaces reads what facesText writes, or plan.FormatFaces.
func readFaces(text string) (plan.GoodFaces, plan.Rings, error) {
	g, r, known := plan.FacesUnknown, plan.NotMarked, true
	place := func(words []string, part string) int {
		return slices.IndexFunc(words, func(w string) bool { return strings.EqualFold(w, strings.TrimSpace(part)) })
	}
	for _, part := range strings.Split(text, ",") {
		i, k := place(goodWords(), part), place(ringWords(), part)
		switch {
		case i >= 0 && g == plan.FacesUnknown:
			g = goods[i]
		case k >= 0 && r == plan.NotMarked:
			r = rings[k]
		default:
			known = false
		}
	}
	if known {
		return g, r, nil
	}
	g, r, err := plan.ParseFaces(text)
	if err != nil {
		return g, r, locale.Error("“{{.text}}” is not read here; write {{.good}}, and after a comma {{.rings}}", locale.With{"text": text, "good": strings.Join(goodWords(), " / "), "rings": strings.Join(ringWords(), " / ")})
	}
	return g, r, nil
}

// facesMenu says of the chosen boards which faces are good and how their rings lie.
func (r *Room) facesMenu() *fyne.Menu {
	item := func(name string, change func(*plan.Board)) *fyne.MenuItem {
		return fyne.NewMenuItem(name, func() {
			ids := r.chosen()
			r.desk.Fail(r.desk.Session().Edit(lang.L("say which faces are good"), "", func(p *plan.Project) (*plan.Project, error) {
				return p.EditBoards(ids, func(b *plan.Board) error { change(b); return nil })
			}))
		})
	}
	var items []*fyne.MenuItem
	for i, g := range goods {
		name := goodWords()[i]
		if i < 2 {
			name = lang.L("{{.face}} is the good face", locale.With{"face": name})
		}
		items = append(items, item(name, func(b *plan.Board) { b.Faces = g }))
	}
	items = append(items, item(lang.L("good where no defect shows"), func(b *plan.Board) { b.Faces = plan.FacesUnknown }), fyne.NewMenuItemSeparator())
	for i, lie := range rings {
		items = append(items, item(lang.L("with A up: {{.lie}}", locale.With{"lie": ringWords()[i]}), func(b *plan.Board) { b.Rings = lie }))
	}
	return fyne.NewMenu("", append(items, item(lang.L("rings not marked"), func(b *plan.Board) { b.Rings = plan.NotMarked }))...)
}
