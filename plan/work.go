package plan

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"pilewright/plan/measure"
)

// Step is one operation at one machine in one set-up.
type Step struct {
	Key      string // stays the same from plan to plan
	Phase    Phase
	Title    string
	Detail   []string  // sizes to set, one a line
	Marks    []string  // copies, blanks or boards it is done to
	Amounts  []float64 // how much of the quantity falls to each mark; empty where that is not known
	Machine  string    // kind of machine
	Setup    string    // tool and setting; equal set-ups are worked in one go
	Rate     string    // forecast rate its time is learned under
	Quantity float64   // in the rate's unit
	Unit     string
	Minutes  float64 // target, hands on
	Wait     time.Duration
	WaitFor  string // glue, finish
	Needs    []string
	Free     []string // of Needs, those whose wait it need not sit out: clamps that come off
	Whole    bool     // once begun it is finished in the same session
	Cautions []string // codes of trade.Cautions
	Own      bool     // the maker's own
	Typed    bool     // its minutes are the maker's, not reckoned from a rate
	Done     bool
	After    string       // locked right after that step
	Part     int          // which part of a split step it is, from 1; 0 where it is whole
	Parts    int          // how many parts the step is split into
	Methods  []StepMethod // ways to do it, where there are several; the order chooses
	Method   string       // the one chosen
}

// StepMethod is one way to do a step.
type StepMethod struct {
	Name     string
	Machine  string
	Setup    string
	Share    float64 // of the step's minutes
	Detail   []string
	Cautions []string
}

// stepper gathers steps in the order a careful maker would do them one part at a
// time; the best order is found afterwards.
type stepper struct {
	m      *making
	steps  []Step
	pairOf map[string]int      // pair numbers by joint
	last   map[string][]string // what a noun (board, blank key, copy mark) still waits on
	inUse  []clamped           // glue-ups that stand in clamps

	offs    []string // steps of taking glue-ups out of their clamps, in order
	implied int      // how many of those are done before a later one of them
}

// add appends a step that needs everything its subjects were last worked at.
func (s *stepper) add(st Step, subjects ...string) string {
	for _, sub := range subjects {
		for _, key := range s.last[sub] {
			if !slices.Contains(st.Needs, key) && key != st.Key {
				st.Needs = append(st.Needs, key)
			}
		}
	}
	for _, sub := range subjects {
		s.last[sub] = []string{st.Key}
	}
	s.steps = append(s.steps, st)
	return st.Key
}

// waits gives the keys that subjects were last worked at.
func (s *stepper) waits(subjects []string) []string {
	var out []string
	for _, sub := range subjects {
		for _, key := range s.last[sub] {
			if !slices.Contains(out, key) {
				out = append(out, key)
			}
		}
	}
	return out
}

// merge makes one thing wait on everything that others wait on.
func (s *stepper) merge(into string, from ...string) {
	for _, f := range from {
		for _, key := range s.last[f] {
			if !slices.Contains(s.last[into], key) {
				s.last[into] = append(slices.Clip(s.last[into]), key)
			}
		}
	}
}

func boardRef(id ID) string { return fmt.Sprintf("board %d", id) }

// derive lists the steps of the plan.
func (m *making) derive() []Step {
	s := &stepper{m: m, last: map[string][]string{}}
	s.takeApart()
	s.prepare()
	s.saw()
	s.plane()
	s.divide()
	s.glue()
	s.thin()
	s.square()
	s.joinery()
	s.assemble()
	s.finish()
	return s.steps
}

// takeApart: lots that wait are taken apart where the pile can't give every part.
func (s *stepper) takeApart() {
	p := &s.m.plan
	if len(p.Cuts.Short) == 0 {
		return
	}
	for _, e := range p.Project.ExpectedBoards() {
		s.add(Step{Key: fmt.Sprintf("take-apart/%d", e.Lot.ID), Phase: PhaseCollect, Title: "Take apart: " + e.Lot.Name, Machine: "bench", Setup: "pry bar",
			Rate: "take-apart", Quantity: float64(e.Boards), Cautions: []string{"dismantle", "pallet-mark"},
			Detail: []string{fmt.Sprintf("%d to take apart, %d boards in them; %d to %d should come out whole. Measure them into the pile: the cuts are then planned again.", e.Lot.Waiting, e.Boards, e.Low, e.High)}})
	}
}

// prepare: nails out of every board that will be cut, split ends off.
func (s *stepper) prepare() {
	m := s.m
	var marks, trims []string
	var subjects, trimmed []string
	var one, cutOff []float64 // of each board
	ends := 0
	cautions := []string{"metal"}
	for _, cb := range m.plan.Cuts.Boards {
		b, ok := m.plan.Project.Board(cb.Board)
		if !ok {
			continue
		}
		marks, subjects, one = append(marks, clip(b.Mark)), append(subjects, boardRef(b.ID)), append(one, 1)
		if lot, ok := m.plan.Project.Lot(b.Lot); (!ok || lot.Source != "bought") && len(cautions) == 1 {
			cautions = append(cautions, "pallet-mark", "lead-paint")
		}
		if n := boolInt(b.TrimLeft > 0) + boolInt(b.TrimRight > 0); n > 0 {
			trims, trimmed = append(trims, clip(b.Mark)), append(trimmed, boardRef(b.ID))
			cutOff = append(cutOff, float64(n))
			ends += n
		}
	}
	if len(marks) == 0 {
		return
	}
	s.add(Step{Key: "nails", Phase: PhasePrepare, Title: "Pull nails and scan for metal", Marks: marks, Amounts: one, Machine: "bench", Setup: "bench",
		Rate: "pull-nails", Quantity: float64(len(marks)), Detail: []string{"Scan both faces and both edges. Mark every hole with chalk."}, Cautions: cautions}, subjects...)
	if ends > 0 {
		s.add(Step{Key: "trim", Phase: PhasePrepare, Title: "Cut off split ends", Marks: trims, Amounts: cutOff, Machine: "mitre-saw", Setup: "crosscut blade, no stop",
			Rate: "trim-end", Quantity: float64(ends), Detail: []string{"Cut at the trim lines of the cut pages."}, Cautions: []string{"support-long"}}, trimmed...)
	}
}

// saw: the cuts of every board, gathered by stop or fence setting. The set-ups are
// numbered in an order that keeps every board's own order of cuts.
func (s *stepper) saw() {
	type group struct {
		rip      bool
		stop     measure.Length
		setup    int
		marks    []string
		amounts  []float64
		subjects []string
		cuts     int
		length   measure.Length
	}
	var groups []*group
	find := func(c Saw) *group {
		for _, g := range groups {
			if g.rip == c.Rip && g.stop == c.Stop && g.setup == c.Group {
				return g
			}
		}
		groups = append(groups, &group{rip: c.Rip, stop: c.Stop, setup: c.Group})
		return groups[len(groups)-1]
	}
	for _, cb := range s.m.plan.Cuts.Boards {
		b, ok := s.m.plan.Project.Board(cb.Board)
		if !ok {
			continue
		}
		for _, c := range cb.Saws {
			if c.Parting {
				continue // see divide
			}
			g := find(c)
			mark := clip(b.Mark)
			if !slices.Contains(g.marks, mark) {
				g.marks, g.subjects, g.amounts = append(g.marks, mark), append(g.subjects, boardRef(b.ID)), append(g.amounts, 0)
			}
			amount := 1.0
			if g.rip {
				amount = metres(c.To - c.From)
			}
			g.amounts[slices.Index(g.marks, mark)] += amount
			g.cuts++
			g.length += c.To - c.From
		}
	}
	slices.SortStableFunc(groups, func(a, b *group) int {
		return cmp.Or(cmp.Compare(a.setup, b.setup), cmp.Compare(boolInt(a.rip), boolInt(b.rip)), cmp.Compare(b.stop, a.stop))
	})
	times := map[string]int{}
	for _, g := range groups {
		size := s.m.setting(g.stop)
		if g.stop == 0 {
			size = "the marks"
		}
		st := Step{Key: fmt.Sprintf("crosscut/%d", g.stop), Phase: PhaseMill, Title: "Crosscut blanks to " + size, Machine: "mitre-saw", Setup: "crosscut blade, " + settingText(g.stop, "stop "+size),
			Rate: "crosscut", Quantity: float64(g.cuts), Detail: []string{stopText(g.stop, "Stop block at "+size+".")}, Cautions: []string{"support-long"}}
		if saw, ok := s.m.plan.Project.Shop.Machine("mitre-saw"); ok && g.stop > 0 && g.stop < saw.MinLength {
			st.Cautions = append(st.Cautions, "mitre-short")
		}
		if g.rip {
			st.Key, st.Title, st.Machine = fmt.Sprintf("rip/%d", g.stop), "Rip blanks to "+size, "table-saw"
			st.Setup, st.Rate, st.Quantity = "rip blade, "+settingText(g.stop, "fence "+size), "rip", metres(g.length)
			st.Detail, st.Cautions = []string{stopText(g.stop, "Fence at "+size+" from the blade.")}, []string{"kickback", "push-stick", "dust"}
		}
		if times[st.Key]++; times[st.Key] > 1 { // the same setting once more, later
			st.Key = fmt.Sprintf("%s/%d", st.Key, times[st.Key])
		}
		st.Marks, st.Amounts = g.marks, g.amounts
		s.add(st, g.subjects...)
	}
	for _, cb := range s.m.plan.Cuts.Boards {
		for _, p := range cb.Pieces {
			s.merge("blank "+p.Blank, boardRef(cb.Board))
		}
	}
}

// settingText names a setting in a set-up; a cut with none is made to a mark.
func settingText(stop measure.Length, set string) string {
	if stop == 0 {
		return "to the marks"
	}
	return set
}

// stopText words a setting; a cut with none is made to a mark.
func stopText(stop measure.Length, set string) string {
	if stop == 0 {
		return "To the tape marks; these cuts share no setting."
	}
	return set
}

func metres(l measure.Length) float64 { return float64(l) / float64(measure.Metre) }

// plane: joint one face and edge, then plane all blanks of one thickness.
func (s *stepper) plane() {
	type group struct {
		thick  measure.Length
		marks  []string
		subs   []string
		length measure.Length
		short  measure.Length // the shortest of them
	}
	m := s.m
	var groups []*group
	var all, subs []string
	var edges measure.Length
	cut := m.cutPieces()
	for _, b := range m.plan.Blanks {
		n := len(cut[b.Key])
		if n == 0 || b.Sheet {
			continue
		}
		thick := m.planedTo(b)
		total := b.Length * measure.Length(n)
		all, subs, edges = append(all, b.Mark), append(subs, "blank "+b.Key), edges+total
		if thick <= 0 {
			continue
		}
		i := slices.IndexFunc(groups, func(g *group) bool { return g.thick == thick })
		if i < 0 {
			groups, i = append(groups, &group{thick: thick, short: b.Length}), len(groups)
		}
		g := groups[i]
		g.length, g.short = g.length+total, min(g.short, b.Length)
		g.subs = append(g.subs, "blank "+b.Key)
		if !slices.Contains(g.marks, b.Mark) {
			g.marks = append(g.marks, b.Mark)
		}
	}
	if len(all) == 0 {
		return
	}
	slices.Sort(all)
	s.add(Step{Key: "joint", Phase: PhaseMill, Title: "Joint one face and one edge", Marks: slices.Compact(all), Machine: s.jointer(), Setup: "jointing",
		Rate: "joint", Quantity: metres(edges), Detail: []string{"Face first, then the edge square to it. Mark both."}, Cautions: []string{"metal", "rocking"}}, subs...)
	slices.SortStableFunc(groups, func(a, b *group) int { return cmp.Compare(b.thick, a.thick) })
	planer, there := m.plan.Project.Shop.Machine("planer")
	for _, g := range groups {
		size := m.setting(g.thick)
		st := Step{Key: fmt.Sprintf("plane/%d", g.thick), Phase: PhaseMill, Title: "Plane blanks to " + size, Marks: g.marks, Machine: "planer", Setup: "planer at " + size,
			Rate: "plane", Quantity: 2 * metres(g.length), Detail: []string{"Last pass at " + size + ". Feed longest first; butt short ones end to end."}, Cautions: []string{"metal", "planer-short", "planer-snipe", "dust"}}
		if !there {
			st.Machine, st.Setup, st.Detail = "bench", "hand planes", []string{"The shop has no planer: plane by hand, with winding sticks and a straightedge."}
			st.Cautions = []string{"metal"}
		} else {
			if g.short < planer.MinLength {
				st.Detail = append(st.Detail, s.shortAtPlaner(planer))
			}
		}
		s.add(st, g.subs...)
	}
}

// planedTo is the thickness that a blank is planed to before it is used; zero for
// the rows of a flat panel, which is planed when it is glued.
func (m *making) planedTo(b Blank) measure.Length {
	switch b.For {
	case FlatPanel:
		return 0
	case Solid:
		if sp, ok := m.plan.Part(b.Part); ok {
			return planable(&m.plan.Project.Shop, sp.T)
		}
	}
	return b.Thickness - m.plan.Project.Shop.PlaneAllowance
}

func (s *stepper) jointer() string {
	if _, ok := s.m.plan.Project.Shop.Machine("jointer"); ok {
		return "jointer"
	}
	return "table-saw"
}

// glue: every panel and lamination, its cure and its flattening; the flattening
// of a part's copies is one step.
func (s *stepper) glue() {
	m := s.m
	for i, g := range m.plan.GlueUps {
		var subs []string
		for _, b := range m.plan.Blanks {
			if b.Part == g.Part && (b.Up == 0 || g.Key == fmt.Sprintf("%d/%d", g.Part, b.Up)) {
				subs = append(subs, "blank "+b.Key)
			}
		}
		for n, bed := range g.Beds {
			key := "glue/" + g.Key
			title := fmt.Sprintf("Glue up %s %s", g.Name, g.Copy)
			if len(g.Beds) > 1 {
				key, title = fmt.Sprintf("%s/%d", key, n+1), fmt.Sprintf("%s, rows %d to %d", title, bed[0], bed[1])
			}
			s.glueBed(g, bed, key, title, subs)
		}
		if i+1 == len(m.plan.GlueUps) || m.plan.GlueUps[i+1].Part != g.Part {
			s.flattenPart(g.Part)
		}
	}
}

// flattenPart planes the glued copies of a part; parts of a panel wider than the
// planer are planed first, then joined and flushed.
func (s *stepper) flattenPart(part ID) {
	var group []GlueUp
	var marks []string
	split := false
	area := 0.0
	for _, g := range s.m.plan.GlueUps {
		if g.Part == part {
			group, marks = append(group, g), append(marks, g.Copies...)
			area += metres(g.Length) * metres(g.Width)
			split = split || len(g.Beds) > 1
		}
	}
	name, size := group[0].Name, s.m.setting(group[0].Target)
	st := Step{Key: fmt.Sprintf("flat/%d", part), Phase: PhaseMill, Title: fmt.Sprintf("Plane the glued %s to %s", name, size), Marks: marks, Machine: "planer", Setup: "planer at " + size,
		Rate: "plane", Quantity: 8 * area / 0.3, Detail: []string{"Scrape off the squeeze-out first. Both faces in turn, light passes."}, Cautions: []string{"metal", "planer-short", "planer-snipe", "dust"}}
	if planer, ok := s.m.plan.Project.Shop.Machine("planer"); !ok || planer.MaxHeight > 0 && group[0].Target > planer.MaxHeight {
		st.Machine, st.Setup, st.Rate, st.Quantity = "bench", "hand planes", "flatten", area
		st.Detail = []string{"No planer of the shop takes it: flatten by hand plane or with a router on rails."}
	}
	s.add(st, marks...)
	if !split {
		s.partPanels(part)
		return
	}
	for _, g := range group {
		if joins := len(g.Beds) - 1; joins > 0 {
			s.glueStep(g, "join/"+g.Key, fmt.Sprintf("Join the parts of %s %s", g.Name, g.Copy), joins, g.Clamping.Needed, s.waits([]string{g.Copy}))
		}
	}
	s.add(Step{Key: fmt.Sprintf("flush/%d", part), Phase: PhaseMill, Title: "Flush the last joints of the " + name, Marks: marks, Machine: "sander", Setup: "grit 80",
		Rate: "flatten", Quantity: area / 4, Detail: []string{"Only along the joint; check with a straightedge."}, Cautions: []string{"dust"}}, marks...)
	s.partPanels(part)
}
