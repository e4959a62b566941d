package plan

import (
	"fmt"
	"slices"
	"time"

	"github.com/shopspring/decimal"

	"pilewright/plan/cost"
	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// Line is one line of the cost, with how it was reckoned.
type Line struct {
	Kind   string // wood, glue, finish, sandpaper, hardware, machines, or an expense's kind
	Text   string
	Amount decimal.Decimal
	How    string
}

// PhaseTime is the time of one phase, in minutes.
type PhaseTime struct {
	Phase  Phase
	Target float64 // planned
	Done   float64 // logged
	Left   float64 // planned minutes of the steps not done
}

// Ledger is time, cost and price of the piece.
type Ledger struct {
	Lines    []Line
	Costs    cost.Costs
	Sale     cost.Sale
	Wish     decimal.Decimal // hourly earning wished for
	Result   cost.Result     // at the hours now expected
	Phases   []PhaseTime
	Target   float64 // minutes planned, every phase
	Done     float64
	Left     float64
	Collect  float64      // minutes the boards used took to collect, by their share of their lots
	Boards   int          // opened
	Wood     measure.Area // opened
	Used     measure.Area
	Feet     decimal.Decimal // board feet opened
	Forecast Outlook
}

// Yield is the share of the opened wood that goes into the piece, 0 to 1.
func (l Ledger) Yield() float64 {
	if l.Wood.Sign() <= 0 {
		return 0
	}
	return l.Used.Float() / l.Wood.Float()
}

// Hours is the whole time now expected: done and still to do.
func (l Ledger) Hours() decimal.Decimal {
	return decimal.NewFromFloat(l.Done+l.Left).DivRound(decimal.NewFromInt(60), 4)
}

// reckon fills the ledger from the cuts, glue-ups, steps and log.
func (m *making) reckon() error {
	p := m.plan.Project
	l := Ledger{}
	m.ledger = nil
	m.woodLines(&l)
	m.supplyLines(&l)
	m.expenseLines(&l)
	m.times(&l)
	l.Sale = cost.Sale{Price: p.Piece.Price, FeeRate: p.Shop.FeeRate, FeeFixed: p.Shop.FeeFixed, Delivery: p.Shop.Delivery, TaxRate: p.Shop.TaxRate, TaxIncluded: p.Shop.TaxIncluded}
	if l.Wish = p.Piece.WishHourly; l.Wish.IsZero() {
		l.Wish = p.Shop.WishHourly
	}
	l.Result = cost.Reckon(l.Sale, l.Costs, l.Hours(), l.Wish)
	if err := checkMoney(&l); err != nil {
		return err
	}
	m.forecast(&l)
	m.plan.Ledger = l
	m.priceFindings(&l)
	m.doubtFindings(l.Forecast)
	m.overlapFindings()
	return nil
}

// openedBoard is a board that is cut up for the piece, or was already.
type openedBoard struct {
	Board
	taken measure.Area // all but the leftovers
	used  measure.Area // of the blanks
}

// opened lists the boards the piece takes: those cut up already, whose leftovers
// are boards of their own now, then those the plan cuts.
func (m *making) opened() []openedBoard {
	p := m.plan.Project
	var out []openedBoard
	at := map[ID]int{}
	for _, r := range p.Ready {
		b, ok := p.Board(r.Board)
		if !ok || boardOut(b) != "" {
			continue
		}
		i, seen := at[b.ID]
		if !seen {
			i = len(out)
			at[b.ID] = i
			out = append(out, openedBoard{Board: b, taken: measure.AreaOf(b.Length, b.Width)})
		}
		out[i].used = out[i].used.Add(measure.AreaOf(r.Cut.Length, r.Cut.Width))
	}
	for _, child := range p.Boards {
		if i, ok := at[child.Parent]; ok && child.Parent != 0 && boardOut(child) == "" {
			out[i].taken = out[i].taken.Sub(measure.AreaOf(child.Length, child.Width))
		}
	}
	for _, cb := range m.plan.Cuts.Boards {
		b, ok := p.Board(cb.Board)
		if !ok {
			continue
		}
		o := openedBoard{Board: b, taken: measure.AreaOf(b.Length, b.Width)}
		for _, l := range cb.Leftovers {
			o.taken = o.taken.Sub(measure.AreaOf(l.Length, l.Width))
		}
		for _, c := range cb.Pieces {
			o.used = o.used.Add(measure.AreaOf(c.Length, c.Width))
		}
		out = append(out, o)
	}
	return out
}

// woodLines: a board with a price of its own costs its share of it; else it bears
// its share of its lot's money. Either way it bears its share of the lot's time.
func (m *making) woodLines(l *Ledger) {
	p := m.plan.Project
	volume := map[ID]measure.Volume{}
	for _, b := range p.Boards {
		if b.Parent == 0 {
			volume[b.Lot] = volume[b.Lot].Add(measure.VolumeOf(b.Length, b.Width, b.Thickness))
		}
	}
	boards, lots := decimal.Zero, map[ID]decimal.Decimal{}
	priced := 0
	for _, b := range m.opened() {
		whole := measure.VolumeOf(b.Length, b.Width, b.Thickness)
		taken := b.taken.By(b.Thickness)
		l.Boards++
		l.Wood, l.Used, l.Feet = l.Wood.Add(measure.AreaOf(b.Length, b.Width)), l.Used.Add(b.used), l.Feet.Add(whole.BoardFeet())
		lot, _ := p.Lot(b.Lot)
		if b.Price.IsPositive() {
			boards = boards.Add(cost.Portion(b.Price, taken, whole))
			priced++
		} else if lot.Spent.IsPositive() {
			lots[lot.ID] = lots[lot.ID].Add(cost.Portion(lot.Spent, taken, volume[b.Lot]))
		}
		share, _ := cost.Portion(decimal.NewFromInt(int64(lot.Minutes)), taken, volume[b.Lot]).Float64()
		l.Collect += share
	}
	l.add(&l.Costs.Wood, "wood", fmt.Sprintf("%d boards with a price", priced), boards, "each board's price, by the share of it that does not go back to the pile")
	for _, lot := range p.Lots {
		l.add(&l.Costs.Wood, "wood", "from "+clip(lot.Name), lots[lot.ID], "the lot's money, by volume taken")
	}
}

// add puts an amount on the list and into its sum; nothing is not listed.
func (l *Ledger) add(into *decimal.Decimal, kind, text string, amount decimal.Decimal, how string) {
	if amount.IsZero() {
		return
	}
	*into = into.Add(amount)
	l.Lines = append(l.Lines, Line{kind, text, amount, how})
}

// supplyLines: glue by area, finish by area and coats, sandpaper, hardware, machines.
func (m *making) supplyLines(l *Ledger) {
	s := &m.plan.Project.Shop
	var glued measure.Area
	var jointed solid.Area
	for _, g := range m.plan.GlueUps {
		glued = glued.Add(g.GlueArea)
	}
	for _, j := range m.plan.Frame.Joints {
		if !j.Rule.Dry {
			jointed = jointed.Add(j.Result.LongGrain).Add(j.Result.EndGrain)
		}
	}
	glued = glued.Add(jointed.Measure())
	glue, finish := m.glueData(), m.finishData()
	g := cost.Glue{Area: glued, Spread: glue.spread, Loss: loss, Litre: s.GluePrice}
	l.add(&l.Costs.Consumables, "glue", glue.name, g.Cost(), fmt.Sprintf("%s m² of joints, %s ml/m² and a quarter lost: %s ml", glued.SquareMetres().Round(3), glue.spread, g.Millilitres().Round(0)))
	f := cost.Finish{Area: m.surface(), Coats: finish.coats, Coverage: finish.coverage, Loss: loss, Litre: s.FinishCost}
	l.add(&l.Costs.Consumables, "finish", finish.name, f.Cost(), fmt.Sprintf("%s m², %d coats, %s m² a litre and a quarter lost: %s ml", f.Area.SquareMetres().Round(2), f.Coats, finish.coverage.Round(1), f.Millilitres().Round(0)))
	l.add(&l.Costs.Consumables, "sandpaper", "sandpaper", cost.Sandpaper(m.surface(), len(m.grits()), s.SandCost), fmt.Sprintf("%s m², %d grits", f.Area.SquareMetres().Round(2), len(m.grits())))
	for _, h := range m.plan.Project.Piece.Hardware {
		l.add(&l.Costs.Hardware, "hardware", clip(h.Name), h.Each.Mul(decimal.NewFromInt(int64(h.Count))), fmt.Sprintf("%d at %s", h.Count, h.Each))
	}
	hours := decimal.Zero
	for _, st := range m.plan.Work.Steps {
		if st.Machine != "bench" {
			hours = hours.Add(decimal.NewFromFloat(st.Minutes / 60).Round(4))
		}
	}
	l.add(&l.Costs.Machines, "machines", "power and wear", cost.Machines(hours, s.PowerCost, s.WearCost), hours.Round(1).String()+" h at machines")
}

// loss is the share of glue and finish that stays in brush and pot: common
// practice, no source.
var loss = decimal.RequireFromString("0.25")

func (m *making) expenseLines(l *Ledger) {
	for _, e := range m.plan.Project.Expenses {
		if e.Piece == m.plan.Project.Piece.ID && e.Piece != 0 {
			l.add(&l.Costs.Expenses, clip(e.Kind), clip(e.What), e.Amount.Mul(e.Share), fmt.Sprintf("%s, %s %% of it used", clip(e.Date), e.Share.Shift(2)))
		}
	}
}

// times sums targets, the log and what is left, phase by phase.
func (m *making) times(l *Ledger) {
	p := m.plan.Project
	logged := m.plan.Work.Logged(p, time.Time{})
	for _, ph := range Phases {
		t := PhaseTime{Phase: ph}
		if ph == PhaseCollect {
			t.Target = l.Collect
		}
		for _, e := range p.Log {
			if e.Piece == p.Piece.ID && e.Piece != 0 && e.Phase == ph {
				t.Done += float64(e.Seconds) / 60
			}
		}
		for _, st := range m.plan.Work.Steps {
			if st.Phase == ph {
				t.Target += st.Minutes
				if !st.Done {
					t.Left += max(0, st.Minutes-logged[st.Key])
				}
			}
		}
		if ph == PhaseMill && m.plan.Work.SetupMinutes > 0 {
			t.Target += m.plan.Work.SetupMinutes
			t.Left += m.plan.Work.SetupLeft
		}
		if ph == PhaseCollect {
			t.Done += l.Collect // it was spent before the piece was begun
		}
		l.Phases = append(l.Phases, t)
		l.Target, l.Done, l.Left = l.Target+t.Target, l.Done+t.Done, l.Left+t.Left
	}
}

// untimed counts the steps that are done and have no time in the log, and adds up
// what was planned for them.
func (m *making) untimed() (n int, minutes float64) {
	logged := m.plan.Work.Logged(m.plan.Project, time.Time{})
	for _, s := range m.plan.Work.Steps {
		if s.Done && logged[s.Key] <= 0 {
			n, minutes = n+1, minutes+s.Minutes
		}
	}
	return n, minutes
}

func (m *making) priceFindings(l *Ledger) {
	note := func(code string, sev Severity, text, do string) {
		m.ledger = append(m.ledger, Finding{Code: code, Severity: sev, Subject: Subject{Room: "ledger"}, Text: text, Do: do})
	}
	show := m.money
	switch l.Result.State {
	case cost.BelowFees:
		note("price.fees", Warn, fmt.Sprintf("At %s, tax, fees and delivery take more than the price.", show(l.Sale.Price)), "Raise the price or deliver for less.")
	case cost.Loss:
		note("price.loss", Warn, fmt.Sprintf("At %s the costs of %s are not covered.", show(l.Sale.Price), show(l.Costs.Total())), "Raise the price or build it for less.")
	case cost.Earns, cost.BreaksEven:
		if l.Result.PerHour.Valid && l.Result.PerHour.Decimal.LessThan(l.Wish) && l.Result.PriceWish.Valid {
			note("price.wish", Note, fmt.Sprintf("At %s an hour earns about %s, less than the %s wished for.", show(l.Sale.Price), show(l.Result.PerHour.Decimal), show(l.Wish)),
				fmt.Sprintf("%s would do it, or fewer hours.", show(l.Result.PriceWish.Decimal)))
		}
	}
	if n, minutes := m.untimed(); n > 0 {
		what := fmt.Sprintf("%d steps are done with no time in the log", n)
		if n == 1 {
			what = "One step is done with no time in the log"
		}
		note("time.untimed", Note, fmt.Sprintf("%s (planned %s): the hours, and what an hour earns, are without it, and nothing is learned from it.", what, measure.FormatDuration(time.Duration(minutes+0.5)*time.Minute)), "Type the time in the Ledger if it is known.")
	}
	if l.Collect > 0 && !slices.ContainsFunc(l.Lines, func(x Line) bool { return x.Kind == "wood" }) {
		note("wood.free", Note, fmt.Sprintf("The wood cost no money but %.1f h to collect; those hours count.", l.Collect/60), "")
	}
}
