package plan

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/shopspring/decimal"

	"pilewright/plan/measure"
)

// Limits on the shop's and the piece's figures, far beyond what a home shop has:
// they keep a slip of the hand, or a damaged file, from being planned with.
const (
	mostAllowance = measure.Metre
	mostSteps     = 2_000
	mostMade      = 8_000              // joints made, every place counted
	mostWait      = 365 * 24 * 60      // minutes
	mostMinutes   = 30 * 24 * 60       // hands-on minutes of one step
	mostLost      = 1_000              // sessions
	mostCoats     = 50                 //
	mostFittings  = 10_000             // of one kind of hardware
	mostLoad      = 100_000.0          // kg
	mostChange    = 24 * 60.0          // minutes of one change of set-up
	mostLogged    = int64(1000 * 3600) // seconds of one log entry
)

// mostMoney is the greatest amount of money that is reckoned with.
var mostMoney = decimal.New(1, 12)

// outOfRange lists the figures of shop and piece that nothing can be planned with.
func (p *Project) outOfRange() []Finding {
	var out []Finding
	say := func(sub Subject, text string) {
		out = append(out, Finding{Code: "figure.range", Severity: Stop, Subject: sub, Text: text, Do: "Correct the figure."})
	}
	shop, piece := Subject{Room: "bench", Field: "shop"}, Subject{Room: "piece"}
	s := &p.Shop
	for _, f := range []struct {
		name string
		l    measure.Length
	}{{"length allowance", s.LengthAllowance}, {"width allowance", s.WidthAllowance}, {"planing allowance", s.PlaneAllowance}, {"most planed off a board", s.PlaneLimit},
		{"clean-up of a panel", s.CleanUp}, {"step limit", s.StepLimit}, {"step limit of the piece", p.Piece.StepLimit}} {
		if f.l < 0 || f.l > mostAllowance {
			say(shop, fmt.Sprintf("The shop's %s is out of range: nothing to 1 m will do.", f.name))
		}
	}
	for _, f := range []struct {
		name string
		l    measure.Length
	}{{"shortest leftover", s.LeftoverMin}, {"shortest piece of a row", s.PieceMin}, {"stagger", s.Stagger}, {"stagger of the piece", p.Piece.Stagger}} {
		if f.l < 0 || f.l > SizeLimit {
			say(shop, fmt.Sprintf("The shop's %s is out of range: nothing to 100 m will do.", f.name))
		}
	}
	for _, b := range s.Blades {
		if b.Kerf < 0 || b.Kerf > mostAllowance || b.Widest < 0 || b.Widest > mostAllowance {
			say(shop, fmt.Sprintf("The cut of the blade %q is out of range: nothing to 1 m will do.", clip(b.Name)))
		}
	}
	for _, b := range s.Bits {
		if b.Diameter < 0 || b.Diameter > mostAllowance || b.Cut < 0 || b.Cut > mostAllowance {
			say(shop, fmt.Sprintf("The size of the bit %q is out of range: nothing to 1 m will do.", clip(b.Name)))
		}
	}
	for _, m := range s.Machines {
		for _, l := range []measure.Length{m.MaxWidth, m.MaxHeight, m.MinLength, m.MinThickness} {
			if l < 0 || l > SizeLimit {
				say(shop, fmt.Sprintf("A limit of the machine %q is out of range: nothing to 100 m will do.", clip(m.Name)))
			}
		}
		if !within(m.ChangeTool, 0, mostChange) || !within(m.ChangeFence, 0, mostChange) {
			say(shop, fmt.Sprintf("The minutes to set up the machine %q are out of range: 0 to %.0f will do.", clip(m.Name), mostChange))
		}
	}
	for _, c := range s.Clamps {
		if c.Count < 0 || c.Count > mostFittings || c.Opening < 0 || c.Opening > SizeLimit {
			say(shop, fmt.Sprintf("The number or the opening of the clamps %q is out of range.", clip(c.Kind)))
		}
	}
	for _, f := range []struct {
		name      string
		v, lo, hi float64
	}{{"temperature", s.TempC, -60, 70}, {"humidity", s.Humidity, 0, 100}, {"wood moisture", s.WoodMoisture, 0, 200}, {"home moisture", s.HomeMoisture, 0, 30}, {"seasonal swing", s.SeasonSwing, 0, 30}} {
		if !within(f.v, f.lo, f.hi) {
			say(shop, fmt.Sprintf("The shop's %s is out of range: %g to %g will do.", f.name, f.lo, f.hi))
		}
	}
	for _, f := range []struct {
		name string
		v    decimal.Decimal
		most decimal.Decimal
	}{{"price of glue", s.GluePrice, mostMoney}, {"price of finish", s.FinishCost, mostMoney}, {"cost of sandpaper", s.SandCost, mostMoney}, {"cost of power", s.PowerCost, mostMoney},
		{"cost of wear", s.WearCost, mostMoney}, {"wished pay", s.WishHourly, mostMoney}, {"share of fees", s.FeeRate, decimal.NewFromInt(1)}, {"fixed fee", s.FeeFixed, mostMoney},
		{"cost of delivery", s.Delivery, mostMoney}, {"tax rate", s.TaxRate, decimal.NewFromInt(10)}} {
		if outside(f.v, f.most) {
			say(shop, fmt.Sprintf("The shop's %s is out of range: nothing to %s will do.", f.name, f.most))
		}
	}
	q := &p.Piece
	for _, f := range []struct {
		name string
		v    decimal.Decimal
	}{{"price", q.Price}, {"wished pay", q.WishHourly}} {
		if outside(f.v, mostMoney) {
			say(Subject{Room: "ledger"}, fmt.Sprintf("The piece's %s is out of range: nothing to %s will do.", f.name, mostMoney))
		}
	}
	if q.Coats < 0 || q.Coats > mostCoats {
		say(piece, fmt.Sprintf("The piece has %d coats: 0 to %d will do.", q.Coats, mostCoats))
	}
	if q.LostDays < 0 || q.LostDays > mostLost {
		say(Subject{Room: "bench"}, fmt.Sprintf("%d lost sessions are out of range: 0 to %d will do.", q.LostDays, mostLost))
	}
	if !within(q.LoadKG, 0, mostLoad) {
		say(piece, fmt.Sprintf("The load is out of range: 0 to %.0f kg will do.", mostLoad))
	}
	for _, h := range q.Hardware {
		if h.Count < 0 || h.Count > mostFittings || outside(h.Each, mostMoney) {
			say(Subject{Room: "ledger"}, fmt.Sprintf("The number or the price of the hardware %q is out of range.", clip(h.Name)))
		}
	}
	for _, f := range []struct {
		name    string
		n, most int
		room    string
	}{{"measures", len(p.Measures), MaxMeasures, "piece"}, {"parts", len(p.Parts), MaxParts, "piece"}, {"joint rules", len(p.Joints), MaxJoints, "piece"}, {"boards", len(p.Boards), MaxBoards, "pile"}, {"step changes", len(p.Steps), mostSteps, "bench"}} {
		if f.n > f.most {
			say(Subject{Room: f.room}, fmt.Sprintf("There are %d %s; at most %d can be planned.", f.n, f.name, f.most))
		}
	}
	return out
}

func within(v, lo, hi float64) bool { return v >= lo && v <= hi }

// outside reports an amount below nothing, above most, or with so many digits
// that no one entered it.
func outside(d, most decimal.Decimal) bool {
	return d.IsNegative() || d.Exponent() > 12 || d.Exponent() < -20 || d.GreaterThan(most)
}

// boardOut says why a board can't be planned with; empty where it can.
func boardOut(b Board) string {
	switch {
	case b.Length <= 0 || b.Width <= 0 || b.Thickness <= 0:
		return "a size is nothing or less"
	case b.Length > SizeLimit || b.Width > SizeLimit || b.Thickness > SizeLimit:
		return "a size is beyond 100 m"
	case b.TrimLeft < 0 || b.TrimRight < 0 || b.TrimLeft > SizeLimit || b.TrimRight > SizeLimit:
		return "a trim is out of range"
	case outside(b.Price, maxPrice):
		return "its price is out of range"
	case tooFine(b.Length, b.Width):
		return "its sizes are given too finely; round them to 1/64 in or 0.01 mm"
	}
	if say, _ := boardFault(b); say != "" {
		return say
	}
	return b.Spoiled()
}

// tooFine reports a length and a width that areas can't be added up of exactly: both
// far finer than 1/64 in and 0.01 mm.
func tooFine(l, w measure.Length) bool {
	steps := func(l measure.Length) float64 {
		unit := measure.Length(1)
		for _, u := range []measure.Length{25_400, 10_000, 2_540, 1_000, 625, 254, 127, 125, 25, 10, 5, 2} { // nm
			if l%u == 0 {
				unit = u
				break
			}
		}
		return float64(l / unit)
	}
	return steps(l)*steps(w) > 1e13
}

// boardsOut tells which free boards are left out of the plan, and why.
func (m *making) boardsOut() {
	for _, b := range m.plan.Project.Boards {
		if b.State != InPile {
			continue
		}
		if why := boardOut(b); why != "" {
			m.pile = append(m.pile, Finding{Code: "board.out", Severity: Warn, Subject: Subject{Room: "pile", Board: b.ID},
				Text: fmt.Sprintf("Board %s is left out of the plan: %s.", clip(b.Mark), why), Do: "Measure it again."})
		}
	}
}

// clip makes a text that someone entered fit to stand in a sentence: one line of
// what can be shown, at most MaxText bytes.
func clip(s string) string {
	if len(s) <= MaxText && utf8.ValidString(s) && !strings.ContainsFunc(s, unicode.IsControl) {
		return s
	}
	cut := len(s) > MaxText
	if cut {
		s = s[:MaxText]
	}
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, ""))
	if cut {
		s += "…"
	}
	return s
}
