package forecast

import "math"

// below is the standard normal distribution function.
func below(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }

// logBelow is its logarithm, also far out where below itself is nought; there
// by the asymptotic series (Abramowitz and Stegun 26.2.12).
func logBelow(x float64) float64 {
	if x > -30 {
		return math.Log(below(x))
	}
	i := 1 / (x * x)
	return -x*x/2 - math.Log(-x*math.Sqrt(2*math.Pi)) + math.Log1p(-i*(1-3*i*(1-5*i)))
}

// normalAt is the standard normal quantile.
func normalAt(p float64) float64 { return math.Sqrt2 * math.Erfinv(2*p-1) }

// hazard is density over distribution, φ(x)/Φ(x): how far a condition "above"
// pulls a normal variable.
func hazard(x float64) float64 {
	if x < -30 {
		i := 1 / (x * x)
		return -x / (1 - i*(1-3*i*(1-5*i)))
	}
	return math.Exp(-x*x/2 - 0.5*math.Log(2*math.Pi) - logBelow(x))
}
