package pile

import (
	"io"
	"slices"
	"strconv"
	"strings"

	"fyne.io/fyne/v2/lang"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
)

// importBoards reads a boards CSV, shows what would come into the pile and adds it
// when that is confirmed.
func (r *Room) importBoards() { desk.PickCSV(r.desk, r.previewBoards) }

// previewBoards shows the boards of a file, or what is wrong with its rows.
func (r *Room) previewBoards(file io.Reader, name string) {
	i, err := r.readBoards(file)
	i.Title, i.Name = lang.L("Import boards from {{.name}}", locale.With{"name": name}), name
	i.Offer(r.desk, err)
}

// readBoards reads a file and tries it on the pile, which tells the marks its
// boards would be chalked with.
func (r *Room) readBoards(file io.Reader) (desk.Import, error) {
	list, err := plan.ReadBoards(file, measure.Inches)
	if err != nil {
		return desk.Import{}, err
	}
	p := r.desk.Session().Project()
	with, err := p.AddBoardList(list)
	if err != nil {
		return desk.Import{}, err
	}
	come := with.Boards[len(p.Boards):]
	if len(come) == 0 {
		return desk.Import{}, locale.Error("there are no rows below the heading")
	}
	marks := make([][]string, len(list))
	for i, b := range list {
		for _, c := range come[:b.Count] {
			marks[i] = append(marks[i], c.Mark)
		}
		come = come[b.Count:]
	}
	total := len(with.Boards) - len(p.Boards)
	return desk.Import{
		Say:     lang.L("{{.list}} rows, {{.total}} boards. Add them to the pile?", locale.With{"list": len(list), "total": total}),
		Columns: importColumns(),
		Rows:    len(list),
		Cell:    func(row, col int) (string, control.CellState) { return importCell(p, list[row], marks[row], col) },
		Take: func() error {
			return r.desk.Session().Edit(lang.L("import {{.total}} boards", locale.With{"total": total}), "", func(p *plan.Project) (*plan.Project, error) { return p.AddBoardList(list) })
		},
	}, nil
}

func importColumns() []control.Column {
	size := func(title string, width float32) control.Column {
		return control.Column{Title: title, Width: width, Numeric: true}
	}
	return []control.Column{
		{Title: lang.L("Mark"), Width: 124, Tip: lang.L("what the boards of the row will be chalked with; one already in the pile is not given twice")}, size(lang.L("Count"), 60),
		size(lang.L("Length"), 84), size(lang.L("Width"), 80), size(lang.L("Thick"), 76), {Title: lang.L("Species"), Width: 80}, size(lang.L("Price"), 70),
		size(lang.L("Trim left"), 80), size(lang.L("Trim right"), 88), {Title: lang.L("Defects"), Width: 160, Stretch: true}, {Title: lang.L("Faces"), Width: 84},
	}
}

// importCell is one cell of the table of boards about to be added.
func importCell(p *plan.Project, b plan.CSVBoard, marks []string, col int) (string, control.CellState) {
	state := control.CellState{}
	some := func(l measure.Length) string {
		if l == 0 {
			return ""
		}
		return desk.Length(p, l)
	}
	switch col {
	case 0:
		state.Bold = true
		if len(marks) > 0 && marks[0] != b.Mark {
			state.Warn, state.Message = true, lang.L("the file says {{.mark}}, a mark that is in use already", locale.With{"mark": b.Mark})
		}
		return markSpan(marks), state
	case 1:
		return strconv.Itoa(b.Count), state
	case 2:
		return desk.Length(p, b.Length), state
	case 3:
		return desk.Length(p, b.Width), state
	case 4:
		return desk.Length(p, b.Thickness), state
	case 5:
		return b.Species, state
	case 6:
		if b.Price.IsZero() {
			return "", state
		}
		return desk.Money(p, b.Price), state
	case 7:
		return some(b.TrimLeft), state
	case 8:
		return some(b.TrimRight), state
	}
	if col == 10 {
		state.Message = facesTold(b.Board)
		return facesText(b.Board), state
	}
	words := make([]string, len(b.Defects))
	for i, d := range b.Defects {
		words[i] = defectWords(p, d)
	}
	state.Message = strings.Join(words, "; ")
	return defectsText(p, b.Defects), state
}

// markSpan names many marks by the first ones and the last.
func markSpan(marks []string) string {
	if len(marks) > 3 {
		marks = slices.Concat(marks[:2], []string{"…"}, marks[len(marks)-1:])
	}
	return strings.Join(marks, " ")
}
