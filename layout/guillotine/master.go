package guillotine

// master is the linear programme behind Fewest: cover every demand with
// patterns at least cost, any fraction of a pattern allowed. It keeps only the
// inverse of its basis; patterns come one at a time from pricing (Gilmore and
// Gomory, 1961). It is only a guide: bounds are computed from rounded prices.
type master struct {
	n       int
	inverse [][]float64
	amount  []float64 // of each basic pattern
	cost    []float64
}

// newMaster starts from a pattern of one item for each demand, at high cost.
func newMaster(demand []int64, high float64) *master {
	m := &master{n: len(demand)}
	for k, d := range demand {
		row := make([]float64, m.n)
		row[k] = 1
		m.inverse = append(m.inverse, row)
		m.amount = append(m.amount, float64(d))
		m.cost = append(m.cost, high)
	}
	return m
}

// prices is what one more of each item is worth to the present mix.
func (m *master) prices() []float64 {
	out := make([]float64, m.n)
	for r, c := range m.cost {
		for k := range out {
			out[k] += c * m.inverse[r][k]
		}
	}
	return out
}

// enter brings a pattern into the basis; false where it would change nothing.
func (m *master) enter(column []float64, cost float64) bool {
	move := make([]float64, m.n)
	for r := range move {
		for k, v := range column {
			move[r] += m.inverse[r][k] * v
		}
	}
	out, least := -1, 0.0
	for r, v := range move {
		if v < 1e-7 {
			continue
		}
		if q := m.amount[r] / v; out < 0 || q < least-1e-12 || q < least+1e-12 && v > move[out] {
			out, least = r, q
		}
	}
	if out < 0 {
		return false
	}
	pivot := move[out]
	for k := range m.inverse[out] {
		m.inverse[out][k] /= pivot
	}
	m.amount[out] = max(least, 0)
	for r := range move {
		if r == out || move[r] == 0 {
			continue
		}
		for k := range m.inverse[r] {
			m.inverse[r][k] -= move[r] * m.inverse[out][k]
		}
		m.amount[r] = max(m.amount[r]-move[r]*least, 0)
	}
	m.cost[out] = cost
	return true
}

// settle lets surplus enter while an item has a price below zero.
func (m *master) settle() {
	for range 4 * m.n {
		p := m.prices()
		worst := -1
		for k, v := range p {
			if v < -1e-9 && (worst < 0 || v < p[worst]) {
				worst = k
			}
		}
		if worst < 0 {
			return
		}
		column := make([]float64, m.n)
		column[worst] = -1
		if !m.enter(column, 0) {
			return
		}
	}
}
