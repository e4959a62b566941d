package plan

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"pilewright/plan/measure"
)

// Bounds of the search for a cure: quick cutting plans for all shortages of a plan,
// shortages that are looked into, cures that are told of each.
const (
	mostProbes = 24
	mostCured  = 3
	mostTold   = 3
	mostShaped = 200 // copies of a piece that is put together anew for a probe
)

// curing looks for the cheapest changes that would make the missing blanks.
type curing struct {
	m      *making
	probes int
}

// cure words what every shortage of the final cuts is and what would put it right.
func (m *making) cure() {
	if errors.Is(m.ctx.Err(), context.DeadlineExceeded) { // late is better than never
		ctx := m.ctx
		m.ctx = context.WithoutCancel(ctx)
		defer func() { m.ctx = ctx }()
	}
	c := &curing{m: m}
	for i := range m.plan.Cuts.Short {
		s := &m.plan.Cuts.Short[i]
		b, ok := m.plan.Blank(s.Blank)
		if !ok {
			continue
		}
		find, lead := []func(Short, Blank) string{c.otherWay, c.lessStagger, c.oneFewer, c.smaller}, " It would go as well with "
		if s.Say == "" { // the cutter does not say which boards would do
			find, lead = append(find, c.moreBoards), " It would go with "
			s.Say = m.shortSentence(*s, b)
		}
		if i >= mostCured {
			continue
		}
		if told := c.cures(find, *s, b); len(told) > 0 {
			s.Say += lead + orList(told) + "."
		}
	}
	m.shortFindings()
}

// shortSentence tells what is missing.
func (m *making) shortSentence(s Short, b Blank) string {
	return fmt.Sprintf("%d of the %s (%s x %s x %s) can't be cut from the pile.", s.Count, b.Name, m.say(b.Length), m.say(b.Width), m.say(b.Thickness))
}

func orList(list []string) string {
	if n := len(list); n > 1 {
		return strings.Join(list[:n-1], ", ") + " or " + list[n-1]
	}
	return list[0]
}

// cures lists what would do, cheapest first: another way, end joints closer to each
// other, a piece fewer, a smaller measure, boards to be fetched.
func (c *curing) cures(finds []func(Short, Blank) string, s Short, b Blank) []string {
	var out []string
	for _, find := range finds {
		if len(out) < mostTold && c.m.ctx.Err() == nil {
			if text := find(s, b); text != "" {
				out = append(out, text)
			}
		}
	}
	return out
}

// does puts a changed project together and reports whether that makes the blanks;
// with others, the other parts may be made another way for it.
func (c *curing) does(q *Project, part ID, others bool) bool {
	if c.probes >= mostProbes || c.m.ctx.Err() != nil || len(c.m.plan.Copies) > mostShaped {
		return false
	}
	c.probes++
	m := &making{ctx: c.m.ctx, tools: c.m.tools}
	m.plan.Project = q
	if !m.shapeUp() || slices.ContainsFunc(m.shape, func(f Finding) bool { return f.Severity == Stop }) {
		return false
	}
	for i := range m.plan.Ways { // as the parts are made now, where they still can be
		m.chooseLike(&m.plan.Ways[i], c.m.plan.Ways, part)
	}
	return m.cut(true) == nil && (c.helps(m, part) || others && c.withOtherWays(m, part))
}

// withOtherWays reports whether the change does where other parts give way to it: are
// made another way themselves, or leave the wood it needs after a longer look.
func (c *curing) withOtherWays(m *making, part ID) bool {
	m.enough = true
	if _, err := m.tryWays(); err != nil {
		return false
	}
	if c.helps(m, part) {
		return true
	}
	m.effort = carefulEffort
	return m.cut(true) == nil && c.helps(m, part)
}

// helps reports whether the cuts make the blanks of the part, and no other part is
// the worse for it.
func (c *curing) helps(m *making, part ID) bool {
	now := map[ID]int{}
	for _, s := range c.m.plan.Cuts.Short {
		id, _ := KeyPart(s.Blank)
		now[id] += s.Count
	}
	for _, s := range m.plan.Cuts.Short {
		id, _ := KeyPart(s.Blank)
		if id == part || now[id] < s.Count {
			return false
		}
	}
	return true
}

// chooseLike takes the way that the part has in another plan, unless it is the
// part in question and that way no longer is among its options.
func (m *making) chooseLike(pw *PartWays, ways []PartWays, part ID) {
	for _, o := range ways {
		was, ok := o.Choice()
		if o.Part != pw.Part || !ok || o.Part == part && pw.Locked != o.Locked {
			continue
		}
		for i, x := range pw.Options {
			if x.Way == was.Way && x.Rows == was.Rows && x.Pieces == was.Pieces {
				pw.Chosen = i
				return
			}
		}
	}
}

// otherWay tries the ways that a locked part is not allowed.
func (c *curing) otherWay(_ Short, b Blank) string {
	sp, ok := c.m.plan.Part(b.Part)
	if !ok || sp.Way == AnyWay {
		return ""
	}
	for _, w := range []Way{Solid, Laminated, FlatPanel, OnEdge, MixedPanel} {
		if w == sp.Way {
			continue
		}
		q := c.m.plan.Project.With(func(q *Project) {
			q.Parts = each(q.Parts, func(p *Part) {
				if p.ID == b.Part {
					p.Way = w
				}
			})
		})
		if c.does(q, b.Part, true) {
			return fmt.Sprintf("the %s made %s", sp.Name, wayWord[w])
		}
	}
	return ""
}

var wayWord = map[Way]string{Solid: "of one board", Laminated: "of layers", FlatPanel: "of edge-glued rows", OnEdge: "of strips on edge", MixedPanel: "of mixed strips"}

// measuresIn lists the measures that texts name, in the maker's order.
func (c *curing) measuresIn(texts ...string) []Measure {
	var out []Measure
	for _, x := range c.m.plan.Project.Measures {
		if slices.ContainsFunc(texts, func(t string) bool { return names(t, x.Name) }) {
			out = append(out, x)
		}
	}
	return out
}

// names reports whether a text of shop arithmetic uses a name.
func names(text, name string) bool {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r != '_' && !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	return name != "" && slices.Contains(words, strings.ToLower(name))
}

// with gives the project with another text of a measure.
func (c *curing) with(id ID, text string) *Project {
	return c.m.plan.Project.With(func(q *Project) {
		q.Measures = each(q.Measures, func(x *Measure) {
			if x.ID == id {
				x.Text = text
			}
		})
	})
}

// oneFewer takes one off the number of copies, where a measure counts them.
func (c *curing) oneFewer(_ Short, b Blank) string {
	part, ok := c.m.plan.Project.Part(b.Part)
	if !ok {
		return ""
	}
	var texts []string
	for _, copies := range part.Copies {
		texts = append(texts, copies.Repeat)
	}
	for _, x := range c.measuresIn(texts...) {
		v, ok := c.m.plan.Values[strings.ToLower(x.Name)]
		if !ok || v.IsLength() {
			continue
		}
		if n, err := v.Count(); err == nil && n > 1 && c.does(c.with(x.ID, fmt.Sprintf("%d pcs", n-1)), b.Part, false) {
			return fmt.Sprintf("%s %d instead of %d", clip(x.Name), n-1, n)
		}
	}
	return ""
}

// smaller shortens a measure that the part's size is made of, by as little as will do:
// down to three quarters, to the ruler's step.
func (c *curing) smaller(_ Short, b Blank) string {
	part, ok := c.m.plan.Project.Part(b.Part)
	if !ok {
		return ""
	}
	step := c.step()
	for _, x := range c.measuresIn(part.Length, part.Width, part.Thickness) {
		v, ok := c.m.plan.Values[strings.ToLower(x.Name)]
		if !ok || !v.IsLength() {
			continue
		}
		now, err := v.Length()
		if err != nil || now < 4*step {
			continue
		}
		hi := (now*3/4 + step - 1) / step * step // does, if anything does
		if !c.does(c.with(x.ID, measure.Exact(hi)), b.Part, false) {
			continue
		}
		hi = c.most(hi, now, func(l measure.Length) bool { return c.does(c.with(x.ID, measure.Exact(l)), b.Part, false) })
		return fmt.Sprintf("%s %s (%s less)", clip(x.Name), c.m.say(hi), c.m.say(now-hi))
	}
	return ""
}

// step is that of the sizes tried.
func (c *curing) step() measure.Length {
	if metric(c.m.plan.Parts) {
		return 5 * measure.Millimetre
	}
	return measure.Inch / 4
}

// most is the greatest size, to the step, that does, from one that does to one that
// does not.
func (c *curing) most(does, not measure.Length, try func(measure.Length) bool) measure.Length {
	step := c.step()
	for not-does > step && c.probes < mostProbes {
		mid := (does + not) / 2 / step * step
		if mid <= does {
			break
		}
		if try(mid) {
			does = mid
		} else {
			not = mid
		}
	}
	return does
}

// lessStagger lets the end joints of neighbouring rows lie closer to each other, by as
// little as will do: the longer pieces of the rows are shorter then.
func (c *curing) lessStagger(_ Short, b Blank) string {
	sp, ok := c.m.plan.Part(b.Part)
	if !ok || sp.Way == Solid || sp.Way == Laminated {
		return ""
	}
	p := c.m.plan.Project
	now, least := cmp.Or(p.Piece.Stagger, p.Shop.Stagger), c.step()
	does := func(l measure.Length) bool {
		return c.does(p.With(func(q *Project) { q.Piece.Stagger = l }), b.Part, false)
	}
	if now <= least || !does(least) {
		return ""
	}
	return "end joints staggered by only " + c.m.say(c.most(least, now, does))
}

// moreBoards counts the boards, each just large enough for one blank, that would do.
func (c *curing) moreBoards(s Short, b Blank) string {
	board := Board{Length: b.Length, Width: b.Width, Thickness: b.Thickness, Species: b.Species}
	add := func(n int) bool {
		q, err := c.m.plan.Project.AddBoards(board, n)
		if err != nil || c.m.ctx.Err() != nil {
			return false
		}
		c.probes++
		m := &making{ctx: c.m.ctx, tools: c.m.tools, plan: c.m.plan}
		m.plan.Project = q
		return m.cut(true) == nil && c.helps(m, b.Part)
	}
	lo, hi := 0, s.Count // one board for each blank always does
	for hi-lo > 1 && c.probes < mostProbes {
		if mid := (lo + hi) / 2; add(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	word := "boards"
	if hi == 1 {
		word = "board"
	}
	species := ""
	if b.Species != "" {
		species = " of " + b.Species
	}
	return fmt.Sprintf("%d more %s%s at least %s long, %s wide and %s thick, clear of defects", hi, word, species, c.m.say(b.Length), c.m.say(b.Width), c.m.say(b.Thickness))
}
