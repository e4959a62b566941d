package cuts

import (
	"fmt"
	"slices"
	"strings"

	"fyne.io/fyne/v2/lang"

	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
	"pilewright/ui/paint"
)

// choice is a lock just made, with the plan it is measured against.
type choice struct {
	name   string // "B2 from C4"
	key    string // of the lock in the table
	before *plan.Plan
	told   string
}

// remember keeps the plan before a lock, so that its cost can be told.
func (r *Room) remember(name, key string) {
	r.choice = choice{name: name, key: key, before: r.desk.Session().Plan()}
}

// forget drops what was told of a choice once something else was edited, or the
// choice was taken back before it was told.
func (r *Room) forget() {
	stands := slices.ContainsFunc(r.desk.Session().Project().Choices, func(c plan.Choice) bool {
		return lockKey(c.Kind, c.Blank, c.Row, c.Board) == r.choice.key
	})
	if r.choice.before == nil || !stands {
		r.choice = choice{}
	}
}

// reckon compares the newest plan with the one before the last lock.
func (r *Room) reckon() {
	s := r.desk.Session()
	if r.choice.before == nil || s.Stale() {
		return
	}
	busy, _ := s.Busy()
	text := Cost(r.choice.before, s.Plan())
	switch {
	case busy:
		r.choice.told = lang.L("With {{.choice}}: {{.cost}} so far, against the plan without that choice.", locale.With{"choice": r.choice.name, "cost": text})
		return
	case !r.choice.before.Cuts.Final || !s.Plan().Cuts.Final:
		r.choice.told = lang.L("With {{.choice}}: {{.cost}}, against the best plan found without that choice.", locale.With{"choice": r.choice.name, "cost": text})
	default:
		r.choice.told = lang.L("With {{.choice}}: {{.cost}}, against the plan without that choice.", locale.With{"choice": r.choice.name, "cost": text})
	}
	r.costs[r.choice.key] = text
	r.desk.Say(r.choice.told)
	r.choice.before = nil
}

// Cost says in a clause what a plan costs more, or less, than another.
func Cost(before, after *plan.Plan) string {
	var parts []string
	differ := func(d decimal.Decimal, text string) {
		switch d.Sign() {
		case 1:
			parts = append(parts, lang.L("{{.amount}} more", locale.With{"amount": text}))
		case -1:
			parts = append(parts, lang.L("{{.amount}} less", locale.With{"amount": text}))
		}
	}
	missing := func(p *plan.Plan) (n int64) {
		for _, x := range p.Cuts.Short {
			n += int64(x.Count)
		}
		return n
	}
	if d := missing(after) - missing(before); d != 0 {
		differ(decimal.NewFromInt(d), lang.N("{{.n}} blanks missing", int(max(d, -d)), locale.With{"n": max(d, -d)}))
	}
	d := after.Cuts.Money.Sub(before.Cuts.Money)
	differ(d, desk.Money(after.Project, d.Abs()))
	d = after.Ledger.Feet.Sub(before.Ledger.Feet).Round(1)
	differ(d, desk.Wood(after.Project, d.Abs()))
	n := len(after.Cuts.Boards) - len(before.Cuts.Boards)
	differ(decimal.NewFromInt(int64(n)), boards(max(n, -n)))
	if len(parts) == 0 {
		return lang.L("it costs nothing")
	}
	return strings.Join(parts, ", ")
}

// over tells, while a blank is dragged, whether the board under it could take it.
func (r *Room) over(ref string, at paint.Place) bool {
	c, from, ok := r.cutOf(ref)
	r.drop = boardOf(at.Ref)
	if !ok || r.drop == 0 {
		r.desk.Say(lang.L("Drop it on a board."))
		return false
	}
	p := r.desk.Session().Plan()
	b, _ := p.Project.Board(r.drop)
	bl, _ := p.Blank(c.Blank)
	switch {
	case r.drop == from:
		r.desk.Say(lang.L("{{.blank}} stays on board {{.board}}.", locale.With{"blank": c.Mark, "board": b.Mark}))
	case b.Length-b.TrimLeft-b.TrimRight < bl.Length:
		r.desk.Say(lang.L("Board {{.board}} is too short for {{.blank}}: {{.length}} is needed.", locale.With{"board": b.Mark, "blank": c.Mark, "length": desk.Length(p.Project, bl.Length)}))
		return false
	case b.Width < bl.Width:
		r.desk.Say(lang.L("Board {{.board}} is too narrow for {{.blank}}: {{.width}} is needed.", locale.With{"board": b.Mark, "blank": c.Mark, "width": desk.Length(p.Project, bl.Width)}))
		return false
	case b.Thickness < bl.Thickness:
		r.desk.Say(lang.L("Board {{.board}} is too thin for {{.blank}}: {{.thickness}} is needed.", locale.With{"board": b.Mark, "blank": c.Mark, "thickness": desk.Length(p.Project, bl.Thickness)}))
		return false
	case r.isNever(r.drop):
		r.desk.Say(lang.L("Board {{.board}} is never to be cut; take that lock off first.", locale.With{"board": b.Mark}))
		return false
	case clearRun(b) < bl.Length && bl.Grade != plan.Hidden:
		r.desk.Say(lang.L("No clear length of {{.length}} on board {{.board}} between its defects; the longest is {{.clearRun}}.", locale.With{"length": desk.Length(p.Project, bl.Length), "board": b.Mark, "clearRun": desk.Length(p.Project, clearRun(b))}))
		return false
	case bl.Species != "" && !strings.EqualFold(bl.Species, b.Species):
		r.desk.Say(lang.L("Board {{.board}} is {{.species}}; {{.blank}} must be {{.wanted}}.", locale.With{"board": b.Mark, "species": locale.Say(b.Species), "blank": c.Mark, "wanted": locale.Say(bl.Species)}))
		return false
	default:
		r.desk.Say(lang.L("{{.blank}} can come from board {{.board}}: let go to lock it there. The rest is planned anew.", locale.With{"blank": c.Mark, "board": b.Mark}))
	}
	return true
}

// isNever tells whether the maker keeps the saw off a board.
func (r *Room) isNever(board plan.ID) bool {
	return slices.ContainsFunc(r.desk.Session().Project().Choices, func(c plan.Choice) bool { return c.Kind == plan.NeverBoard && c.Board == board })
}

// clearRun is the longest stretch of a board between its trims that no defect
// across the whole width breaks.
func clearRun(b plan.Board) measure.Length {
	best, from := measure.Length(0), b.TrimLeft
	var full []plan.Defect
	for _, d := range b.Defects {
		if d.AcrossTo == 0 || d.AcrossFrom <= 0 && d.AcrossTo >= b.Width {
			full = append(full, d)
		}
	}
	slices.SortFunc(full, func(a, c plan.Defect) int { return int(max(-1, min(1, a.From-c.From))) })
	for _, d := range full {
		best = max(best, d.From-from)
		from = max(from, d.To)
	}
	return max(best, b.Length-b.TrimRight-from)
}

func (r *Room) dropped(ref string, at paint.Place) {
	c, _, ok := r.cutOf(ref)
	if !ok || !r.over(ref, at) {
		r.desk.Fail(locale.Error("the blank was left where it was"))
		return
	}
	r.lock(c, boardOf(at.Ref))
}

// lock keeps one blank on a board and remembers the plan it is compared with. The
// part is then made the way the blank is for; else the lock could mean nothing.
func (r *Room) lock(c plan.CutPiece, board plan.ID) {
	made := r.desk.Session().Plan()
	bl, ok := made.Blank(c.Blank)
	if !ok {
		return
	}
	b, _ := r.desk.Session().Project().Board(board)
	r.remember(lang.L("{{.blank}} from board {{.board}}", locale.With{"blank": c.Mark, "board": b.Mark}), lockKey(plan.BlankOnBoard, c.Blank, c.N, board))
	err := r.desk.Session().Edit(lang.L("lock {{.blank}} to {{.board}}", locale.With{"blank": c.Mark, "board": b.Mark}), "", func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) {
			q.Choices = append(slices.DeleteFunc(slices.Clone(p.Choices), func(o plan.Choice) bool { return o.Kind == plan.BlankOnBoard && o.Row == c.N && o.Blank == c.Blank }),
				plan.Choice{ID: q.Take(), Piece: p.Piece.ID, Kind: plan.BlankOnBoard, Blank: c.Blank, Row: c.N, Board: board, Order: len(p.Choices)})
			q.Parts = slices.Clone(p.Parts)
			for i := range q.Parts {
				if q.Parts[i].ID == bl.Part {
					q.Parts[i].Way = bl.For
				}
			}
		}), nil
	})
	r.fail(err)
	if err == nil {
		r.desk.Say(lang.L("{{.blank}} is locked to board {{.board}}. The rest is planned anew…", locale.With{"blank": c.Mark, "board": b.Mark}))
	}
}

func (r *Room) lockPicked() {
	sel := r.desk.Session().Selection()
	for _, cb := range r.cuts().Boards {
		for _, c := range cb.Pieces {
			if c.Ref() == sel.Blank {
				r.lock(c, cb.Board)
				return
			}
		}
	}
	r.desk.Fail(locale.Error("pick a blank on the drawing first"))
}

func (r *Room) never(board plan.ID) {
	b, ok := r.desk.Session().Project().Board(board)
	if !ok {
		r.desk.Fail(locale.Error("pick a board in the table or the drawing first"))
		return
	}
	if slices.ContainsFunc(r.desk.Session().Project().Choices, func(c plan.Choice) bool { return c.Kind == plan.NeverBoard && c.Board == board }) {
		r.desk.Say(lang.L("Board {{.board}} is never cut already. Locks takes that back.", locale.With{"board": b.Mark}))
		return
	}
	r.remember(lang.L("board {{.board}} never cut", locale.With{"board": b.Mark}), lockKey(plan.NeverBoard, "", 0, board))
	r.fail(r.desk.Session().Edit(lang.L("never cut {{.board}}", locale.With{"board": b.Mark}), "", func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) {
			q.Choices = append(slices.Clone(p.Choices), plan.Choice{ID: q.Take(), Piece: p.Piece.ID, Kind: plan.NeverBoard, Board: board, Order: len(p.Choices)})
		}), nil
	}))
}

// fail shows a refused choice, which then has no cost to tell.
func (r *Room) fail(err error) {
	if err != nil {
		r.choice = choice{}
	}
	r.desk.Fail(err)
}

// lockKey names a lock from plan to plan.
func lockKey(kind plan.ChoiceKind, blank string, n int, board plan.ID) string {
	return fmt.Sprint(kind, " ", blank, " ", n, " ", board)
}

func (r *Room) unlockAll() {
	r.choice = choice{}
	r.desk.Fail(r.desk.Session().Edit(lang.L("take locks off"), "", func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) {
			q.Choices = slices.DeleteFunc(slices.Clone(p.Choices), func(c plan.Choice) bool { return !c.Kind.OfRows() })
		}), nil
	}))
}

// tickOff marks the picked board as cut and puts its leftovers into the pile.
func (r *Room) tickOff() {
	p := r.desk.Session().Plan()
	id := r.desk.Session().Selection().Board
	if p == nil || id == 0 {
		r.desk.Fail(locale.Error("pick the board you have cut, in the table or the drawing, first"))
		return
	}
	b, _ := p.Project.Board(id)
	err := r.desk.Session().Edit(lang.L("cut up {{.board}}", locale.With{"board": b.Mark}), "", func(q *plan.Project) (*plan.Project, error) { return q.TickOff(p, id) })
	r.desk.Fail(err)
	if err == nil {
		r.desk.Say(lang.L("Board {{.board}} is cut up; what is worth keeping is in the pile again. Undo takes it back.", locale.With{"board": b.Mark}))
	}
}
