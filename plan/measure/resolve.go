package measure

import (
	"errors"
	"fmt"
	"strings"
)

// Definition is a named measure as the maker wrote it.
type Definition struct {
	Name string
	Text string // shop arithmetic, see Eval
}

// DefinitionError is an error in one named measure. Err is a *ParseError in
// the measure's text, or wraps ErrName, ErrCycle or ErrDepends.
type DefinitionError struct {
	Name string
	Err  error
}

func (e *DefinitionError) Error() string { return fmt.Sprintf("measure %s: %v", e.Name, e.Err) }

// Unwrap gives the cause.
func (e *DefinitionError) Unwrap() error { return e.Err }

// Resolve evaluates named measures that may use each other, in any order, and
// gives their values by lower-cased name. A measure written as a bare number
// is a length in unit; a count is written as 5 pcs or comes out of floor.
// The error is the first of ResolveEach that began in its own measure.
func Resolve(defs []Definition, unit Unit) (map[string]Value, error) {
	values, errs := ResolveEach(defs, unit)
	for _, err := range errs {
		if !errors.Is(err, ErrDepends) {
			return nil, err
		}
	}
	return values, nil
}

// ResolveEach evaluates what can be evaluated and gives one error for every
// measure that cannot, in the order of defs. A measure that depends on a faulty
// one names the one the fault is in (ErrDepends). Measures that go round in a circle name the circle.
func ResolveEach(defs []Definition, unit Unit) (map[string]Value, []*DefinitionError) {
	r := &resolver{unit: unit, defs: map[string]int{}, all: defs, values: map[string]Value{}, errs: make([]error, len(defs)), first: make([]int, len(defs))}
	for i, d := range defs {
		r.first[i] = i
		name := strings.ToLower(d.Name)
		if err := ValidName(d.Name); err != nil {
			r.errs[i] = err
		} else if _, twice := r.defs[name]; twice {
			r.errs[i] = fmt.Errorf("%w: the name is used twice", ErrName)
		} else {
			r.defs[name] = i
		}
	}
	r.order()
	var errs []*DefinitionError
	for i, d := range defs {
		if r.errs[i] != nil {
			errs = append(errs, &DefinitionError{Name: d.Name, Err: r.errs[i]})
		}
	}
	return r.values, errs
}

type resolver struct {
	unit   Unit
	all    []Definition
	defs   map[string]int // lower-cased name to index
	values map[string]Value
	errs   []error // by index
	first  []int   // by index: the measure in which an error began
}

// order visits the measures depth first with its own stack, so a long chain of
// measures cannot exhaust the program's.
func (r *resolver) order() {
	const (
		unseen = iota
		open
		closed
	)
	type frame struct {
		index int
		uses  []int
		next  int
	}
	state := make([]int, len(r.all))
	for first := range r.all {
		if state[first] != unseen || r.errs[first] != nil {
			continue
		}
		state[first] = open
		stack := []frame{{index: first, uses: r.uses(first)}}
		for len(stack) > 0 {
			top := &stack[len(stack)-1]
			if top.next == len(top.uses) {
				r.evaluate(top.index)
				state[top.index] = closed
				stack = stack[:len(stack)-1]
				continue
			}
			use := top.uses[top.next]
			top.next++
			switch state[use] {
			case unseen:
				state[use] = open
				stack = append(stack, frame{index: use, uses: r.uses(use)})
			case open:
				from := len(stack) - 1
				for stack[from].index != use {
					from--
				}
				var circle []int
				for _, f := range stack[from:] {
					circle = append(circle, f.index)
				}
				r.circle(circle)
			}
		}
	}
}

// uses gives the known measures the text of a definition names.
func (r *resolver) uses(i int) []int {
	var uses []int
	if len(r.all[i].Text) > maxText {
		return nil
	}
	for _, n := range Names(r.all[i].Text) {
		if j, ok := r.defs[n]; ok {
			uses = append(uses, j)
		}
	}
	return uses
}

// circle marks every measure of a cycle with the cycle read from itself.
func (r *resolver) circle(members []int) {
	for k, i := range members {
		if r.errs[i] != nil {
			continue
		}
		var names []string
		for n := range members {
			names = append(names, r.all[members[(k+n)%len(members)]].Name)
		}
		names = append(names, r.all[i].Name)
		r.errs[i] = fmt.Errorf("%w: %s", ErrCycle, strings.Join(names, " -> "))
	}
}

func (r *resolver) evaluate(i int) {
	if r.errs[i] != nil {
		return
	}
	for _, use := range r.uses(i) {
		if r.errs[use] != nil {
			first := r.first[use]
			r.first[i] = first
			r.errs[i] = because(ErrDepends, "it depends on %s, which is in error: %v", r.all[first].Name, r.errs[first])
			return
		}
	}
	lookup := func(name string) (Value, bool) {
		j, ok := r.defs[name]
		if !ok {
			return Value{}, false
		}
		return r.values[strings.ToLower(r.all[j].Name)], true
	}
	v, err := eval(r.all[i].Text, r.unit, lookup, r.nearest)
	if err == nil && v.kind == bareKind {
		v = Value{rat: v.nanometres(), kind: lengthKind}
		if _, tooLong := v.Length(); tooLong != nil {
			err = &ParseError{Input: r.all[i].Text, Err: tooLong}
		}
	}
	if err != nil {
		r.errs[i] = err
		return
	}
	r.values[strings.ToLower(r.all[i].Name)] = v
}

// nearest gives the known name with the fewest changed letters, at most two
// and fewer than half of the name, the earliest defined on a tie.
func (r *resolver) nearest(name string) string {
	best, bestAt := "", 3
	for _, d := range r.all {
		lower := strings.ToLower(d.Name)
		if i, ok := r.defs[lower]; !ok || r.all[i].Name != d.Name {
			continue
		}
		if n := editDistance(name, lower); n < bestAt && 2*n < len([]rune(name))+1 {
			best, bestAt = d.Name, n
		}
	}
	return best
}

// editDistance counts inserted, deleted, changed and swapped neighbouring
// letters (optimal string alignment).
func editDistance(a, b string) int {
	x, y := []rune(a), []rune(b)
	before := make([]int, len(y)+1)
	above := make([]int, len(y)+1)
	row := make([]int, len(y)+1)
	for j := range above {
		above[j] = j
	}
	for i := 1; i <= len(x); i++ {
		row[0] = i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			row[j] = min(above[j]+1, row[j-1]+1, above[j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, above, row = above, row, before
	}
	return above[len(y)]
}
