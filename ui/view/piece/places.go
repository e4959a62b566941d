package piece

import (
	"fmt"
	"slices"
	"strings"

	"fyne.io/fyne/v2/lang"

	"pilewright/plan"
	"pilewright/ui/control"
	"pilewright/ui/locale"
)

// row of the places' table: copy number of part number.
type place struct{ part, copy int }

// places lists the placings of the part picked, or of every part.
func (r *Room) placeRows() []place {
	p := r.desk.Session().Project()
	sel := r.desk.Session().Selection().Part
	var out []place
	for i, part := range p.Parts {
		if sel != 0 && part.ID != sel {
			continue
		}
		for k := range part.Copies {
			out = append(out, place{i, k})
		}
	}
	return out
}

var axes = []string{"x", "y", "z"}

// placeGrid places the copies: the corner of least coordinates (x to the right, y
// to the back, z up), the axes of length and thickness, and repeats.
func (r *Room) placeGrid() *control.Grid {
	d := r.desk
	text := func(title, tip string) control.Column {
		return control.Column{Title: title, Width: 110, Stretch: true, Editable: true, Tip: tip}
	}
	axis := func() []string { return axes }
	g := control.NewGrid([]control.Column{
		{Title: lang.L("Part"), Width: 110},
		text("x", lang.L("to the right")), text("y", lang.L("to the back")), text("z", lang.L("up from the floor")),
		choice(lang.L("Grain along"), 86, lang.L("axis the grain runs along"), axis), choice(lang.L("Thick along"), 84, lang.L("axis of the thickness"), axis),
		text(lang.L("Repeat"), lang.L("how many; empty = one, 0 pcs = none")), text(lang.L("Step x"), lang.L("from one to the next")), text(lang.L("Step y"), ""), text(lang.L("Step z"), ""),
	}, func() int { return len(r.placeRows()) }, func(row, col int) (string, control.CellState) {
		rows := r.placeRows()
		if row >= len(rows) {
			return "", control.CellState{}
		}
		part := d.Session().Project().Parts[rows[row].part]
		c := part.Copies[rows[row].copy]
		fields := []string{part.Name, c.X, c.Y, c.Z, axes[c.Along%3], axes[c.Thick%3], c.Repeat, c.StepX, c.StepY, c.StepZ}
		state := control.CellState{Bold: col == 0}
		if col > 0 && col < 4 {
			state = r.sizeState(part.ID, axes[col-1])
		}
		if col > 0 {
			return locale.Number(fields[col]), state
		}
		return fields[col], state
	})
	g.OnMessage, g.AddHint = d.Say, lang.L("add a place for the part picked")
	g.Commit = func(row, col int, text string) error {
		return d.Session().Edit(lang.L("place a copy"), fmt.Sprintf("place %d %d", row, col), func(p *plan.Project) (*plan.Project, error) {
			return r.setPlace(p, row, col, strings.TrimSpace(text))
		})
	}
	g.Delete = func(rows []int) {
		all := r.placeRows()
		d.Fail(d.Session().Edit(lang.L("remove copies"), "", func(p *plan.Project) (*plan.Project, error) {
			parts := slices.Clone(p.Parts)
			for i := len(rows) - 1; i >= 0; i-- {
				if rows[i] < len(all) {
					at := all[rows[i]]
					parts[at.part].Copies = slices.Delete(slices.Clone(parts[at.part].Copies), at.copy, at.copy+1)
				}
			}
			return p.With(func(q *plan.Project) { q.Parts = parts }), nil
		}))
	}
	return g
}

func (r *Room) setPlace(p *plan.Project, row, col int, text string) (*plan.Project, error) {
	if len(text) > plan.MaxText {
		return nil, locale.Error("the text is longer than {{.maxText}} characters", locale.With{"maxText": plan.MaxText})
	}
	rows := r.placeRows()
	parts := slices.Clone(p.Parts)
	if row >= len(rows) {
		i := slices.IndexFunc(parts, func(x plan.Part) bool { return x.ID == r.desk.Session().Selection().Part })
		if i < 0 {
			return nil, locale.Error("pick a part first, then add a place for it")
		}
		fresh := plan.Copy{X: "0", Y: "0", Z: "0", Along: plan.X, Thick: plan.Z}
		if n := len(parts[i].Copies); n > 0 {
			fresh = parts[i].Copies[n-1]
		}
		parts[i].Copies = append(slices.Clone(parts[i].Copies), fresh)
		rows = append(rows, place{i, len(parts[i].Copies) - 1})
		row = len(rows) - 1
	}
	if col != 4 && col != 5 {
		plain, err := locale.Plain(text)
		if err != nil {
			return nil, err
		}
		text = plain
	}
	at := rows[row]
	parts[at.part].Copies = slices.Clone(parts[at.part].Copies)
	c := &parts[at.part].Copies[at.copy]
	switch col {
	case 1, 2, 3:
		if text == "" {
			text = "0"
		}
		*[]*string{&c.X, &c.Y, &c.Z}[col-1] = text
	case 4, 5:
		a := plan.Axis(slices.Index(axes, text))
		if a < 0 {
			return nil, locale.Error("“{{.text}}” is not an axis; choose x, y or z", locale.With{"text": text})
		}
		own, other := &c.Along, &c.Thick
		if col == 5 {
			own, other = other, own
		}
		if *other == a {
			*other = *own
		}
		*own = a
	case 6, 7, 8, 9:
		*[]*string{&c.Repeat, &c.StepX, &c.StepY, &c.StepZ}[col-6] = text
	}
	return p.With(func(q *plan.Project) { q.Parts = parts }), nil
}
