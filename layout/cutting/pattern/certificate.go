package pattern

// CaseState is what the decisions on the way to a proof node have fixed.
type CaseState struct{ s *state }

// RootState is the state before any decision.
func RootState(m *Model) *CaseState {
	supply := make([]int, len(m.Groups))
	for g := range supply {
		supply[g] = m.Groups[g].Supply
	}
	return &CaseState{newState(supply)}
}

// With is the state after one more decision.
func (c *CaseState) With(d Decision) *CaseState { return &CaseState{c.s.with(d)} }

// Closed reports that no board of g may be used.
func (c *CaseState) Closed(g int) bool { return c.s.closed[g] }

// Most is the number of boards of g that may be used.
func (c *CaseState) Most(g int) int { return c.s.most[g] }

// Least is the number of boards of g whose cost is spent.
func (c *CaseState) Least(g int) int { return c.s.least[g] }

// Bounds are the counts fixed on the board of g.
func (c *CaseState) Bounds(g int) []CountBound { return c.s.bounds[g] }
