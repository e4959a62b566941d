package glueups

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"

	"pilewright/layout/drawing"
	"pilewright/plan"
	"pilewright/ui/locale"
	"pilewright/ui/paint"
)

// spot is a place in a panel: a row and a place along it, from 1. Place 0 is
// anywhere in the row.
type spot struct{ row, place int }

// spotAt finds the row under a point of the drawing, and in a row of several
// pieces the place along it. ok is false off the panel.
func spotAt(pic *drawing.Picture, g plan.GlueUp, x, y float64) (spot, bool) {
	const near = 3.0 // millimetres of paper beside the panel that still count
	best, where := math.Inf(1), spot{}
	for i, r := range g.Panel.Rows {
		for k, q := range r.Pieces {
			box, ok := pic.Extent(stripRef(q.Strip))
			if !ok {
				continue
			}
			off := math.Hypot(max(box.X0-x, x-box.X1, 0), max(box.Y0-y, y-box.Y1, 0))
			if off < best {
				best, where = off, spot{i + 1, k + 1}
			}
		}
	}
	if best > near {
		return spot{}, false
	}
	if len(g.Panel.Rows[where.row-1].Pieces) == 1 {
		where.place = 0
	}
	return where, true
}

// withLock gives the project with a strip locked in a place of its glue-up. What
// was locked in that place before is let go.
func withLock(p *plan.Project, strip string, to spot, up side, mates []string) *plan.Project {
	return p.With(func(q *plan.Project) {
		q.Choices = slices.DeleteFunc(slices.Clone(p.Choices), func(c plan.Choice) bool {
			return c.Kind == plan.RowPlace && (c.Blank == strip || slices.Contains(mates, c.Blank) && c.Row == to.row && (c.Place == to.place || to.place == 0))
		})
		q.Choices = append(q.Choices, plan.Choice{ID: q.Take(), Piece: p.Piece.ID, Kind: plan.RowPlace, Blank: strip, Row: to.row, Place: to.place, Flip: up.flip, AnyFace: up.any, Order: len(p.Choices)})
	})
}

// withoutLocks gives the project with strips of their own accord again.
func withoutLocks(p *plan.Project, strips []string) *plan.Project {
	return p.With(func(q *plan.Project) {
		q.Choices = slices.DeleteFunc(slices.Clone(p.Choices), func(c plan.Choice) bool { return c.Kind == plan.RowPlace && slices.Contains(strips, c.Blank) })
	})
}

// mates are the strips of a glue-up.
func mates(g plan.GlueUp) []string {
	var out []string
	for _, r := range g.Panel.Rows {
		for _, q := range r.Pieces {
			out = append(out, q.Strip)
		}
	}
	return out
}

func (r *Room) mayDrag(ref string) bool {
	g, ok := r.shown()
	if !ok || !strings.HasPrefix(ref, "strip:") {
		return false
	}
	if g.Way == plan.Laminated {
		r.desk.Say(lang.L("The layers of a lamination lie by how clean they are; they are not moved by hand."))
		return false
	}
	return true
}

func (r *Room) over(ref string, to paint.Place) bool {
	g, ok := r.shown()
	where, on := spotAt(r.view.Picture(), g, to.X, to.Y)
	strip, is := strings.CutPrefix(ref, "strip:")
	r.desk.Say(moveSay(r.plan(), g, strip, where.row))
	return ok && on && is
}

func (r *Room) dropped(ref string, to paint.Place) {
	g, _ := r.shown()
	where, on := spotAt(r.view.Picture(), g, to.X, to.Y)
	if strip, ok := strings.CutPrefix(ref, "strip:"); ok && on {
		r.lock(g, strip, where, faceLocked(r.plan().Project, strip))
		return
	}
	r.desk.Fail(locale.Error("the strip was left where it was: let go over a row"))
}

// side is the face a lock keeps up; any leaves it to the plan.
type side struct{ flip, any bool }

// faceLocked is what the strip's lock says of its face: where there is none, the
// plan goes on choosing when the strip is moved.
func faceLocked(p *plan.Project, strip string) side {
	for _, c := range p.Choices {
		if c.Kind == plan.RowPlace && c.Blank == strip && !c.AnyFace {
			return side{flip: c.Flip}
		}
	}
	return side{any: true}
}

// flipped reports whether the strip lies turned over.
func flipped(g plan.GlueUp, strip string) bool {
	row, place, ok := at(g, strip)
	return ok && g.Panel.Rows[row-1].Pieces[place-1].Flip
}

// lock keeps a strip in a place and notes how the glue-up stood before.
func (r *Room) lock(g plan.GlueUp, strip string, to spot, up side) {
	_, marks := strips(r.plan())
	name := cmp.Or(marks[strip], lang.L("strip"))
	what := lang.L("{{.name}} in row {{.row}}", locale.With{"name": name, "row": to.row})
	r.strip = strip
	r.keep(g, what, func(p *plan.Project) (*plan.Project, error) { return withLock(p, strip, to, up, mates(g)), nil })
}

// keep makes an edit of the rows.
func (r *Room) keep(g plan.GlueUp, what string, edit func(*plan.Project) (*plan.Project, error)) {
	r.before = &state{key: g.Key, planed: g.Panel.Planed, faults: slices.Clone(g.Panel.Faults), what: what}
	err := r.desk.Session().Edit(what, "", edit)
	if err != nil {
		r.before = nil
	}
	r.desk.Fail(err)
}

// picked is the glue-up shown and the strip picked in it.
func (r *Room) picked() (plan.GlueUp, spot, error) {
	g, ok := r.shown()
	if !ok {
		return g, spot{}, locale.Error("there is no glue-up yet")
	}
	row, place, found := at(g, r.strip)
	if !found {
		return g, spot{}, locale.Error("pick a strip on the drawing first")
	}
	if g.Way == plan.Laminated {
		return g, spot{}, locale.Error("the layers of a lamination lie by how clean they are; they are not moved by hand")
	}
	return g, spot{row, place}, nil
}

func (r *Room) lockPicked() {
	g, where, err := r.picked()
	if err != nil {
		r.desk.Fail(err)
		return
	}
	r.lock(g, r.strip, where, side{flip: flipped(g, r.strip)})
}

func (r *Room) flipPicked() {
	g, where, err := r.picked()
	if err != nil {
		r.desk.Fail(err)
		return
	}
	r.lock(g, r.strip, where, side{flip: !flipped(g, r.strip)})
}

// unlockAll lets every strip of the glue-up shown go.
func (r *Room) unlockAll() {
	g, ok := r.shown()
	if !ok {
		return
	}
	r.unlock(mates(g))
}

func (r *Room) unlock(list []string) {
	g, _ := r.shown()
	if !slices.ContainsFunc(list, func(s string) bool { return locked(r.desk.Session().Project(), s) }) {
		r.desk.Fail(locale.Error("no strip of this glue-up is locked"))
		return
	}
	r.keep(g, lang.L("strips unlocked"), func(p *plan.Project) (*plan.Project, error) { return withoutLocks(p, list), nil })
}

func (r *Room) menu(ref string) *fyne.Menu {
	strip, ok := strings.CutPrefix(ref, "strip:")
	if !ok {
		return nil
	}
	r.pick(ref)
	items := []*fyne.MenuItem{
		fyne.NewMenuItem(lang.L("Turn over"), r.flipPicked),
		fyne.NewMenuItem(lang.L("Lock where it is"), r.lockPicked),
	}
	if locked(r.desk.Session().Project(), strip) {
		items = append(items, fyne.NewMenuItem(lang.L("Unlock"), func() { r.unlock([]string{strip}) }))
	}
	items = append(items, fyne.NewMenuItemSeparator())
	for i, name := range ringNames() {
		items = append(items, fyne.NewMenuItem(name, func() { r.markRings(ringLies[i]) }))
	}
	return fyne.NewMenu("", items...)
}
