package plan

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"pilewright/plan/measure"
)

// Largest is the greatest value of one measure that the pile and the machines
// still make.
type Largest struct {
	Measure Measure
	Value   measure.Length // proved possible by a plan
	Next    measure.Length // the next step up, for which no plan was found; 0 = the search's end
	Cause   string         // what stands in the way of Next
	Limits  []string       // machine limits that the piece runs into at Value
}

// largestSpan bounds the search: from a quarter to eight times the present value.
const largestSpan = 8

// Largest finds the greatest value of a measure with which the piece can be made
// from this pile, to the step the shop's ruler shows. It takes for granted that a
// smaller value needs no more wood; told is called with every value tried.
func (p *Project) Largest(ctx context.Context, tools Tools, id ID, told func(at measure.Length, possible bool)) (Largest, error) {
	i := slices.IndexFunc(p.Measures, func(m Measure) bool { return m.ID == id })
	if i < 0 {
		return Largest{}, errors.New("there is no such measure")
	}
	m := &making{ctx: ctx, tools: tools}
	m.plan.Project = p
	_, _, s := size(p)
	v, ok := s.values[strings.ToLower(p.Measures[i].Name)]
	now, err := v.Length()
	if !ok || err != nil || !v.IsLength() || now <= 0 {
		return Largest{}, fmt.Errorf("%s is not a length that could be made larger", p.Measures[i].Name)
	}
	step := measure.Inch / measure.Length(max(p.Shop.Denominator, 1))
	if !p.Shop.Inches {
		step = measure.Millimetre
	}
	try := func(at measure.Length) (bool, string, error) {
		q := p.With(func(q *Project) {
			q.Measures = slices.Clone(p.Measures)
			q.Measures[i].Text = measure.Exact(at)
		})
		possible, cause, err := Possible(ctx, q, tools)
		if err == nil && told != nil {
			told(at, possible)
		}
		return possible, cause, err
	}
	out := Largest{Measure: p.Measures[i]}
	lo, hi := measure.Length(0), now/step*step
	most := now * largestSpan
	for hi <= most {
		possible, cause, err := try(hi)
		if err != nil {
			return out, err
		}
		if !possible {
			out.Next, out.Cause = hi, cause
			break
		}
		lo = hi
		hi = (hi + max(hi/4, step)) / step * step
	}
	if lo == 0 && out.Next <= step {
		return out, nil
	}
	for out.Next > 0 && out.Next-lo > step {
		mid := (lo + out.Next) / 2 / step * step
		if mid <= lo {
			mid = lo + step
		}
		possible, cause, err := try(mid)
		if err != nil {
			return out, err
		}
		if possible {
			lo = mid
		} else {
			out.Next, out.Cause = mid, cause
		}
	}
	out.Value = lo
	if lo > 0 {
		out.Limits = p.machineLimits(ctx, tools, i, lo)
	}
	return out, nil
}

// machineLimits tells which machines the piece runs into with a measure at a value.
func (p *Project) machineLimits(ctx context.Context, tools Tools, at int, value measure.Length) []string {
	m := &making{ctx: ctx, tools: tools}
	m.plan.Project = p.With(func(q *Project) {
		q.Measures = slices.Clone(p.Measures)
		q.Measures[at].Text = measure.Exact(value)
	})
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
