package plan

import (
	"fmt"
)

// finish: an allowance for repairs, sanding by grit, coats with their recoat times, hardware, delivery.
func (s *stepper) finish() {
	m := s.m
	var all []string
	for _, c := range m.plan.Copies {
		all = append(all, c.Mark)
	}
	if len(all) == 0 {
		return
	}
	s.add(Step{Key: "repair", Phase: PhaseSand, Title: "Fill holes and mend what broke", Machine: "bench", Setup: "bench", Rate: "repair", Quantity: float64(len(all)),
		Detail: []string{"An allowance: nail holes, splits and tear-out that come to light. Let filler and glue harden before sanding."}}, all...)
	area := m.area()
	for _, grit := range m.grits() {
		s.add(Step{Key: fmt.Sprintf("sand/%d", grit), Phase: PhaseSand, Title: fmt.Sprintf("Sand with %d grit", grit), Machine: "sander", Setup: fmt.Sprintf("grit %d", grit), Rate: "sand", Quantity: area,
			Detail: []string{"With the grain. Dust off before the next grit."}, Cautions: []string{"dust"}}, all...)
	}
	f := m.finishData()
	for coat := 1; coat <= f.coats; coat++ {
		st := Step{Key: fmt.Sprintf("coat/%d", coat), Phase: PhaseFinish, Title: fmt.Sprintf("%s, coat %d of %d", f.name, coat, f.coats), Machine: "bench", Setup: "finishing", Rate: "coat", Quantity: area,
			Wait: f.recoat, WaitFor: "finish", Whole: true, Cautions: []string{"ventilation"}, Detail: []string{fmt.Sprintf("About %.0f ml. Hidden faces too, so that the wood moves evenly.", f.litres*1000)}}
		if f.rags {
			st.Cautions = append(st.Cautions, "oily-rags")
		}
		if coat > 1 {
			st.Detail = append(st.Detail, "Rub lightly with a fine grit before this coat.")
		}
		if coat == f.coats {
			st.Wait = f.cure
		}
		s.add(st, all...)
	}
	n := 0
	for _, h := range m.plan.Project.Piece.Hardware {
		n += h.Count
	}
	if n > 0 {
		s.add(Step{Key: "hardware", Phase: PhaseDeliver, Title: "Fit the hardware", Machine: "drill", Setup: "driver", Rate: "hardware", Quantity: float64(n)}, all...)
	}
	s.add(Step{Key: "deliver", Phase: PhaseDeliver, Title: "Photograph, wrap and hand over", Machine: "bench", Setup: "bench", Rate: "deliver", Quantity: 1,
		Cautions: []string{"load"}, Detail: []string{"Tell the buyer the load it was reckoned for, and how to look after the finish."}}, all...)
}
