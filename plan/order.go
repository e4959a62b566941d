package plan

// Work is the steps in the order of work, and what the order is worth.
type Work struct {
	Steps        []Step
	SetupMinutes float64
	SetupLeft    float64
}

func (m *making) steps() {
	m.plan.Work = Work{Steps: m.derive()}
}

// Outlook is the forecast.
type Outlook struct{}

func (m *making) forecast(l *Ledger) {}

func (m *making) uses() {}

func (m *making) pileFindings(s pileShape) {}
