package plan

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// mostShares is into how many parts one step can be split.
const mostShares = 20

// partMark stands between a step's key and the number of its part. The first part
// keeps the step's own key, so that what was logged and locked before stays with it.
const partMark = "#"

// partKey is the key of one part of a step, counted from 0.
func partKey(key string, i int) string {
	if i == 0 {
		return key
	}
	return key + partMark + strconv.Itoa(i+1)
}

// WholeKey is the key of the step that a part belongs to; of a step that is not
// split, its own.
func WholeKey(key string) string {
	whole, number, ok := strings.Cut(key, partMark)
	if n, err := strconv.Atoi(number); !ok || err != nil || n < 2 {
		return key
	}
	return whole
}

// Undivided says why a step can't be split; empty where it can.
func (s Step) Undivided() string {
	switch {
	case s.Done:
		return "It is done."
	case s.Parts > 1:
		return "It is a part already: join the parts, then split the whole."
	case s.Whole && s.WaitFor == "glue" && s.Rate != "clamp":
		return "A glue-up is closed while the glue is open, in one go."
	case s.Whole && s.WaitFor == "finish":
		return "A coat is put on wet edge to wet edge, in one go."
	case s.Whole:
		return "It is done in one go."
	case s.Rate == "dry-fit":
		return "A dry fit shows whether everything goes together, so everything is in it."
	case s.Phase == PhaseAssemble && s.Rate == "assemble":
		return "The parts of an assembly stage come together in one go."
	case s.Rate == "deliver":
		return "It is one trip."
	case !(s.Amount() > 0):
		return "It has no quantity to share out."
	case s.counted() && s.Amount() < 2:
		return fmt.Sprintf("It is a single %s.", s.Unit)
	}
	return ""
}

// Amount is what is shared out when the step is split: its quantity, or the minutes
// of a step that has none.
func (s Step) Amount() float64 {
	if s.Quantity > 0 {
		return s.Quantity
	}
	return s.Minutes
}

// AmountUnit is the unit of Amount.
func (s Step) AmountUnit() string {
	if s.Quantity > 0 {
		return s.Unit
	}
	return "min"
}

// counted reports whether the quantity is a number of things, of which there are
// no halves.
func (s Step) counted() bool {
	return s.Quantity > 0 && s.Quantity == math.Trunc(s.Quantity) && !strings.Contains(s.Unit, "metre") && !strings.Contains(s.Unit, "m²")
}

// leastShare is the least part of a step's amount that is still a part.
const leastShare = 1e-6

// shareOut gives the parts of an amount: the first ones as asked for, as far as it
// goes, the last with the rest. One part means that it is not split.
func shareOut(asked []float64, amount float64) []float64 {
	var out []float64
	left := amount
	for i, q := range asked {
		if !(q > 0) || len(out) == mostShares {
			continue
		}
		if i == len(asked)-1 || q >= left*(1-leastShare) {
			break
		}
		out, left = append(out, q), left-q
	}
	return append(out, left)
}

// ParseShares reads how a step is split: `8 + 4`, or `8` alone for 8 and the rest.
// number reads one figure.
func ParseShares(text string, s Step, number func(string) (float64, error)) ([]float64, error) {
	if why := s.Undivided(); why != "" {
		return nil, errors.New(why)
	}
	amount, sum := s.Amount(), 0.0
	var out []float64
	for _, field := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune("+;/ \t", r) }) {
		q, err := number(field)
		if err != nil || !(q > 0) || math.IsInf(q, 0) {
			return nil, fmt.Errorf("%q is not a share; write the shares as 8 + 4", shortText(field))
		}
		if s.counted() && q != math.Trunc(q) {
			return nil, fmt.Errorf("there is no %s of a %s; write whole numbers", field, s.Unit)
		}
		out, sum = append(out, q), sum+q
	}
	near := amount * 0.005 // a quantity shown is rounded
	if s.counted() {
		near = 0
	}
	switch {
	case len(out) == 0:
		return nil, errors.New("write the shares as 8 + 4")
	case sum > amount+near:
		return nil, fmt.Errorf("these are %s in all, and the step has %s %s", amountText(sum), amountText(amount), s.AmountUnit())
	case sum < amount-near:
		out = append(out, amount-sum)
	}
	if len(out) < 2 {
		return nil, errors.New("that is the whole step; write a share of it")
	}
	if len(out) > mostShares {
		return nil, fmt.Errorf("a step can be split into %d parts at most", mostShares)
	}
	return out, nil
}

// amountText writes a quantity to three figures, a whole one in full.
func amountText(q float64) string {
	if q == math.Trunc(q) && q < 1e9 {
		return strconv.FormatFloat(q, 'f', 0, 64)
	}
	return strconv.FormatFloat(q, 'g', 3, 64)
}

// SplitStep gives the project with a step split into shares of its amount. What
// was locked behind it is locked behind its last part, what needs it needs every
// part, and minutes of the maker's own are shared out.
func (p *Project) SplitStep(s Step, shares []float64) (*Project, error) {
	if why := s.Undivided(); why != "" {
		return nil, errors.New(why)
	}
	parts := shareOut(shares, s.Amount())
	if len(parts) < 2 {
		return nil, errors.New("that is the whole step; write a share of it")
	}
	last := partKey(s.Key, len(parts)-1)
	return p.With(func(q *Project) {
		q.Steps = cloneEdits(p.Steps)
		own := 0
		for i := range q.Steps {
			e := &q.Steps[i]
			if e.Key == s.Key && e.Minutes > 0 && s.Quantity > 0 {
				own, e.Minutes = e.Minutes, 0
			}
			if e.After == s.Key {
				e.After = last
			}
			if slices.Contains(e.Needs, s.Key) {
				for n := 1; n < len(parts); n++ {
					e.Needs = append(e.Needs, partKey(s.Key, n))
				}
			}
		}
		q.stepEdit(s.Key).Split = parts
		if own > 0 {
			given := 0
			for n, part := range parts {
				share := max(int(math.Round(float64(own)*part/s.Amount())), 1)
				if n == len(parts)-1 {
					share = max(own-given, 1)
				}
				given += share
				q.stepEdit(partKey(s.Key, n)).Minutes = share
			}
		}
	}), nil
}

// JoinStep gives the project with the parts of a step made one again. It is done
// where every part was; time logged on any of them counts on it.
func (p *Project) JoinStep(s Step) (*Project, error) {
	whole := WholeKey(s.Key)
	at := slices.IndexFunc(p.Steps, func(e StepEdit) bool { return e.Key == whole && len(e.Split) > 0 })
	if at < 0 {
		return nil, errors.New("this step is not split")
	}
	own := p.Steps[at].Own
	isPart := func(key string) bool { return key != whole && WholeKey(key) == whole }
	return p.With(func(q *Project) {
		q.Steps = nil
		minutes, typed, done := 0, 0, 0
		for _, e := range cloneEdits(p.Steps) {
			if e.Key == whole || isPart(e.Key) {
				minutes += e.Minutes
				typed += boolInt(e.Minutes > 0)
				done += boolInt(e.Done)
			}
			if isPart(e.Key) {
				continue
			}
			if isPart(e.After) {
				e.After = whole
			}
			for i, need := range e.Needs {
				if isPart(need) {
					e.Needs[i] = whole
				}
			}
			e.Needs = dedupe(e.Needs)
			q.Steps = append(q.Steps, e)
		}
		e := q.stepEdit(whole)
		e.Split, e.Done = nil, done >= max(s.Parts, 1)
		if e.After == whole {
			e.After = "" // it was locked after a part of its own
		}
		switch {
		case own: // its minutes are the whole's
		case typed >= max(s.Parts, 1):
			e.Minutes = minutes
		default:
			e.Minutes = 0
		}
	}), nil
}

// dedupe keeps the first of equal keys, in their order.
func dedupe(keys []string) []string {
	var out []string
	for _, k := range keys {
		if !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	return out
}

func cloneEdits(list []StepEdit) []StepEdit {
	out := slices.Clone(list)
	for i := range out {
		out[i].Needs, out[i].Split = slices.Clone(out[i].Needs), slices.Clone(out[i].Split)
	}
	return out
}

// stepEdit is the edit of a step in a project that is being made, new where there
// was none.
func (p *Project) stepEdit(key string) *StepEdit {
	i := slices.IndexFunc(p.Steps, func(e StepEdit) bool { return e.Key == key })
	if i < 0 {
		p.Steps = append(p.Steps, StepEdit{ID: p.Take(), Piece: p.Piece.ID, Key: key, Order: len(p.Steps)})
		i = len(p.Steps) - 1
	}
	return &p.Steps[i]
}

// dealOut puts the parts of every step that the maker split in its place. The
// parts keep its machine, set-up and needs; what needs the step needs every part.
func (m *making) dealOut(steps []Step) []Step {
	shares := map[string][]float64{}
	for _, e := range m.plan.Project.Steps {
		if len(e.Split) > 1 {
			shares[e.Key] = e.Split
		}
	}
	if len(shares) == 0 {
		return steps
	}
	keys := map[string][]string{}
	var out []Step
	for _, s := range steps {
		asked := shares[s.Key]
		if r, ok := m.rates().Rate(s.Rate); ok {
			s.Unit = r.Unit
		}
		if len(asked) == 0 || s.Undivided() != "" {
			out = append(out, s)
			continue
		}
		parts := s.parted(shareOut(asked, s.Amount()))
		for _, part := range parts {
			keys[s.Key] = append(keys[s.Key], part.Key)
		}
		out = append(out, parts...)
	}
	for i := range out {
		s := &out[i]
		var needs []string
		for _, n := range s.Needs {
			if parts := keys[n]; len(parts) > 1 && WholeKey(s.Key) != n {
				needs = append(needs, parts...)
				continue
			}
			needs = append(needs, n)
		}
		s.Needs = dedupe(needs)
	}
	return out
}

// parted gives the parts of a step, one after the other.
func (s Step) parted(parts []float64) []Step {
	if len(parts) < 2 {
		return []Step{s}
	}
	unit, amount := s.AmountUnit(), s.Amount()
	var out []Step
	from := 0.0
	for i, q := range parts {
		part := s
		part.Key, part.Part, part.Parts = partKey(s.Key, i), i+1, len(parts)
		part.Title = fmt.Sprintf("%s (part %d of %d: %s %s)", s.Title, i+1, len(parts), amountText(q), unit)
		part.Minutes = s.Minutes * q / amount
		if s.Quantity > 0 {
			part.Quantity = q
		}
		part.Marks, part.Amounts = s.marksOf(from, from+q)
		part.Detail, part.Needs = slices.Clone(s.Detail), slices.Clone(s.Needs)
		if i > 0 && s.Wait == 0 { // with a wait, a part would wait for the one before it
			part.Needs = append(part.Needs, partKey(s.Key, i-1))
		}
		from += q
		out = append(out, part)
	}
	return out
}

// marksOf deals the marks that a stretch of the step's amount falls to, in their
// order; where it is not known how much falls to each, all of them.
func (s Step) marksOf(from, to float64) (marks []string, amounts []float64) {
	if len(s.Amounts) != len(s.Marks) {
		return s.Marks, nil
	}
	at := 0.0
	for i, a := range s.Amounts {
		if here := min(at+a, to) - max(at, from); here > leastShare*a {
			marks, amounts = append(marks, s.Marks[i]), append(amounts, here)
		}
		at += a
	}
	return marks, amounts
}
