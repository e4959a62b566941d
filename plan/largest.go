package plan

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"pilewright/plan/measure"
)

// Largest is the greatest value of one measure, or of several in proportion, that
// the pile and the machines still make.
type Largest struct {
	Measure Measure        // the one, or the first of those in proportion
	Value   measure.Length // proved possible by a plan; 0 = none of the values tried is
	Next    measure.Length // the next step up, for which no plan was found; 0 = the search's end
	Percent int            // of the present sizes, in proportion; 0 for one measure
	Sizes   []Measure      // what the measures are then, each with its text
	Cause   string         // what stands in the way of Next
	Limits  []string       // machine limits that the piece runs into at Value
	Tries   int
}

// largestSpan bounds the search: up to eight times the present value.
const largestSpan = 8

// Largest finds the greatest value of a measure with which the piece can be made
// from this pile, to the step the shop's ruler shows. It takes for granted that a
// smaller value needs no more wood; told is called with every value tried. Each
// try begins with the ways of the last that was possible.
func (p *Project) Largest(ctx context.Context, tools Tools, id ID, told func(at measure.Length, possible bool)) (Largest, error) {
	i := slices.IndexFunc(p.Measures, func(m Measure) bool { return m.ID == id })
	if i < 0 {
		return Largest{}, errors.New("there is no such measure")
	}
	now, ok := p.lengthOf(i)
	if !ok {
		return Largest{}, fmt.Errorf("%s is not a length that could be made larger", p.Measures[i].Name)
	}
	step := p.rulerStep()
	out := Largest{Measure: p.Measures[i]}
	with := func(n int64) *Project {
		return p.withSizes([]int{i}, func(int) measure.Length { return measure.Length(n) * step })
	}
	c := climb{ctx: ctx, tools: tools, with: with}
	if told != nil {
		c.told = func(n int64, possible bool) { told(measure.Length(n)*step, possible) }
	}
	lo, next, err := c.search(int64(now/step), int64(now*largestSpan/step))
	out.Value, out.Next, out.Cause, out.Tries = measure.Length(lo)*step, measure.Length(next)*step, c.cause, c.tries
	if err == nil && lo > 0 {
		q := with(lo)
		out.Sizes, out.Limits = []Measure{q.Measures[i]}, q.machineLimits(ctx, tools)
	}
	return out, err
}

// InProportion gives the measures that LargestInProportion scales: lengths that
// are not reckoned from others, and no less than a fifth of the greatest of them,
// so that boards keep their thickness.
func (p *Project) InProportion() []Measure {
	var out []Measure
	for _, i := range p.scaled() {
		out = append(out, p.Measures[i])
	}
	return out
}

func (p *Project) scaled() []int {
	size := map[int]measure.Length{}
	most := measure.Length(0)
	for i, m := range p.Measures {
		own := !slices.ContainsFunc(p.Measures, func(o Measure) bool { return names(m.Text, o.Name) })
		if l, ok := p.lengthOf(i); ok && own {
			size[i], most = l, max(most, l)
		}
	}
	var out []int
	for i := range p.Measures {
		if l, ok := size[i]; ok && l >= most/5 {
			out = append(out, i)
		}
	}
	return out
}

// LargestInProportion scales the measures of InProportion together, by whole per
// cent, each to the ruler's step below.
func (p *Project) LargestInProportion(ctx context.Context, tools Tools, told func(percent int, possible bool)) (Largest, error) {
	list := p.scaled()
	if len(list) == 0 {
		return Largest{}, errors.New("the piece has no measures to make larger")
	}
	step := p.rulerStep()
	with := func(n int64) *Project {
		return p.withSizes(list, func(i int) measure.Length {
			now, _ := p.lengthOf(i)
			return now / 100 * measure.Length(n) / step * step
		})
	}
	c := climb{ctx: ctx, tools: tools, with: with}
	if told != nil {
		c.told = func(n int64, possible bool) { told(int(n), possible) }
	}
	lo, next, err := c.search(100, 100*largestSpan)
	out := Largest{Measure: p.Measures[list[0]], Percent: int(lo), Cause: c.cause, Tries: c.tries}
	if err != nil {
		return out, err
	}
	if next > 0 {
		out.Next, _ = with(next).lengthOf(list[0])
	}
	if lo > 0 {
		q := with(lo)
		out.Value, _ = q.lengthOf(list[0])
		out.Limits = q.machineLimits(ctx, tools)
		for _, i := range list {
			out.Sizes = append(out.Sizes, q.Measures[i])
		}
	}
	return out, nil
}

// WithSizes gives the project with the texts of measures that Largest found.
func (p *Project) WithSizes(sizes []Measure) *Project {
	return p.With(func(q *Project) {
		q.Measures = each(q.Measures, func(x *Measure) {
			for _, s := range sizes {
				if s.ID == x.ID {
					x.Text = s.Text
				}
			}
		})
	})
}

func (p *Project) withSizes(list []int, at func(int) measure.Length) *Project {
	return p.With(func(q *Project) {
		q.Measures = slices.Clone(p.Measures)
		for _, i := range list {
			q.Measures[i].Text = measure.Exact(at(i))
		}
	})
}

// lengthOf is the value of measure i; ok is false where it is none or no length.
func (p *Project) lengthOf(i int) (measure.Length, bool) {
	_, _, s := size(p)
	v, ok := s.values[strings.ToLower(p.Measures[i].Name)]
	if !ok || !v.IsLength() {
		return 0, false
	}
	l, err := v.Length()
	return l, err == nil && l > 0
}

// rulerStep is the finest step the shop's ruler shows.
func (p *Project) rulerStep() measure.Length {
	if p.Shop.Inches {
		return measure.Inch / measure.Length(max(p.Shop.Denominator, 1))
	}
	return measure.Millimetre
}

// climb looks for the greatest number for which a project can be made.
type climb struct {
	ctx   context.Context
	tools Tools
	with  func(int64) *Project
	told  func(int64, bool)
	last  []PartWays // of the last that was possible
	lo    int64      // possible; 0 = none yet
	next  int64      // the least found impossible; 0 = none yet
	cause string     // of next
	tries int
}

// search begins at now; next is the least number found impossible, 0 = none up to
// most. Brief tries go ahead, for most of the work lies in saying no; full tries go
// on just above what those reach, and have the last word on both numbers. The last
// word on the number reached is asked for beside the first try above it.
func (c *climb) search(now, most int64) (lo, next int64, err error) {
	if _, err := c.try(max(now, 1), false); err != nil {
		return 0, c.next, err
	}
	if err := c.ahead(most); err != nil {
		return c.lo, c.next, err
	}
	ctx, cancel := context.WithCancel(c.ctx)
	early, reached := make(chan answer, 1), c.lo
	defer func() {
		cancel()
		<-early
	}()
	go func() {
		defer close(early)
		if reached > 0 {
			early <- c.ask(ctx, reached, nil, false)
		}
	}()
	for step := int64(1); c.top(most) > c.lo; {
		half := (c.top(most) - c.lo + 1) / 2
		n := c.lo + min(step, half)
		if c.lo == 0 {
			n = half
		}
		ok, err := c.try(n, false)
		if err != nil {
			return c.lo, c.next, err
		}
		if ok {
			step *= 2
		}
	}
	// What only the ways of another size make would not be found from the size alone.
	for c.lo > 0 {
		n := c.lo
		var a answer
		if n == reached {
			a = <-early
		} else {
			a = c.ask(c.ctx, n, nil, false)
		}
		ok, err := c.take(n, false, a)
		if err != nil || ok {
			return c.lo, c.next, err
		}
		c.lo = n - 1
	}
	return c.lo, c.next, nil
}

// top is the greatest number that may still be possible.
func (c *climb) top(most int64) int64 {
	if c.next > 0 {
		return c.next - 1
	}
	return max(most, c.lo)
}

// ahead raises lo by brief tries, in growing steps and then by halves.
func (c *climb) ahead(most int64) error {
	over, bounded := c.top(most)+1, c.next > 0
	for c.lo > 0 && c.lo+1 < over {
		n := c.lo + (over-c.lo)/2
		if !bounded {
			n = min(c.lo+max(c.lo/4, 1), over-1)
		}
		ok, err := c.try(n, true)
		if err != nil {
			return err
		}
		if !ok {
			over, bounded = n, true
		}
	}
	return nil
}

// answer is what possible says of one number.
type answer struct {
	ways  []PartWays
	cause string
	err   error
}

func (c *climb) ask(ctx context.Context, n int64, like []PartWays, brief bool) answer {
	ways, cause, err := possible(ctx, c.with(n), c.tools, like, brief)
	return answer{ways, cause, err}
}

// try asks for one number, with the ways of the last that was possible.
func (c *climb) try(n int64, brief bool) (bool, error) {
	return c.take(n, brief, c.ask(c.ctx, n, c.last, brief))
}

// take heeds an answer. A brief no is not told: a full try may still find a way.
func (c *climb) take(n int64, brief bool, a answer) (bool, error) {
	c.tries++
	if a.err != nil {
		return false, a.err
	}
	if c.told != nil && (a.ways != nil || !brief) {
		c.told(n, a.ways != nil)
	}
	switch {
	case a.ways != nil:
		c.last, c.lo = a.ways, n
		return true, nil
	case !brief:
		c.next, c.cause = n, a.cause
	}
	return false, nil
}

// machineLimits tells which machines the piece runs into.
func (p *Project) machineLimits(ctx context.Context, tools Tools) []string {
	m := &making{ctx: ctx, tools: tools}
	m.plan.Project = p
	if !m.shapeUp() {
		return nil
	}
	m.machineFindings()
	var out []string
	for _, f := range m.work {
		if strings.HasPrefix(f.Code, "blank.") { // known only when the blanks are cut
			continue
		}
		out = append(out, f.Text)
	}
	return out
}
