package shop

import (
	"slices"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"
	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/plan/trade"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
)

// pieceSetting is one line about the open piece.
type pieceSetting struct {
	name, tip string
	get       func(p *plan.Project) string
	set       func(p *plan.Project, q *plan.Piece, v string) error
}

// PiecePage is the page of the open piece: its name, targets, load, glue and
// finish, where they differ from the shop's.
func PiecePage(d desk.Desk) fyne.CanvasObject {
	list := pieceSettings()
	g := control.NewGrid([]control.Column{
		{Title: lang.L("Of this piece"), Width: 220}, {Title: lang.L("Is"), Width: 220, Editable: true}, {Title: "", Width: 320, Stretch: true},
	}, func() int { return len(list) }, func(row, col int) (string, control.CellState) {
		switch col {
		case 0:
			return list[row].name, control.CellState{}
		case 1:
			return list[row].get(d.Session().Project()), control.CellState{Bold: true, Message: list[row].tip}
		}
		return list[row].tip, control.CellState{Dim: true}
	})
	g.OnMessage = d.Say
	g.Commit = func(row, _ int, text string) error {
		s := list[row]
		return d.Session().Edit(lang.L("change the piece's {{.name}}", locale.With{"name": strings.ToLower(s.name)}), "piece "+s.name, func(p *plan.Project) (*plan.Project, error) {
			if p.Piece.ID == 0 {
				return nil, locale.Error("begin a piece first")
			}
			piece := p.Piece
			if err := s.set(p, &piece, strings.TrimSpace(text)); err != nil {
				return nil, err
			}
			return p.With(func(q *plan.Project) { q.Piece = piece }), nil
		})
	}
	return g
}

func pieceSettings() []pieceSetting {
	return []pieceSetting{
		{lang.L("Name"), "", func(p *plan.Project) string { return p.Piece.Name }, func(p *plan.Project, q *plan.Piece, v string) error {
			if v == "" || len(v) > plan.MaxText {
				return locale.Error("a piece needs a name, not too long")
			}
			if slices.ContainsFunc(p.Pieces, func(o plan.Piece) bool { return o.ID != q.ID && strings.EqualFold(o.Name, v) }) {
				return locale.Error("there is a piece called {{.v}} already", locale.With{"v": v})
			}
			q.Name = v
			return nil
		}},
		{lang.L("Target hours"), lang.L("what you want to need for it; empty = none"), func(p *plan.Project) string { return some(p.Piece.TargetHours) }, func(_ *plan.Project, q *plan.Piece, v string) error {
			if v == "" {
				q.TargetHours = decimal.Zero
				return nil
			}
			d, err := locale.ParseMinutes(v)
			if n, bad := locale.ParseDecimal(v); bad == nil {
				q.TargetHours = n // a bare number is hours here
				return within(n, 10_000)
			}
			if err != nil {
				return err
			}
			q.TargetHours = decimal.NewFromFloat(d.Hours()).Round(4)
			return nil
		}},
		{lang.L("Load, kg"), lang.L("spread over it, for the checks of sag; empty = 60 kg is taken"), func(p *plan.Project) string { return plainNumber(p.Piece.LoadKG) }, func(_ *plan.Project, q *plan.Piece, v string) error {
			return optional(v, 2000, &q.LoadKG)
		}},
		{lang.L("Glue"), lang.L("empty = the shop's; {{.ids}}", locale.With{"ids": ids(trade.Glues, func(g trade.Glue) string { return g.ID })}), func(p *plan.Project) string { return locale.Word(p.Piece.Glue) }, func(_ *plan.Project, q *plan.Piece, v string) error {
			v = idOf(v, trade.Glues, func(g trade.Glue) string { return g.ID })
			if _, ok := trade.GlueByID(v); !ok && v != "" {
				return locale.Error("there is no glue “{{.v}}”", locale.With{"v": v})
			}
			q.Glue = v
			return nil
		}},
		{lang.L("Finish"), lang.L("empty = the shop's; {{.ids}}", locale.With{"ids": ids(trade.Finishes, func(f trade.Finish) string { return f.ID })}), func(p *plan.Project) string { return locale.Word(p.Piece.Finish) }, func(_ *plan.Project, q *plan.Piece, v string) error {
			v = idOf(v, trade.Finishes, func(f trade.Finish) string { return f.ID })
			if _, ok := trade.FinishByID(v); !ok && v != "" {
				return locale.Error("there is no finish “{{.v}}”", locale.With{"v": v})
			}
			q.Finish = v
			return nil
		}},
		{lang.L("Coats"), lang.L("empty = the finish's usual number"), func(p *plan.Project) string {
			if p.Piece.Coats == 0 {
				return ""
			}
			return strconv.Itoa(p.Piece.Coats)
		}, func(_ *plan.Project, q *plan.Piece, v string) error {
			if v == "" {
				q.Coats = 0
				return nil
			}
			n, err := strconv.Atoi(v)
			if err != nil || n < 1 || n > 20 {
				return locale.Error("“{{.v}}” is not a number of coats from 1 to 20", locale.With{"v": v})
			}
			q.Coats = n
			return nil
		}},
		{lang.L("Stagger of end joints"), lang.L("empty = the shop's"), func(p *plan.Project) string { return someLength(p, p.Piece.Stagger) }, func(p *plan.Project, q *plan.Piece, v string) error {
			return readLength(&p.Shop, v, &q.Stagger)
		}},
		{lang.L("Step between rows"), lang.L("empty = the shop's"), func(p *plan.Project) string { return someLength(p, p.Piece.StepLimit) }, func(p *plan.Project, q *plan.Piece, v string) error {
			return readLength(&p.Shop, v, &q.StepLimit)
		}},
		{lang.L("Note"), "", func(p *plan.Project) string { return p.Piece.Note }, func(_ *plan.Project, q *plan.Piece, v string) error {
			if len(v) > 4*plan.MaxText {
				return locale.Error("the note is too long")
			}
			q.Note = v
			return nil
		}},
	}
}

func some(d decimal.Decimal) string {
	if d.IsZero() {
		return ""
	}
	return locale.Number(d.String())
}

func someLength(p *plan.Project, l measure.Length) string {
	if l == 0 {
		return ""
	}
	return locale.Length(l, p.Shop.Style())
}

func plainNumber(f float64) string {
	if f == 0 {
		return ""
	}
	return locale.Float(f, -1)
}

func optional(v string, high float64, into *float64) error {
	if v == "" {
		*into = 0
		return nil
	}
	return readNumber(v, 0, high, into)
}

func within(d decimal.Decimal, high int64) error {
	if d.IsNegative() || d.GreaterThan(decimal.NewFromInt(high)) {
		return locale.Error("it must be from 0 to {{.high}}", locale.With{"high": high})
	}
	return nil
}

func ids[T any](list []T, of func(T) string) string {
	var out []string
	for _, t := range list {
		out = append(out, locale.Word(of(t)))
	}
	return strings.Join(out, ", ")
}

// idOf takes back what ids writes.
func idOf[T any](text string, list []T, of func(T) string) string {
	for _, t := range list {
		if id := of(t); locale.ID(text, id) == id {
			return id
		}
	}
	return text
}
