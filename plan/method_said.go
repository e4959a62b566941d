package plan

import (
	"fmt"
	"slices"
	"time"

	"pilewright/plan/joinery"
	"pilewright/plan/measure"
	"pilewright/plan/schedule"
)

// toolWords name the ways to cut a joint in a sentence.
var toolWords = map[string]string{
	string(joinery.ByRouter): "the router", string(joinery.ByDado): "the dado stack at the table saw", string(joinery.ByMitre): "the mitre saw's depth stop",
	string(joinery.ByDrill): "the drill", string(joinery.ByChisel): "chisel and mallet", string(joinery.BySaw): "the hand saw",
}

// sayMethods tells, at every step that could be done in several ways, which was
// chosen and what the next best would take more in this order, changes of set-up counted.
func (m *making) sayMethods(w *Work) {
	ops := m.operations(*w)
	for i := range ops {
		ops[i].Methods, ops[i].Group = nil, "" // they are chosen
	}
	rank := map[string]int{}
	for i, key := range w.Timeline.Order {
		rank[key] = i
	}
	slices.SortStableFunc(ops, func(a, b schedule.Operation) int { return rank[a.ID] - rank[b.ID] })
	total := func(list []schedule.Operation) time.Duration {
		_, sum := schedule.Problem{Change: m.change}.Setups(list)
		for _, op := range list {
			sum += op.Time
		}
		return sum
	}
	now := total(ops)
	for i := range w.Steps {
		s := &w.Steps[i]
		taken := slices.IndexFunc(s.Methods, func(x StepMethod) bool { return x.Name == s.Method })
		if s.Done || len(s.Methods) < 2 || taken < 0 {
			continue
		}
		best, least := -1, time.Duration(0)
		for k, x := range s.Methods {
			if k == taken {
				continue
			}
			list := slices.Clone(ops)
			for n := range list {
				if WholeKey(list[n].ID) != WholeKey(s.Key) {
					continue
				}
				list[n].Machine, list[n].Setup = x.Machine, x.Setup
				if x.Machine == "bench" {
					list[n].Setup = ""
				}
				list[n].Time = time.Duration(float64(list[n].Time) * x.Share / s.Methods[taken].Share)
			}
			if more := total(list) - now; best < 0 || more < least {
				best, least = k, more
			}
		}
		said := fmt.Sprintf("Chosen: %s.", toolWords[s.Method])
		if other := toolWords[s.Methods[best].Name]; least >= time.Minute/2 {
			said = fmt.Sprintf("Chosen: %s. By %s it would take %s more, changes of set-up counted.", toolWords[s.Method], other, measure.FormatDuration(least.Round(time.Minute)))
		} else if least > -time.Minute/2 {
			said = fmt.Sprintf("Chosen: %s. By %s it would take as long, changes of set-up counted.", toolWords[s.Method], other)
		}
		s.Detail = append(slices.Clip(s.Detail), said)
	}
}
