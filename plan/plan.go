// Package plan holds the nouns of the shop — pile, boards, piece, parts, joints,
// log — and turns a project into a plan: sizes and joints, how each part is
// made, cuts, glue-ups, an assembly order, steps, a calendar, cost and price,
// and findings. What needs a solver comes in as plain functions (Tools). Start
// at Project and Make; the sub-packages do one calculation each and know
// nothing of the nouns.
package plan

import (
	"context"
	"time"

	"pilewright/plan/forecast"
	"pilewright/plan/measure"
	"pilewright/plan/words"
)

// Tools are the solvers the pipeline is given.
type Tools struct {
	Cut     Cutter
	Check   CutChecker
	Compose Composer
	Today   time.Time // where the calendar begins, in the shop's time zone
	Before  *Plan     // shown until now: the first plan makes its parts the same ways; nil = none
}

// Plan is everything that follows from one state of a project. It is never
// changed after it was published.
type Plan struct {
	Project  *Project
	Phase    string // what is being worked out; empty when the plan is final
	Values   map[string]measure.Value
	Parts    []SizedPart
	Copies   []PlacedCopy
	Frame    Frame // joints, bodies, fit, marks and assembly
	Ways     []PartWays
	Blanks   []Blank
	Cuts     Cuts
	GlueUps  []GlueUp
	Work     Work // steps, their order and the calendar
	Ledger   Ledger
	Findings []Finding
	Words    *words.Language // what it is said in, see In; nil = English

	sizingFailed bool
	stopped      bool // before the piece was put together
}

// Drawable reports whether the piece could be sized, so that there is something
// true to draw.
func (p *Plan) Drawable() bool { return !p.sizingFailed }

// Failure is the first thing that keeps the piece from being planned; empty
// where nothing does.
func (p *Plan) Failure() string {
	if !p.sizingFailed {
		return ""
	}
	if p.stopped {
		return p.Words.Say("Planning was stopped before the piece was put together.")
	}
	for _, f := range p.Findings {
		if f.Severity == Stop {
			return f.Text
		}
	}
	return p.Words.Say("The piece can't be sized.")
}

// Part gives a sized part.
func (p *Plan) Part(id ID) (SizedPart, bool) {
	return find(p.Parts, id, func(s SizedPart) ID { return s.ID })
}

// Copy gives the copy with that mark.
func (p *Plan) Copy(mark string) (PlacedCopy, bool) {
	for _, c := range p.Copies {
		if c.Mark == mark {
			return c, true
		}
	}
	return PlacedCopy{}, false
}

// Blank gives the blank with that key.
func (p *Plan) Blank(key string) (Blank, bool) {
	for _, b := range p.Blanks {
		if b.Key == key {
			return b, true
		}
	}
	return Blank{}, false
}

// Make plans the project. publish is called with every better plan on the
// calling goroutine; the last one is returned. Cancelling ctx returns the best
// plan so far. The error is for what no plan can be made of (a CheckError where an
// answer failed its check: the plan is then nil and was not published); what is
// wrong with the piece is in the plan's findings.
func Make(ctx context.Context, p *Project, tools Tools, publish func(*Plan)) (*Plan, error) {
	m := &making{ctx: ctx, tools: tools, publish: publish}
	m.plan.Project = p
	if err := m.run(); err != nil {
		return nil, err
	}
	return m.snapshot(), nil
}

// making is a plan on its way.
type making struct {
	ctx       context.Context
	tools     Tools
	publish   func(*Plan)
	plan      Plan
	shape     []Finding // of sizes, joints and assembly
	pile      []Finding // of boards that can't be planned with
	use       []Finding // of strength and movement
	ways      []Finding
	cuts      []Finding
	glue      []Finding
	work      []Finding
	ledger    []Finding
	model     *forecast.Model // learned once
	doubts    []Doubt         // of the log of other pieces
	arranged  arranged        // the last order of steps
	skin      *measure.Area   // surface of the finished bodies, reckoned once
	commonest *string         // species of the pile, found once
	effort    int             // of quick plans; zero = the solver's own
	marked    *Cuts           // cuts whose marks blanks keep; nil = numbered along the boards
	enough    bool            // ways are good enough when no blank is missing
}

// snapshot gives the plan as it stands, with its findings in order.
func (m *making) snapshot() *Plan {
	out := m.plan
	out.Findings = nil
	for _, list := range [][]Finding{m.shape, m.pile, m.use, m.ways, m.cuts, m.glue, m.work, m.ledger} {
		out.Findings = append(out.Findings, list...)
	}
	sortFindings(out.Findings)
	out.Findings = fewOfEach(out.Findings)
	return &out
}

func (m *making) tell() {
	if m.publish != nil && m.ctx.Err() == nil {
		m.publish(m.snapshot())
	}
}

func (m *making) run() error {
	if !m.shapeUp() {
		return nil
	}
	m.plan.Phase = "looking for cuts"
	if err := m.cutBest(); err != nil {
		return err
	}
	m.plan.Phase = ""
	return nil
}

// shapeUp sizes the piece, makes its joints and lists the ways of its parts;
// false where it can't be sized.
func (m *making) shapeUp() bool {
	p := m.plan.Project
	if out := p.outOfRange(); len(out) > 0 {
		m.plan.sizingFailed, m.shape = true, out
		return false
	}
	var s *sizing
	m.plan.Parts, m.plan.Copies, s = size(p)
	m.plan.Values, m.shape = s.values, s.findings
	if len(s.findings) > 0 {
		m.plan.sizingFailed = true
		return false
	}
	if !m.frame() {
		m.plan.sizingFailed = true
		return false
	}
	m.boardsOut()
	pile := shapeOf(p)
	pile.metric = metric(m.plan.Parts)
	pile.boards = append(pile.boards, m.cutAlready()...)
	m.plan.Ways = nil
	for _, sp := range m.plan.Parts {
		if sp.N > 0 {
			pw := pile.ways(&p.Shop, &p.Piece, sp, m.plan.Frame.LongestOf(sp))
			m.keepReady(&pw)
			m.plan.Ways = append(m.plan.Ways, pw)
		}
	}
	m.noWay()
	return true
}

// untilDone is the context of the short stages after the cuts: a cancelled search
// still gives a whole plan of the best cuts it found.
func (m *making) untilDone() context.Context { return context.WithoutCancel(m.ctx) }

// rest works out everything that follows from the cuts.
func (m *making) rest() error {
	m.glueUps()
	if err := m.steps(); err != nil {
		return err
	}
	return m.reckon()
}
