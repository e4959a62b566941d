package plan

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/shopspring/decimal"

	"pilewright/plan/measure"
)

// Trial is what the cuts come to when a part is made one way and every other
// part the way it is in the plan.
type Trial struct {
	Missing int // blanks without a board
	Money   decimal.Decimal
	Wood    measure.Area // opened
	Boards  int
	Thick   measure.Length  // that the part reaches after planing, at its thinnest copy; zero where nothing is cut for it
	Kept    measure.Length  // leftovers long enough to keep, together
	Lines   int             // glue lines: rows or layers beyond the first, every copy
	Minutes decimal.Decimal // of jointing, gluing and flattening that the ways ask for
	Cost    decimal.Decimal // money, and those minutes at the wished pay
}

// mostTrials bounds the search for ways: that many quick cutting plans at most.
const mostTrials = 48

// cutBest settles how each part is made and cuts the blanks: a first plan with
// the ways of the plan before, or else the plainest, then better ways one part at a
// time, then the full search. A blank that stays on its board keeps its mark from
// each plan shown to the next better one. Only what is shown first depends on the
// plan before: what is planned in the end follows from the project alone.
func (m *making) cutBest() error {
	m.goOnMixed()
	plainest := m.plan.Ways
	m.plan.Ways = likeBefore(plainest, m.tools.Before)
	if m.tools.Before != nil {
		m.marked = &m.tools.Before.Cuts
	}
	if err := m.cut(true); err != nil {
		return err
	}
	m.marked = nil
	if err := m.rest(); err != nil {
		return err
	}
	m.tell()
	kept := !slices.EqualFunc(plainest, m.plan.Ways, func(a, b PartWays) bool { return a.Chosen == b.Chosen })
	if kept && m.ctx.Err() == nil {
		m.plan.Ways = plainest
		if err := m.cut(true); err != nil {
			return err
		}
	}
	changed, err := m.tryWays()
	if err != nil {
		return err
	}
	if changed || kept {
		if err := m.rest(); err != nil {
			return err
		}
		m.tell()
	}
	if m.ctx.Err() != nil {
		return nil
	}
	m.plan.Phase = "proving the cuts"
	start := m.plan.Cuts
	m.marked = &start
	return m.cut(false)
}

// likeBefore chooses for every part the way it had in an earlier plan, where it can
// still be made so: an edit then moves no part from rows to solid wood and back.
func likeBefore(ways []PartWays, before *Plan) []PartWays {
	if before == nil {
		return ways
	}
	ways = slices.Clone(ways)
	for i := range ways {
		pw := &ways[i]
		k := slices.IndexFunc(before.Ways, func(b PartWays) bool { return b.Part == pw.Part })
		if k < 0 {
			continue
		}
		was, ok := before.Ways[k].Choice()
		if !ok {
			continue
		}
		least := math.MaxInt
		for n, o := range pw.Options {
			if o.Way == was.Way && o.Pieces == was.Pieces && o.Fits {
				if off := max(o.Rows-was.Rows, was.Rows-o.Rows); off < least {
					pw.Chosen, least = n, off
				}
			}
		}
	}
	return ways
}

// tryWays changes one part's way at a time and keeps what is better: fewer blanks
// missing, then less cost with the hours of gluing counted at the wished pay, so
// that no rail is glued up to save a strip of wood, then less wood. A panel of strips
// of several widths is shown beside the others, and not taken in place of one of equal
// rows that lacks nothing unless the maker asked for it.
func (m *making) tryWays() (changed bool, err error) {
	trials := 0
	m.plan.Ways = slices.Clone(m.plan.Ways) // a plan that was published keeps its own
	for i := range m.plan.Ways {
		pw := &m.plan.Ways[i]
		pw.Options = slices.Clone(pw.Options)
		sp, _ := m.plan.Part(pw.Part)
		asked := sp.Way == MixedPanel
		here := m.trial()
		here.Thick = m.reaches(*pw)
		if pw.Chosen < len(pw.Options) {
			first := here // here goes on to what is better
			pw.Options[pw.Chosen].Trial = &first
		}
		for k := 0; ; k++ {
			over := m.ctx.Err() != nil || !asked && (trials >= mostTrials || m.enough && here.Missing == 0)
			if k == len(pw.Options) { // the last to be tried is made up here
				if over || slices.ContainsFunc(pw.Options, func(o WayOption) bool { return o.Mixed }) {
					break
				}
				trials++
				o, ok := m.mixed(i)
				if !ok {
					break
				}
				pw.Options = append(pw.Options, o)
			}
			if k == pw.Chosen || !pw.Options[k].Fits || over {
				continue
			}
			trials++
			was, blanks, cuts := pw.Chosen, m.plan.Blanks, m.plan.Cuts
			pw.Chosen = k
			if err := m.cut(true); errors.Is(err, errCheck) {
				pw.Chosen, m.plan.Blanks, m.plan.Cuts = was, blanks, cuts
				continue // a way whose cuts fail their check is not offered
			} else if err != nil {
				return changed, err
			}
			there := m.trial()
			there.Thick = m.reaches(*pw)
			tried := there
			pw.Options[k].Trial = &tried
			better := compareTrials(there, here) < 0
			if equal := was < len(pw.Options) && pw.Options[was].Way == FlatPanel; equal && pw.Options[k].Mixed {
				switch {
				case asked:
					better = there.Missing <= here.Missing
				case here.Missing == 0:
					better = false // equal rows are ripped at one fence setting
				}
			}
			if m.ctx.Err() == nil && better {
				here, changed = there, true
				continue
			}
			pw.Chosen, m.plan.Blanks, m.plan.Cuts = was, blanks, cuts
		}
	}
	m.shortFindings() // of the ways kept, not of the last one tried
	return changed, nil
}

// compareTrials orders by missing blanks, cost, wood and boards.
func compareTrials(a, b Trial) int {
	return cmp.Or(cmp.Compare(a.Missing, b.Missing), a.Cost.Cmp(b.Cost), a.Wood.Cmp(b.Wood), cmp.Compare(a.Boards, b.Boards))
}

func (m *making) trial() Trial {
	c := m.plan.Cuts
	t := Trial{Money: c.Money, Wood: c.Wood, Boards: len(c.Boards)}
	for _, s := range c.Short {
		t.Missing += s.Count
	}
	for _, b := range c.Boards {
		for _, l := range b.Leftovers {
			t.Kept += l.Length
		}
	}
	for _, pw := range m.plan.Ways {
		if o, ok := pw.Choice(); ok {
			t.Lines += o.lines()
			t.Minutes = t.Minutes.Add(m.gluing(pw.Part, o))
		}
	}
	wish := m.plan.Project.Piece.WishHourly
	if wish.IsZero() {
		wish = m.plan.Project.Shop.WishHourly
	}
	t.Cost = t.Money.Add(wish.Mul(t.Minutes).DivRound(decimal.NewFromInt(60), 4))
	return t
}

// reaches is the thickness that the way chosen of a part gives from the boards its
// blanks are cut from: what planing leaves of the thinnest of them, of all layers
// together or, on edge, of the height of the strips.
func (m *making) reaches(pw PartWays) measure.Length {
	o, ok := pw.Choice()
	if !ok {
		return 0
	}
	shop := &m.plan.Project.Shop
	least := measure.Length(0)
	pieces := m.cutPieces()
	for _, b := range o.Blanks {
		for _, c := range pieces[b.Key] {
			thick := c.board.Thickness
			switch {
			case o.Way == OnEdge:
				thick = c.piece.Width - shop.PlaneAllowance
			case b.Sheet:
			case o.Way == Laminated:
				thick = (thick - shop.PlaneAllowance) * measure.Length(o.Rows)
			case o.Way == FlatPanel:
				thick -= shop.CleanUp
			default:
				thick -= shop.PlaneAllowance
			}
			if least == 0 || thick < least {
				least = thick
			}
		}
	}
	return least
}

// gluing is the minutes a way asks for beyond a solid part: jointing and gluing
// every line, clamping, and flattening the panel or block.
func (m *making) gluing(part ID, o WayOption) decimal.Decimal {
	if o.Way == Solid {
		return decimal.Zero
	}
	sp, _ := m.plan.Part(part)
	per := func(rate string, quantity float64) float64 {
		r, _ := m.rates().Rate(rate)
		return r.Median * quantity
	}
	long, ups := metres(sp.L), sp.N
	if o.Gang > 1 {
		_, full := gang(&m.plan.Project.Shop, sp.N, m.plan.Frame.LongestOf(sp))
		long, ups = metres(full), ganged(sp.N, o.Gang)
	}
	minutes := 0.0
	for up := range ups {
		rows := o.rowsOf(up)
		lines, clamps := float64(rows-1), math.Ceil(long/0.25)+1
		minutes += per("joint", lines*long) + per("glue-up", lines*long) + per("clamp", clamps) + per("flatten", long*metres(sp.W)) +
			per("crosscut", float64(rows*(o.Pieces-1)))
	}
	return decimal.NewFromFloat(minutes).Round(2)
}

// Choice gives the way chosen; ok is false where the part has none.
func (pw PartWays) Choice() (WayOption, bool) {
	if pw.Chosen >= len(pw.Options) {
		return WayOption{}, false
	}
	return pw.Options[pw.Chosen], true
}

// copies is how many copies of the part, or glue-ups of several, the option makes.
func (o WayOption) copies() int {
	if o.Mixed {
		most := 0
		for _, b := range o.Blanks {
			most = max(most, b.Up)
		}
		return most
	}
	if len(o.Blanks) == 0 || o.Blanks[0].PerCopy == 0 {
		return 0
	}
	return o.Blanks[0].Count / o.Blanks[0].PerCopy
}

// job is the cutting problem of the ways now chosen.
func (m *making) job(first bool) CutJob {
	p := m.plan.Project
	j := CutJob{
		Boards: shapeOf(p).boards, CrosscutKerf: p.Shop.Kerf("crosscut"), RipKerf: p.Shop.Kerf("rip"),
		PlaneLimit: p.Shop.PlaneLimit, LeftoverMin: p.Shop.LeftoverMin, Choices: p.Choices, First: first, WoodOnly: m.enough, Effort: m.effort, Say: m.say,
	}
	if planer, ok := p.Shop.Machine("planer"); ok {
		j.MinLength = planer.MinLength
	}
	for _, pw := range m.plan.Ways {
		if o, ok := pw.Choice(); ok {
			for _, b := range o.Blanks {
				if b.unsawn(&p.Shop) != "" {
					continue // told as a part that can't be made; the others are cut all the same
				}
				j.Blanks = append(j.Blanks, m.stillWanted(b))
			}
		}
	}
	return j
}

// cutAlready gives the boards that blanks of the piece were cut from: what could be
// made of them is made, so the ways they allowed stay open.
func (m *making) cutAlready() []Board {
	var out []Board
	for _, r := range m.plan.Project.Ready {
		b, ok := m.plan.Project.Board(r.Board)
		if ok && b.State != InPile && boardOut(b) == "" && !slices.ContainsFunc(out, func(o Board) bool { return o.ID == b.ID }) {
			out = append(out, b)
		}
	}
	return out
}

// keepReady leaves a part whose blanks are cut only the ways those blanks serve.
func (m *making) keepReady(pw *PartWays) {
	serves := func(o WayOption) bool {
		for _, r := range m.plan.Project.Ready {
			if id, ok := KeyPart(r.Cut.Blank); !ok || id != pw.Part {
				continue
			}
			b, _ := m.plan.Project.Board(r.Board)
			if !slices.ContainsFunc(o.Blanks, func(x Blank) bool {
				return x.Key == r.Cut.Blank && x.Length == r.Cut.Length && x.Width == r.Cut.Width && x.Thickness <= b.Thickness && r.Cut.N <= x.Count
			}) {
				return false
			}
		}
		return true
	}
	var left []WayOption
	for _, o := range pw.Options {
		if serves(o) {
			left = append(left, o)
		}
	}
	if len(left) == 0 || len(left) == len(pw.Options) {
		return
	}
	pw.Options, pw.Chosen = left, 0
	for i, o := range left {
		if o.Fits {
			pw.Chosen = i
			break
		}
	}
}

// readyFor reports whether a blank that was cut still serves: a size that was made
// larger since leaves it too small.
func (m *making) readyFor(r ReadyBlank, b Blank) bool {
	board, ok := m.plan.Project.Board(r.Board)
	return ok && r.Cut.Blank == b.Key && r.Cut.N >= 1 && r.Cut.Length >= b.Length && r.Cut.Width >= b.Width && board.Thickness >= b.Thickness
}

// stillWanted takes the copies that are cut already off a blank.
func (m *making) stillWanted(b Blank) Blank {
	for _, r := range m.plan.Project.Ready {
		if m.readyFor(r, b) && r.Cut.N <= b.Count+len(b.Done) && !slices.Contains(b.Done, r.Cut.N) {
			b.Done = append(slices.Clip(b.Done), r.Cut.N)
			b.Count--
		}
	}
	return b
}

// cut solves the job; a full search publishes every better plan.
func (m *making) cut(first bool) error {
	job := m.job(first)
	m.plan.Blanks = job.Blanks
	take := func(c Cuts) error {
		if m.marked != nil {
			c = c.numberedAs(*m.marked, m.plan.Project.Choices)
		}
		if faults := m.tools.Check(job, c); len(faults) > 0 {
			return &CheckError{"cuts", faults}
		}
		m.plan.Cuts = c
		if !first {
			m.marked = &c // what is better goes on from here
		}
		m.shortFindings()
		return nil
	}
	var failed, refused error
	shown := false // a checked plan of this job is shown already
	var better func(Cuts)
	if !first {
		better = func(c Cuts) {
			if failed != nil {
				return
			}
			if err := take(c); err != nil {
				refused = err // it is passed over
				return
			}
			if failed = m.rest(); failed == nil {
				shown = true
				m.tell()
			}
		}
	}
	c, err := m.tools.Cut(m.ctx, job, better)
	if err == nil {
		err = failed
	}
	if err != nil {
		return err
	}
	if err := take(c); err != nil {
		if !shown {
			return err
		}
		refused = err
	}
	if first {
		return nil
	}
	m.plan.Phase = ""
	if c.Final {
		m.cure()
	}
	var check *CheckError
	if errors.As(refused, &check) {
		m.cuts = append(m.cuts, Finding{Code: "cuts.check", Severity: Warn, Subject: Subject{Room: "cuts"}, Text: "A further cutting plan failed its check and is not shown; the last good one stays.", Do: "Nothing need be done. A report of it helps the makers of the program.", Refused: check})
	}
	return m.rest()
}

// shortFindings tells which blanks the boards do not give.
func (m *making) shortFindings() {
	m.cuts = nil
	for _, s := range m.plan.Cuts.Short {
		b, _ := m.plan.Blank(s.Blank)
		text := s.Say
		if text == "" {
			text = m.shortSentence(s, b)
		}
		source := "the search found none"
		if s.Proof {
			source = "proved: no plan of these boards makes more"
		}
		m.cuts = append(m.cuts, Finding{Code: "cuts.short", Severity: Stop, Subject: Subject{Room: "cuts", Part: b.Part}, Text: text,
			Do: "Add boards that size, let a thicker board be planed down further, make the part another way, or change a measure.", Source: source})
	}
}

// noWay tells which parts the pile can make in no way at all.
func (m *making) noWay() {
	m.ways = nil
	for _, pw := range m.plan.Ways {
		sp, _ := m.plan.Part(pw.Part)
		if o, ok := pw.Choice(); ok && o.Fits {
			continue
		}
		why := "there is no way to make it"
		if o, ok := pw.Choice(); ok {
			why = o.Why
		}
		m.ways = append(m.ways, Finding{Code: "way.none", Severity: Stop, Subject: Subject{Room: "piece", Part: sp.ID},
			Text: fmt.Sprintf("The pile can't make the %s (%s x %s x %s): %s.", sp.Name, m.say(sp.L), m.say(sp.W), m.say(sp.T), why),
			Do:   "Add boards, change the size, or let the part be made another way.", Source: "every way tried against every free board"})
	}
}
