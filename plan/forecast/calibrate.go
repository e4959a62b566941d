package forecast

import "slices"

// Calibration tells how past forecasts would have held: every piece of the log
// is forecast from all the others and set against what it took.
type Calibration struct {
	Pieces int // with at least one usable sample
	Held   int // took between P10 and P90; about eight in ten should
	Faster int // took less than P10
	Slower int // took more than P90
	// Ratios are minutes taken over P50, the lowest first: the shop's own
	// record of how far off its forecasts are.
	Ratios []float64
}

// Share is the part of the pieces whose range held, 0 to 1; 0 without pieces.
func (c Calibration) Share() float64 {
	if c.Pieces == 0 {
		return 0
	}
	return float64(c.Held) / float64(c.Pieces)
}

// Calibrate leaves out one piece of the log after the other. It costs one
// Learn for each piece.
func Calibrate(rates []Rate, samples []Sample) Calibration {
	known := newModel(rates).index
	var order []string
	pieces := map[string][]Sample{}
	for _, s := range samples {
		if _, ok := known[s.Rate]; !ok || s.Piece == "" || !s.usable() {
			continue
		}
		if pieces[s.Piece] == nil {
			order = append(order, s.Piece)
		}
		pieces[s.Piece] = append(pieces[s.Piece], s)
	}
	var c Calibration
	for i, piece := range order {
		var others []Sample
		for _, s := range samples {
			if s.Piece != piece {
				others = append(others, s)
			}
		}
		var tasks []Task
		took := 0.0
		for _, s := range pieces[piece] {
			tasks = append(tasks, Task{Rate: s.Rate, Quantity: s.Quantity})
			took += s.Minutes
		}
		f := learn(rates, others, i+1).Predict(tasks)
		c.Pieces++
		c.Ratios = append(c.Ratios, took/f.P50)
		switch {
		case took < f.P10:
			c.Faster++
		case took > f.P90:
			c.Slower++
		default:
			c.Held++
		}
	}
	slices.Sort(c.Ratios)
	return c
}
