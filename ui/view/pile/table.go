package pile

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"fyne.io/fyne/v2/lang"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/plan/money"
	"pilewright/plan/wood"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
)

// Columns of the boards' table.
const (
	colMark = iota
	colLength
	colWidth
	colThick
	colSpecies
	colTrimLeft
	colTrimRight
	colDefects
	colPrice
	colLot
	colPlace
	colState
	colSort
	colFaces
)

// Sorts of board as the table names them.
const (
	sortBoard   = "board"
	sortSheet   = "sheet"
	sortNoGrain = "sheet, no grain"
)

var (
	sorts  = []string{sortBoard, sortSheet, sortNoGrain}
	states = []plan.BoardState{plan.InPile, plan.Kept, plan.Cut, plan.Gone}
)

func sortOf(b plan.Board) string {
	switch {
	case b.Sheet && b.NoGrain:
		return sortNoGrain
	case b.Sheet:
		return sortSheet
	}
	return sortBoard
}

func boardColumns(d desk.Desk) []control.Column {
	text := func(title string, width float32, tip string) control.Column {
		return control.Column{Title: title, Width: width, Editable: true, Tip: tip}
	}
	size := func(title string, width float32, tip string) control.Column {
		return control.Column{Title: title, Width: width, Editable: true, Numeric: true, Tip: tip}
	}
	species := text(lang.L("Species"), 70, lang.L("any name makers use; what it is reckoned as is shown in the findings"))
	lots := text(lang.L("Lot"), 100, lang.L("the boards it came with; lots are kept under Lots"))
	lots.Kind = control.Choice
	lots.Choices = func(int) []string {
		names := []string{""}
		for _, l := range d.Session().Project().Lots {
			names = append(names, l.Name)
		}
		return names
	}
	state := text(lang.L("State"), 56, lang.L("empty: in the pile, free to be cut; kept: never cut; cut: cut up already; gone: burnt, sold or broken"))
	state.Kind = control.Choice
	state.Choices = func(int) []string { return locale.WordsOf(states...) }
	sort := text(lang.L("Sort"), 76, lang.L("board, or sheet goods (plywood, hardboard) for parts cut edge to edge; no grain: parts may be turned on it"))
	sort.Kind = control.Choice
	sort.Choices = func(int) []string { return locale.WordsOf(sorts...) }
	return []control.Column{
		text(lang.L("Mark"), 50, lang.L("what is chalked on the board")), size(lang.L("Length"), 94, lang.L("as measured, before the ends are trimmed")), size(lang.L("Width"), 78, lang.L("the least of several readings")), size(lang.L("Thick"), 86, lang.L("the least of several readings")),
		species, size(lang.L("Trim left"), 74, lang.L("lost at the left end: split, painted or out of square")), size(lang.L("Trim right"), 86, lang.L("lost at the right end")),
		{Title: lang.L("Defects"), Width: 130, Stretch: true, Editable: true, Tip: lang.L("what and where: knot@13..14 1/2, or with its place across: knot@13..14 1/2:2..3; what: split crack knot nail wane stain; stain b@13..14 shows on face B only. Or draw it below.")},
		size(lang.L("Price"), 56, lang.L("what this board cost; empty = its share of its lot")), lots, text(lang.L("Place"), 76, lang.L("where to find it")), state, sort,
		text(lang.L("Faces"), 84, lang.L("good face (A bears the mark, B, both good, neither good), then rings with A up (bark up, bark down, upright)")),
	}
}

// cell gives one cell of the boards' table.
func (r *Room) cell(row, col int) (string, control.CellState) {
	p := r.desk.Session().Project()
	if row >= len(r.shown) {
		return "", control.CellState{}
	}
	b := r.shown[row]
	state := control.CellState{Dim: b.State != plan.InPile}
	length := func(l measure.Length) string { return desk.Length(p, l) }
	some := func(l measure.Length) string {
		if l == 0 {
			return ""
		}
		return length(l)
	}
	switch col {
	case colMark:
		state.Bold = true
		return b.Mark, state
	case colLength:
		return length(b.Length), state
	case colWidth:
		return length(b.Width), state
	case colThick:
		return length(b.Thickness), state
	case colSpecies:
		if m := wood.Reckon(b.Species); m.Assumption != "" {
			state.Message = locale.Say(m.Assumption)
		}
		return b.Species, state
	case colTrimLeft:
		return some(b.TrimLeft), state
	case colTrimRight:
		return some(b.TrimRight), state
	case colDefects:
		for i, d := range b.Defects {
			if i > 0 {
				state.Message += "; "
			}
			state.Message += defectWords(p, d)
		}
		return defectsText(p, b.Defects), state
	case colFaces:
		state.Message = facesTold(b)
		return facesText(b), state
	case colPrice:
		if b.Price.IsZero() {
			return "", state
		}
		return desk.Money(p, b.Price), state
	case colLot:
		l, _ := p.Lot(b.Lot)
		return l.Name, state
	case colPlace:
		return b.Place, state
	case colSort:
		return locale.Word(sortOf(b)), state
	}
	return locale.Word(string(b.State)), state
}

// defectsText writes defects in the shop's unit so that they can be read back; a
// size without a unit is read in that unit.
func defectsText(p *plan.Project, list []plan.Defect) string {
	unit := p.Shop.Unit()
	bare := func(l measure.Length) string {
		text := locale.Number(measure.ExactIn(l, unit))
		if unit == measure.Millimetres {
			return strings.TrimSuffix(text, " mm")
		}
		return strings.TrimSuffix(text, `"`)
	}
	var out []string
	for _, d := range list {
		text := locale.Word(string(d.Kind))
		if d.Side == plan.FaceA || d.Side == plan.FaceB {
			text += " " + string(d.Side)
		}
		text += fmt.Sprintf("@%s..%s", bare(d.From), bare(d.To))
		if d.AcrossTo != 0 {
			text += fmt.Sprintf(":%s..%s", bare(d.AcrossFrom), bare(d.AcrossTo))
		}
		out = append(out, text)
	}
	return strings.Join(out, "; ")
}

// readDefects reads what defectsText writes.
func readDefects(text string, unit measure.Unit) ([]plan.Defect, error) {
	plain, err := locale.Plain(text)
	if err != nil {
		return nil, err
	}
	for _, k := range defectKinds {
		for _, side := range []string{"@", " a@", " b@"} {
			plain = strings.ReplaceAll(plain, locale.Word(string(k))+side, string(k)+side)
		}
	}
	return plan.ParseDefects(plain, unit)
}

var defectKinds = []plan.DefectKind{plan.Split, plan.Crack, plan.Knot, plan.NailHole, plan.Wane, plan.Stain}

// kindName is a kind of defect for reading in a sentence.
func kindName(k plan.DefectKind) string {
	switch k {
	case plan.Split:
		return lang.L("a split")
	case plan.Crack:
		return lang.L("a crack")
	case plan.Knot:
		return lang.L("a knot")
	case plan.NailHole:
		return lang.L("a nail hole")
	case plan.Wane:
		return lang.L("wane")
	case plan.Stain:
		return lang.L("stained wood")
	}
	return string(k)
}

// kindNamed is the kind of that name, "" for none.
func kindNamed(name string) plan.DefectKind {
	for _, k := range defectKinds {
		if kindName(k) == name {
			return k
		}
	}
	return ""
}

// defectWords tells of a defect in a sentence's part.
func defectWords(p *plan.Project, d plan.Defect) string {
	length := func(l measure.Length) string { return desk.Length(p, l) }
	text := lang.L("{{.kind}} from {{.from}} to {{.to}}", locale.With{"kind": kindName(d.Kind), "from": length(d.From), "to": length(d.To)})
	if d.AcrossTo != 0 {
		text += lang.L(", {{.acrossFrom}} to {{.acrossTo}} across", locale.With{"acrossFrom": length(d.AcrossFrom), "acrossTo": length(d.AcrossTo)})
	}
	switch d.Side {
	case plan.FaceA:
		text += lang.L(", on face A only")
	case plan.FaceB:
		text += lang.L(", on face B only")
	}
	if d.Kind.HiddenMayHold() {
		text += lang.L(" (a hidden part may hold it)")
	}
	return text
}

// added says which boards the quick entry put into the pile.
func added(n int, p *plan.Project) string {
	last := p.Boards[len(p.Boards)-1]
	size := desk.Size(p, last.Length, last.Width, last.Thickness)
	if n == 1 {
		return lang.L("Board {{.mark}} added: {{.size}} {{.species}}.", locale.With{"mark": last.Mark, "size": size, "species": last.Species})
	}
	return lang.L("{{.n}} boards added, {{.mark}} to {{.mark2}}: {{.size}} {{.species}}.", locale.With{"n": n, "mark": p.Boards[len(p.Boards)-n].Mark, "mark2": last.Mark, "size": size, "species": last.Species})
}

// commit takes one typed cell.
func (r *Room) commit(row, col int, text string) error {
	if errs := r.batch([]control.Edit{{Row: row, Col: col, Text: text}}); errs[0] != nil {
		return errs[0]
	}
	return nil
}

// batch takes many cells as one edit; a refused cell leaves the others.
func (r *Room) batch(edits []control.Edit) []error {
	errs := make([]error, len(edits))
	name := lang.L("edit a board")
	if len(edits) > 1 {
		name = lang.L("edit boards")
	}
	key := ""
	if len(edits) == 1 && edits[0].Row < len(r.shown) {
		key = fmt.Sprintf("board %d %d", r.shown[edits[0].Row].ID, edits[0].Col)
	}
	err := r.desk.Session().Edit(name, key, func(p *plan.Project) (*plan.Project, error) {
		q := p
		ids := make([]plan.ID, len(r.shown))
		for i, b := range r.shown {
			ids[i] = b.ID
		}
		for i, e := range edits {
			for e.Row >= len(ids) {
				next, err := q.AddBoards(plan.Board{Length: 36 * measure.Inch, Width: 4 * measure.Inch, Thickness: measure.Inch}, 1)
				if err != nil {
					errs[i] = err
					return q, nil
				}
				q = next
				ids = append(ids, q.Boards[len(q.Boards)-1].ID)
			}
			next, err := q.EditBoards([]plan.ID{ids[e.Row]}, func(b *plan.Board) error { return setCell(q, b, e.Col, e.Text) })
			if err != nil {
				errs[i] = err
				continue
			}
			q = next
		}
		return q, nil
	})
	if err != nil {
		for i := range errs {
			errs[i] = errors.Join(errs[i], err)
		}
	}
	return errs
}

// setCell puts a typed text into a board.
func setCell(p *plan.Project, b *plan.Board, col int, text string) error {
	text = strings.TrimSpace(text)
	if len(text) > 10_000 {
		return locale.Error("the text is too long")
	}
	unit := p.Shop.Unit()
	length := func(into *measure.Length, least measure.Length) error {
		if text == "" && least == 0 {
			*into = 0
			return nil
		}
		l, err := locale.ParseLength(text, unit)
		if err != nil {
			return err
		}
		if l < least {
			return locale.Error("it must be at least {{.least}}", locale.With{"least": locale.Number(measure.ExactIn(max(least, 0), unit))})
		}
		*into = l
		return nil
	}
	switch col {
	case colMark:
		if text == "" {
			return locale.Error("a board needs a mark")
		}
		if slices.ContainsFunc(p.Boards, func(o plan.Board) bool { return o.ID != b.ID && strings.EqualFold(o.Mark, text) }) {
			return locale.Error("another board has the mark {{.text}}", locale.With{"text": text})
		}
		b.Mark = text
	case colLength:
		return length(&b.Length, plan.SizeLeast)
	case colWidth:
		return length(&b.Width, plan.SizeLeast)
	case colThick:
		return length(&b.Thickness, plan.SizeLeast)
	case colSpecies:
		b.Species = text
	case colTrimLeft:
		return length(&b.TrimLeft, 0)
	case colTrimRight:
		return length(&b.TrimRight, 0)
	case colDefects:
		d, err := readDefects(text, unit)
		if err != nil {
			return err
		}
		b.Defects = d
	case colFaces:
		if text == "" {
			b.Faces, b.Rings = plan.FacesUnknown, plan.NotMarked
			return nil
		}
		good, rings, err := readFaces(text)
		if err != nil {
			return err
		}
		b.Faces, b.Rings = good, rings
	case colPrice:
		if text == "" {
			b.Price = plan.Board{}.Price
			return nil
		}
		d, err := locale.ParseMoney(text, money.Of(p.Shop.Currency))
		if err != nil {
			return err
		}
		b.Price = d
	case colLot:
		b.Lot = 0
		for _, l := range p.Lots {
			if l.Name == text {
				b.Lot = l.ID
			}
		}
		if text != "" && b.Lot == 0 {
			return locale.Error("there is no lot “{{.text}}”; add it under Lots", locale.With{"text": text})
		}
	case colPlace:
		b.Place = text
	case colState:
		b.State = locale.ID(text, states...)
	case colSort:
		switch text = locale.ID(text, sorts...); text {
		case "", sortBoard, sortSheet, sortNoGrain:
			b.Sheet, b.NoGrain = text == sortSheet || text == sortNoGrain, text == sortNoGrain
		default:
			return locale.Error("“{{.text}}” is no sort; it is {{.board}}, {{.sheet}} or “{{.noGrain}}”", locale.With{"text": text, "board": locale.Word(sortBoard), "sheet": locale.Word(sortSheet), "noGrain": locale.Word(sortNoGrain)})
		}
	}
	return nil
}

// sorting orders the table.
type sorting struct {
	col  int
	down bool
	on   bool
}

func (s sorting) apply(list []plan.Board) {
	if !s.on {
		return
	}
	key := func(a, b plan.Board) int {
		switch s.col {
		case colLength:
			return cmp.Compare(a.Length, b.Length)
		case colWidth:
			return cmp.Compare(a.Width, b.Width)
		case colThick:
			return cmp.Compare(a.Thickness, b.Thickness)
		case colSpecies:
			return cmp.Compare(a.Species, b.Species)
		case colPrice:
			return a.Price.Cmp(b.Price)
		case colPlace:
			return cmp.Compare(a.Place, b.Place)
		case colState:
			return cmp.Compare(a.State, b.State)
		case colLot:
			return cmp.Compare(a.Lot, b.Lot)
		case colSort:
			return cmp.Compare(sortOf(a), sortOf(b))
		}
		return cmp.Or(cmp.Compare(len(a.Mark), len(b.Mark)), cmp.Compare(a.Mark, b.Mark))
	}
	slices.SortStableFunc(list, func(a, b plan.Board) int {
		if s.down {
			return key(b, a)
		}
		return key(a, b)
	})
}

// millimetres turns a place on a drawing into a length, to the tenth of a
// millimetre that a pointer can mean.
func millimetres(mm float64) measure.Length {
	return measure.Length(math.Round(mm*10)) * measure.Millimetre / 10
}

// pointerStep is the step to which a defect is drawn: a sixteenth of an inch or a
// millimetre.
func pointerStep(p *plan.Project) measure.Length {
	if p.Shop.Inches {
		return measure.Inch / 16
	}
	return measure.Millimetre
}

// below and above bring a place to the step that leaves the defect no smaller.
func below(mm float64, step measure.Length) measure.Length {
	return measure.Length(math.Floor(mm*float64(measure.Millimetre)/float64(step)+1e-6)) * step
}

func above(mm float64, step measure.Length) measure.Length { return -below(-mm, step) }

func hypot(x, y float64) float64 { return math.Hypot(x, y) }
