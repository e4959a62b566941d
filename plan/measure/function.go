package measure

import "math/big"

// functions are called with at least one argument.
var functions map[string]func(e *evaluator, name string, start int, args []term) (term, error)

func init() {
	functions = map[string]func(*evaluator, string, int, []term) (term, error){
		"min":   extreme(-1),
		"max":   extreme(1),
		"round": toStep(roundRat),
		"floor": toStep(floorRat),
		"ceil":  toStep(ceilRat),
	}
}

// extreme picks the least (sign -1) or greatest (sign 1) argument.
func extreme(sign int) func(*evaluator, string, int, []term) (term, error) {
	return func(e *evaluator, _ string, start int, args []term) (term, error) {
		alike, err := e.alike(start, args...)
		if err != nil {
			return term{}, err
		}
		best := alike[0]
		for _, a := range alike[1:] {
			if a.rat.Cmp(best.rat) == sign {
				best = a
			}
		}
		best.start = start
		return best, nil
	}
}

// toStep brings a value to a multiple of its second argument; with one
// argument a plain number becomes a whole number, a count.
func toStep(whole func(*big.Rat) *big.Int) func(*evaluator, string, int, []term) (term, error) {
	return func(e *evaluator, name string, start int, args []term) (term, error) {
		switch len(args) {
		case 1:
			if args[0].kind == lengthKind {
				return term{}, e.fail(start, ErrDimension, "%s of a length needs a step, as in %s(x, 1/16)", name, name)
			}
			return e.computed(new(big.Rat).SetInt(whole(args[0].rat)), numberKind, start)
		case 2:
			both, err := e.alike(start, args...)
			if err != nil {
				return term{}, err
			}
			x, step := both[0], both[1]
			if step.rat.Sign() == 0 {
				return term{}, e.fail(step.start, ErrDivideByZero, "the step of %s is 0", name)
			}
			n := new(big.Rat).SetInt(whole(new(big.Rat).Quo(x.rat, step.rat)))
			return e.computed(n.Mul(n, step.rat), x.kind, start)
		}
		return term{}, e.fail(start, ErrSyntax, "%s takes one value, or a value and a step", name)
	}
}

func ceilRat(r *big.Rat) *big.Int {
	n := floorRat(new(big.Rat).Neg(r))
	return n.Neg(n)
}
