package forecast

import "math"

// ThreePoint gives mean and standard deviation of a time guessed as shortest,
// usual and longest: (a+4m+b)/6 and (b-a)/6 (PERT; Malcolm, Roseboom, Clark
// and Fazar 1959).
func ThreePoint(shortest, usual, longest float64) (mean, sd float64) {
	return (shortest + 4*usual + longest) / 6, (longest - shortest) / 6
}

// GuessedRate makes a rate of the maker's own from three guessed minutes for a
// unit: the log-normal with the mean and deviation of ThreePoint, worth a
// third of a logged task. ok is false unless 0 < shortest ≤ usual ≤ longest.
func GuessedRate(id, name, phase, unit string, shortest, usual, longest float64) (r Rate, ok bool) {
	if !(shortest > 0 && shortest <= usual && usual <= longest) || !sensible(longest) {
		return Rate{}, false
	}
	mean, sd := ThreePoint(shortest, usual, longest)
	variance := math.Max(math.Log1p(sq(sd/mean)), sq(0.1)) // three equal guesses still scatter
	return Rate{
		ID: id, Name: name, Phase: phase, Unit: unit,
		Median: mean * math.Exp(-variance/2), Sigma: math.Sqrt(variance), Weight: 1.0 / 3,
		Source: "guessed by the maker, replace from your log",
	}, true
}
