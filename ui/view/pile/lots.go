package pile

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"fyne.io/fyne/v2/lang"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/plan/money"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
)

var lotSources = []string{"pallet", "crate", "framing", "bought", "leftover", "other"}

// lotGrid is the table of lots.
func (r *Room) lotGrid() *control.Grid {
	d := r.desk
	text := func(title string, width float32, tip string) control.Column {
		return control.Column{Title: title, Width: width, Editable: true, Tip: tip}
	}
	source := text(lang.L("Source"), 90, "")
	source.Kind = control.Choice
	source.Choices = func(int) []string { return locale.WordsOf(lotSources...) }
	columns := []control.Column{
		text(lang.L("Lot"), 160, lang.L("name of boards that came together")), source, text(lang.L("Day"), 96, lang.L("YYYY-MM-DD")),
		text(lang.L("Time spent"), 90, lang.L("to fetch and take apart: 1h20, 80 min, 1:20")), text(lang.L("Money spent"), 106, ""),
		text(lang.L("Held"), 60, lang.L("boards it held when taken apart")), text(lang.L("Broke"), 60, lang.L("boards that broke on the way")),
		text(lang.L("Waiting"), 70, lang.L("pallets or crates not yet taken apart")), text(lang.L("Each holds"), 92, lang.L("boards in one of them")),
		text(lang.L("Boards in it"), 150, lang.L("their size when one is taken apart: 40 x 3 1/2 x 5/8")),
		{Title: lang.L("Note"), Width: 112, Stretch: true, Editable: true},
	}
	g := control.NewGrid(columns, func() int { return len(d.Session().Project().Lots) }, func(row, col int) (string, control.CellState) {
		lots := d.Session().Project().Lots
		if row >= len(lots) {
			return "", control.CellState{}
		}
		return lotCell(d.Session().Project(), lots[row], col), control.CellState{Bold: col == 0}
	})
	g.RowID = func(row int) string { return strconv.FormatInt(int64(d.Session().Project().Lots[row].ID), 10) }
	g.CanAdd = true
	g.OnMessage = d.Say
	g.Commit = func(row, col int, text string) error {
		return d.Session().Edit(lang.L("edit a lot"), "", func(p *plan.Project) (*plan.Project, error) {
			q := p.With(func(q *plan.Project) {
				q.Lots = slices.Clone(q.Lots)
				if row >= len(q.Lots) {
					q.Lots = append(q.Lots, plan.Lot{ID: q.Take(), Name: lang.L("Lot {{.lots}}", locale.With{"lots": len(q.Lots) + 1}), Source: "other", Order: len(q.Lots)})
				}
			})
			return q, setLot(q, &q.Lots[min(row, len(q.Lots)-1)], col, strings.TrimSpace(text))
		})
	}
	g.Delete = func(rows []int) {
		d.Fail(d.Session().Edit(lang.L("delete lots"), "", func(p *plan.Project) (*plan.Project, error) {
			gone := map[plan.ID]bool{}
			for _, row := range rows {
				if row < len(p.Lots) {
					gone[p.Lots[row].ID] = true
				}
			}
			if slices.ContainsFunc(p.Boards, func(b plan.Board) bool { return gone[b.Lot] }) {
				return nil, locale.Error("boards still belong to this lot; move or delete them first")
			}
			return p.With(func(q *plan.Project) {
				q.Lots = slices.DeleteFunc(slices.Clone(p.Lots), func(l plan.Lot) bool { return gone[l.ID] })
			}), nil
		}))
	}
	return g
}

func lotCell(p *plan.Project, l plan.Lot, col int) string {
	count := func(n int) string {
		if n == 0 {
			return ""
		}
		return strconv.Itoa(n)
	}
	switch col {
	case 0:
		return l.Name
	case 1:
		return l.Source
	case 2:
		return l.Date
	case 3:
		if l.Minutes == 0 {
			return ""
		}
		return measure.FormatDuration(time.Duration(l.Minutes) * time.Minute)
	case 4:
		if l.Spent.IsZero() {
			return ""
		}
		return l.Spent.String()
	case 5:
		return count(l.Held)
	case 6:
		return count(l.Broken)
	case 7:
		return count(l.Waiting)
	case 8:
		return count(l.PerUnit)
	case 9:
		if l.UnitBoard == 0 {
			return ""
		}
		return desk.Length(p, l.UnitBoard) + " x " + desk.Length(p, l.UnitWidth) + " x " + desk.Length(p, l.UnitThick)
	}
	return l.Note
}

func setLot(p *plan.Project, l *plan.Lot, col int, text string) error {
	count := func(into *int) error {
		if text == "" {
			*into = 0
			return nil
		}
		n, err := strconv.Atoi(text)
		if err != nil || n < 0 || n > plan.MaxBoards {
			return locale.Error("“{{.text}}” is not a number from 0 to {{.maxBoards}}", locale.With{"text": text, "maxBoards": plan.MaxBoards})
		}
		*into = n
		return nil
	}
	switch col {
	case 0:
		if text == "" {
			return locale.Error("a lot needs a name")
		}
		l.Name = text
	case 1:
		l.Source = text
	case 2:
		if err := plan.CheckDay(text); err != nil {
			return err
		}
		l.Date = text
	case 3:
		if text == "" {
			l.Minutes = 0
			return nil
		}
		d, err := locale.ParseMinutes(text)
		if err != nil {
			return err
		}
		l.Minutes = int(d.Minutes() + 0.5)
	case 4:
		if text == "" {
			l.Spent = plan.Lot{}.Spent
			return nil
		}
		d, err := locale.ParseMoney(text, money.Of(p.Shop.Currency))
		if err != nil {
			return err
		}
		l.Spent = d
	case 5:
		return count(&l.Held)
	case 6:
		return count(&l.Broken)
	case 7:
		return count(&l.Waiting)
	case 8:
		return count(&l.PerUnit)
	case 9:
		var b plan.Board
		if text != "" {
			plain, err := locale.Plain(text)
			if err != nil {
				return err
			}
			n, read, err := plan.QuickEntry(plain, p.Shop.Unit())
			if err != nil {
				return err
			}
			if n != 1 || read.Species != "" {
				return locale.Error("only length x width x thickness belongs here, for example 40 x 3 1/2 x 5/8")
			}
			b = read
		}
		l.UnitBoard, l.UnitWidth, l.UnitThick = b.Length, b.Width, b.Thickness
	default:
		l.Note = text
	}
	return nil
}
