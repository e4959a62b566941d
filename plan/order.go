package plan

// Work is the steps in the order of work, and what the order is worth.
type Work struct {
	Steps        []Step
	Setups       int
	SetupMinutes float64
	SetupLeft    float64
}

func (m *making) steps() {
	m.plan.Work = Work{Steps: m.derive()}
	for i := range m.plan.Work.Steps {
		m.plan.Work.Steps[i].Minutes = m.minutes(m.plan.Work.Steps[i])
	}
}
