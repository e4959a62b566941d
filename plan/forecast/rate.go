// Package forecast learns how long the shop's work takes from its log and
// forecasts the hours of a piece with an honest range.
//
// The model is a small hierarchy in the logarithm of minutes for a unit of
// work. A task of rate r on piece p takes
//
//	ln(minutes / quantity) = ln(guess of r) + pace + practice·ln(n) + own(r) + piece(p) + error
//
// where pace is how much slower the maker is than all the guesses, practice
// how fast that falls with n, the number of the piece, own how much a rate
// differs from its guess beyond that, piece the good or bad spell that every
// task of one piece shares, and error the rest. All are normal, so
// with few entries a rate stays near its guess and with many it follows the
// log (normal-normal shrinkage; Gelman et al., Bayesian Data Analysis, ch. 5).
// How far the parts spread is learned too, see Learn.
//
// Times are float64 minutes: they are estimates, never sizes or money. The
// package reads no clock and draws no random numbers; the same log gives the
// same forecast. Start at Learn and Model.Predict.
package forecast

// Source is where every rate of DefaultRates comes from. No published times
// for hand and home-shop work were found.
const Source = "starting guess, replace from your log"

// Rate is a kind of work and the guess about it before anything is logged.
type Rate struct {
	ID    string
	Name  string
	Phase string // phase of the job its time is kept under
	Unit  string // what Quantity counts
	// Median minutes for a unit: half of all tasks go faster.
	Median float64
	// Sigma is the scatter of single tasks in the logarithm: 0.3 means that
	// two of three tasks lie within a factor e^0.3 = 1.35 of the median.
	Sigma float64
	// Weight is how many logged tasks the guess is worth.
	Weight float64
	Source string
}

// DefaultRates are guesses to begin with. They are data to be corrected: the
// weight of each is a third of a logged task, so the log soon wins.
func DefaultRates() []Rate {
	rates := []Rate{
		{ID: "collect", Name: "fetch a load", Phase: "collect", Unit: "load", Median: 60, Sigma: 0.5},
		{ID: "take-apart", Name: "take apart", Phase: "collect", Unit: "board", Median: 4, Sigma: 0.45},
		{ID: "pull-nails", Name: "pull nails", Phase: "prepare", Unit: "board", Median: 3, Sigma: 0.45},
		{ID: "trim-end", Name: "trim ends", Phase: "prepare", Unit: "end", Median: 1, Sigma: 0.35},
		{ID: "rip", Name: "rip", Phase: "mill", Unit: "metre", Median: 1.5, Sigma: 0.35},
		{ID: "joint", Name: "joint an edge", Phase: "mill", Unit: "metre", Median: 1, Sigma: 0.35},
		{ID: "plane", Name: "plane", Phase: "mill", Unit: "metre of pass", Median: 1, Sigma: 0.35},
		{ID: "crosscut", Name: "crosscut", Phase: "mill", Unit: "cut", Median: 1, Sigma: 0.35},
		{ID: "set-up", Name: "change a set-up", Phase: "mill", Unit: "change", Median: 6, Sigma: 0.5},
		{ID: "mark-out", Name: "mark out", Phase: "joinery", Unit: "joint", Median: 3, Sigma: 0.4},
		{ID: "tenon", Name: "cut a tenon", Phase: "joinery", Unit: "joint", Median: 6, Sigma: 0.4},
		{ID: "mortise", Name: "rout a mortise", Phase: "joinery", Unit: "joint", Median: 8, Sigma: 0.4},
		{ID: "housing", Name: "cut a housing", Phase: "joinery", Unit: "joint", Median: 8, Sigma: 0.4},
		{ID: "dowel", Name: "drill for dowels", Phase: "joinery", Unit: "joint", Median: 5, Sigma: 0.4},
		{ID: "dry-fit", Name: "dry fit", Phase: "joinery", Unit: "joint", Median: 4, Sigma: 0.5},
		{ID: "glue-up", Name: "glue up", Phase: "glue-up", Unit: "metre of joint", Median: 5, Sigma: 0.4},
		{ID: "clamp", Name: "set a clamp", Phase: "glue-up", Unit: "clamp", Median: 1.5, Sigma: 0.4},
		{ID: "flatten", Name: "flatten", Phase: "sand", Unit: "m²", Median: 40, Sigma: 0.5},
		{ID: "repair", Name: "fill and mend", Phase: "sand", Unit: "part", Median: 1.5, Sigma: 0.6},
		{ID: "sand", Name: "sand", Phase: "sand", Unit: "m² and grit", Median: 15, Sigma: 0.4},
		{ID: "chamfer", Name: "chamfer", Phase: "sand", Unit: "metre", Median: 1, Sigma: 0.35},
		{ID: "assemble", Name: "assemble", Phase: "assemble", Unit: "joint", Median: 4, Sigma: 0.5},
		{ID: "hardware", Name: "fit hardware", Phase: "deliver", Unit: "fitting", Median: 5, Sigma: 0.45},
		{ID: "coat", Name: "put on a coat", Phase: "finish", Unit: "m²", Median: 12, Sigma: 0.4},
		{ID: "deliver", Name: "deliver", Phase: "deliver", Unit: "trip", Median: 60, Sigma: 0.5},
	}
	for i := range rates {
		rates[i].Weight, rates[i].Source = 1.0/3, Source
	}
	return rates
}
