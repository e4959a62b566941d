package glueups

import (
	"slices"

	"fyne.io/fyne/v2/lang"

	"pilewright/plan"
	"pilewright/ui/control"
	"pilewright/ui/locale"
)

// ringLies are the ways growth rings may lie, ringNames what they are called.
var ringLies = []plan.Rings{plan.NotMarked, plan.BarkUp, plan.BarkDown, plan.Upright}

func ringNames() []string {
	return []string{lang.L("Rings: not marked"), lang.L("Rings: bark up"), lang.L("Rings: bark down"), lang.L("Rings: upright")}
}

// ringSelect marks the growth rings of the strip picked as it lies now.
func (r *Room) ringSelect() *control.TipSelect {
	names := ringNames()
	s := control.NewTipSelect(names, lang.L("rings at the strip's end as it lies (bark up: arched like a hill); the plan turns strips to the shop's habit"), func(name string) {
		if i := slices.Index(names, name); i >= 0 {
			r.markRings(ringLies[i])
		}
	})
	s.OnMessage = r.desk.Say
	s.PlaceHolder = lang.L("Rings of the strip…")
	return s
}

// showRings shows how the rings of the strip picked lie.
func (r *Room) showRings() {
	name := ""
	if g, ok := r.shown(); ok {
		if row, place, found := at(g, r.strip); found {
			name = ringNames()[max(slices.Index(ringLies, g.Panel.Rows[row-1].Pieces[place-1].Rings), 0)]
		}
	}
	r.rings.Pick(name)
}

// markRings notes how the rings of the strip picked lie.
func (r *Room) markRings(lie plan.Rings) {
	g, ok := r.shown()
	row, place, found := at(g, r.strip)
	if !ok || !found {
		r.desk.Fail(locale.Error("pick a strip on the drawing first"))
		r.showRings()
		return
	}
	q := g.Panel.Rows[row-1].Pieces[place-1]
	boards, _ := strips(r.plan())
	b, there := boards[q.Strip]
	if !there || q.Rings == lie {
		return
	}
	what := lang.L("rings of {{.name}}", locale.With{"name": q.Chalk})
	r.keep(g, what, func(p *plan.Project) (*plan.Project, error) { return withRings(p, q.Strip, b.ID, lie, q.Flip), nil })
	if r.before != nil {
		r.before.marked, r.before.flip = q.Strip, q.Flip
	}
}

// withRings notes how the rings of a strip lie, turned over or not. A mark that
// says what the board's own does is no longer wanted.
func withRings(p *plan.Project, strip string, board plan.ID, lie plan.Rings, flip bool) *plan.Project {
	if flip {
		lie = lie.Turned()
	}
	b, _ := p.Board(board)
	return p.With(func(q *plan.Project) {
		q.Choices = slices.DeleteFunc(slices.Clone(p.Choices), func(c plan.Choice) bool { return c.Kind == plan.RingsMark && c.Blank == strip })
		if lie != b.Rings {
			q.Choices = append(q.Choices, plan.Choice{ID: q.Take(), Piece: p.Piece.ID, Kind: plan.RingsMark, Blank: strip, Board: board, Rings: lie, Order: len(p.Choices)})
		}
	})
}
