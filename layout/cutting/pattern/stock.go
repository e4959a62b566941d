package pattern

// Stock is one stock length; without Limited there is any number of it.
type Stock struct {
	Length  int
	Cost    int64
	Supply  int
	Limited bool
}

// Demand is Count pieces of one size.
type Demand struct{ Size, Count int }

// BinPack states the plain problem of pieces from stock lengths without kerf:
// bin packing and cutting stock with one or several lengths.
func BinPack(items []Demand, stock []Stock) *Model {
	m := &Model{}
	l := &Lines{}
	pieces := 0
	for _, it := range items {
		l.Size = append(l.Size, it.Size)
		m.Demand = append(m.Demand, it.Count)
		pieces += it.Count
	}
	for _, s := range stock {
		supply := pieces
		if s.Limited {
			supply = min(supply, s.Supply)
		}
		l.Segs = append(l.Segs, []int{s.Length})
		m.Groups = append(m.Groups, Group{Cost: s.Cost, Supply: supply})
	}
	m.Oracle = func() Oracle { return NewLineOracle(l) }
	return m
}
