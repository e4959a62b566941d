package piece

import (
	"fmt"
	"slices"
	"strings"

	"fyne.io/fyne/v2/lang"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
)

// measureGrid is the table of named measures.
func (r *Room) measureGrid() *control.Grid {
	d := r.desk
	list := func() []plan.Measure { return d.Session().Project().Measures }
	g := control.NewGrid([]control.Column{
		{Title: lang.L("Measure"), Width: 130, Editable: true, Tip: lang.L("a name; renaming it renames it everywhere it is used")},
		{Title: lang.L("Is"), Width: 260, Editable: true, Stretch: true, Tip: lang.L("a length, or arithmetic on other measures: length - 2*overhang; a count is written 5 pcs")},
		{Title: lang.L("Comes to"), Width: 100, Numeric: true},
		{Title: lang.L("Note"), Width: 240, Editable: true, Stretch: true},
	}, func() int { return len(list()) }, func(row, col int) (string, control.CellState) {
		if row >= len(list()) {
			return "", control.CellState{}
		}
		m := list()[row]
		switch col {
		case 0:
			return m.Name, control.CellState{Bold: true}
		case 1:
			return locale.Number(m.Text), r.measureState(m)
		case 2:
			return r.comesTo(m), control.CellState{Dim: d.Session().Stale()}
		}
		return m.Note, control.CellState{}
	})
	g.RowID = func(row int) string { return key(list()[row].ID) }
	g.OnMessage, g.AddHint = d.Say, lang.L("type a name to add a measure")
	g.Commit = func(row, col int, text string) error {
		text = strings.TrimSpace(text)
		name, merge := lang.L("add a measure"), ""
		if row < len(list()) {
			name, merge = lang.L("change {{.setting}}", locale.With{"setting": list()[row].Name}), fmt.Sprintf("measure %d %d", list()[row].ID, col)
		}
		return d.Session().Edit(name, merge, func(p *plan.Project) (*plan.Project, error) { return setMeasure(p, row, col, text) })
	}
	g.Delete = func(rows []int) {
		d.Fail(d.Session().Edit(lang.L("delete measures"), "", func(p *plan.Project) (*plan.Project, error) {
			return p.With(func(q *plan.Project) { q.Measures = without(p.Measures, rows) }), nil
		}))
	}
	return g
}

// without gives a list less some rows.
func without[T any](list []T, rows []int) []T {
	var out []T
	for i, v := range list {
		if !slices.Contains(rows, i) {
			out = append(out, v)
		}
	}
	return out
}

// measureState marks a measure the newest plan could not work out.
func (r *Room) measureState(m plan.Measure) control.CellState {
	_, bad := measure.ResolveEach(definitions(r.desk.Session().Project().Measures), r.desk.Session().Project().Shop.Unit())
	for _, e := range bad {
		if strings.EqualFold(e.Name, m.Name) {
			return control.CellState{Invalid: true, Message: e.Err.Error()}
		}
	}
	return control.CellState{}
}

func definitions(list []plan.Measure) []measure.Definition {
	out := make([]measure.Definition, len(list))
	for i, m := range list {
		out[i] = measure.Definition{Name: m.Name, Text: m.Text}
	}
	return out
}

// comesTo writes the value of a measure in the newest plan.
func (r *Room) comesTo(m plan.Measure) string {
	p := r.desk.Session().Plan()
	if p == nil {
		return ""
	}
	v, ok := p.Values[strings.ToLower(m.Name)]
	if !ok {
		return ""
	}
	if l, err := v.Length(); err == nil && v.IsLength() {
		return desk.Length(p.Project, l)
	}
	if n, err := v.Count(); err == nil {
		return fmt.Sprint(n)
	}
	return v.String()
}

// setMeasure changes or adds a measure. A new name is put in everywhere the old
// one is used.
func setMeasure(p *plan.Project, row, col int, text string) (*plan.Project, error) {
	if len(text) > plan.MaxText {
		return nil, locale.Error("the text is longer than {{.maxText}} characters", locale.With{"maxText": plan.MaxText})
	}
	list := slices.Clone(p.Measures)
	q := p.With(func(q *plan.Project) { q.Measures = list })
	if row >= len(list) {
		if len(list) >= plan.MaxMeasures {
			return nil, locale.Error("a piece has at most {{.maxMeasures}} measures", locale.With{"maxMeasures": plan.MaxMeasures})
		}
		m := plan.Measure{ID: q.Take(), Piece: p.Piece.ID, Name: freeName(p, lang.L("measure")), Text: "1 in", Order: nextOrder(list)}
		list = append(list, m)
		row = len(list) - 1
		q.Measures = list
	}
	m := &list[row]
	switch col {
	case 0:
		if err := measure.ValidName(text); err != nil {
			return nil, err
		}
		if slices.ContainsFunc(list, func(o plan.Measure) bool { return o.ID != m.ID && strings.EqualFold(o.Name, text) }) {
			return nil, locale.Error("there is a measure {{.text}} already", locale.With{"text": text})
		}
		old := m.Name
		m.Name = text
		q.Rename(old, text)
	case 1:
		if text == "" {
			return nil, locale.Error("a measure needs a size")
		}
		plain, err := locale.Plain(text)
		if err != nil {
			return nil, err
		}
		m.Text = plain
	case 3:
		m.Note = text
	}
	return q, nil
}

func nextOrder(list []plan.Measure) int {
	n := 0
	for _, m := range list {
		n = max(n, m.Order+1)
	}
	return n
}

func freeName(p *plan.Project, stem string) string {
	for i := 1; ; i++ {
		name := fmt.Sprintf("%s%d", stem, i)
		if !slices.ContainsFunc(p.Measures, func(m plan.Measure) bool { return strings.EqualFold(m.Name, name) }) {
			return name
		}
	}
}
