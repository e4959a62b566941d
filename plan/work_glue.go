package plan

import (
	"fmt"
	"slices"

	"pilewright/plan/glue"
)

// clamped is a glue-up that stands in so many clamps.
type clamped struct {
	step  string
	count int
	offs  int // how many glue-ups had been taken out of their clamps before it
}

// freeClamps takes the clamps off the glue-ups that have stood longest, until
// there are enough for another; it gives the steps of taking them off that the
// other has to wait for. Without it all of them would be glued in one evening with
// clamps that are not there. Those taken off for an earlier one are waited for as
// well: the calendar may turn to this one first.
func (s *stepper) freeClamps(g GlueUp, count int) []string {
	wide, in := 0, 0
	for _, c := range s.m.plan.Project.Shop.Clamps {
		if c.Kind != "spring" && c.Opening >= g.clampedAcross() {
			wide += c.Count
		}
	}
	for _, c := range s.inUse {
		in += c.count
	}
	for len(s.inUse) > 0 && in+count > wide {
		first := s.inUse[0]
		s.inUse, in = s.inUse[1:], in-first.count
		s.offs = append(s.offs, s.unclamp(first))
		s.implied = max(s.implied, first.offs)
	}
	return s.offs[s.implied:]
}

// unclamp adds the step of taking the clamps off a glue-up; what waited for its
// cure waits for that then.
func (s *stepper) unclamp(c clamped) string {
	i := slices.IndexFunc(s.steps, func(st Step) bool { return st.Key == c.step })
	st := &s.steps[i]
	g := s.glueUpOf(st.Marks)
	off := Step{Key: "off/" + c.step, Phase: PhaseGlueUp, Title: "Take the clamps off: " + st.Title, Marks: st.Marks, Machine: "bench", Setup: "clamps", Needs: []string{c.step}, Whole: true,
		Rate: "clamp", Quantity: float64(c.count) / 3, Wait: max(st.Wait-g.Clamping.InClamps, 0), WaitFor: "glue", Detail: []string{"The clamps are wanted for the next glue-up. Lay it on battens, with air under it; no load before it has cured."}}
	st.Wait = min(st.Wait, g.Clamping.InClamps)
	for k := range s.steps {
		for n, key := range s.steps[k].Needs {
			if key == c.step {
				s.steps[k].Needs = slices.Clone(s.steps[k].Needs)
				s.steps[k].Needs[n] = off.Key
			}
		}
	}
	for sub, keys := range s.last {
		for n, key := range keys {
			if key == c.step {
				s.last[sub] = slices.Clone(keys)
				s.last[sub][n] = off.Key
			}
		}
	}
	s.steps = append(s.steps, off)
	return off.Key
}

func (s *stepper) glueUpOf(marks []string) GlueUp {
	for _, g := range s.m.plan.GlueUps {
		if slices.Contains(marks, g.Copy) {
			return g
		}
	}
	return GlueUp{}
}

// glueBed glues the rows of a bed, in one go or in groups that are joined then.
func (s *stepper) glueBed(g GlueUp, bed [2]int, key, title string, subs []string) {
	var groups []glue.Group
	for _, x := range g.Clamping.Groups {
		if x.From >= bed[0] && x.To <= bed[1] {
			groups = append(groups, x)
		}
	}
	if len(groups) < 2 {
		needed := g.Clamping.Needed
		if len(groups) == 1 {
			needed = groups[0].Needed
		}
		if bed[1] > bed[0] || len(g.Beds) == 1 {
			s.glueStep(g, key, title, bed[1]-bed[0], needed, s.waits(subs))
		}
		return
	}
	var before []string // keys of the groups so far
	glued := make([]bool, bed[1]+1)
	for i, x := range groups {
		lines, needs := 0, s.waits(subs)
		for row := x.From; row < x.To; row++ {
			if !glued[row] {
				glued[row] = true
				lines++
			}
		}
		at := fmt.Sprintf("%s/%d-%d", key, x.From, x.To)
		text := fmt.Sprintf("%s, rows %d to %d", title, x.From, x.To)
		if i == len(groups)-1 {
			at, text = key, title+", all groups"
		}
		s.glueStep(g, at, text, lines, x.Needed, append(slices.Clip(needs), before...))
		st := &s.steps[len(s.steps)-1]
		st.Detail[0] = fmt.Sprintf("%d clamps, at most %s apart, alternating sides. The lay-up takes about %s; the glue stays open %d min; %s in the clamps.",
			x.Needed, s.m.say(x.Spacing), HoursText(x.LayUp), int(g.Clamping.Open.Minutes()), HoursText(g.Clamping.InClamps))
		if i < len(groups)-1 {
			st.Wait = g.Clamping.InClamps // joined on as soon as it is out of the clamps
		}
		before = append(before, at)
	}
}

// glueStep adds one gluing, of so many lines and clamps.
func (s *stepper) glueStep(g GlueUp, key, title string, lines, needed int, needs []string) {
	c := g.Clamping
	var free []string
	for _, off := range s.freeClamps(g, needed) {
		if !slices.Contains(needs, off) {
			free = append(free, off)
		}
	}
	st := Step{Key: key, Phase: PhaseGlueUp, Title: title, Marks: g.Copies, Machine: "bench", Setup: "clamps", Whole: true, Needs: slices.Concat(needs, free), Free: free,
		Rate: "glue-up", Quantity: metres(g.Length) * float64(max(lines, 1)), Wait: max(c.InClamps, c.Cure), WaitFor: "glue", Cautions: s.m.glueCautions()}
	st.Detail = append([]string{fmt.Sprintf("%d clamps, at most %s apart, alternating sides. The glue stays open %d min; %s in the clamps, %s before planing.", needed, s.m.say(c.Spacing), int(c.Open.Minutes()), HoursText(c.InClamps), HoursText(c.Cure))}, c.Say...)
	if list := g.Panel.Turned(); len(list) > 0 {
		st.Detail = append(st.Detail, fmt.Sprintf("Turned over, face B where A was: %s.", listMarks(list)))
	}
	s.steps = append(s.steps, st)
	s.inUse = append(s.inUse, clamped{key, needed, len(s.offs)})
	for _, mark := range g.Copies {
		for _, n := range needs { // the copy no longer waits on what this step waits on
			s.last[mark] = slices.DeleteFunc(s.last[mark], func(k string) bool { return k == n })
		}
		s.last[mark] = append(s.last[mark], key)
	}
}
