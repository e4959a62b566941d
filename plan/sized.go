package plan

import (
	"fmt"
	"strconv"
	"strings"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// SizeLimit is the greatest size or coordinate of a piece, either way.
const SizeLimit = 100 * measure.Metre

// SizeLeast is the least size a part may have.
const SizeLeast = 100 * measure.Micrometre

// SizedPart is a part with its finished sizes, between shoulders.
type SizedPart struct {
	Part
	L, W, T measure.Length
	Letter  string // its copies are marked with it: A1, A2 ...
	First   int    // its copies are Plan.Copies[First : First+N]
	N       int
}

// PlacedCopy is one instance of a part in the piece's space.
type PlacedCopy struct {
	Part  ID
	Index int // from 1 within the part
	Mark  string
	Box   solid.Box // between shoulders
	Along Axis
	Thick Axis
}

// Across is the axis of the copy's width.
func (c PlacedCopy) Across() Axis { return 3 - c.Along - c.Thick }

// sizing evaluates the piece's arithmetic and collects what is wrong with it.
type sizing struct {
	unit     measure.Unit
	values   map[string]measure.Value
	findings []Finding
}

func (s *sizing) stop(code string, sub Subject, text, do string) {
	sub.Room = "piece"
	s.findings = append(s.findings, Finding{Code: code, Severity: Stop, Subject: sub, Text: text, Do: do})
}

func (s *sizing) lookup(name string) (measure.Value, bool) {
	v, ok := s.values[strings.ToLower(name)]
	return v, ok
}

// length evaluates a size or position; what names it in the finding.
func (s *sizing) length(text, what, field string, sub Subject) (measure.Length, bool) {
	sub.Field = field
	if strings.TrimSpace(text) == "" {
		s.stop("size.empty", sub, what+" is empty.", "Enter a size, or arithmetic on the piece's measures.")
		return 0, false
	}
	v, err := measure.Eval(text, s.unit, s.lookup)
	if err == nil {
		var l measure.Length
		if l, err = v.Length(); err == nil {
			if l > SizeLimit || l < -SizeLimit {
				s.stop("size.range", sub, what+" is beyond 100 m.", "Check the units of “"+clip(text)+"”.")
				return 0, false
			}
			return l, true
		}
	}
	s.stop("size.text", sub, fmt.Sprintf("%s can't be read: %s.", what, clip(err.Error())), "Correct “"+clip(text)+"”.")
	return 0, false
}

// number evaluates a count; empty text is one.
func (s *sizing) number(text, what, field string, sub Subject) (int, bool) {
	sub.Field = field
	if strings.TrimSpace(text) == "" {
		return 1, true
	}
	v, err := measure.Eval(text, s.unit, s.lookup)
	var n int
	if err == nil {
		n, err = v.Count()
	}
	switch {
	case err != nil:
		s.stop("count.text", sub, fmt.Sprintf("%s can't be read: %s.", what, clip(err.Error())), "Correct “"+clip(text)+"”.")
	case n < 0 || n > MaxCopies:
		s.stop("count.range", sub, fmt.Sprintf("%s is %d; 0 to %d will do.", what, n, MaxCopies), "Correct “"+clip(text)+"”.")
	default:
		return n, true
	}
	return 0, false
}

// size evaluates measures, part sizes and placements.
func size(p *Project) ([]SizedPart, []PlacedCopy, *sizing) {
	s := &sizing{unit: p.Shop.Unit()}
	defs := make([]measure.Definition, len(p.Measures))
	for i, m := range p.Measures {
		defs[i] = measure.Definition{Name: m.Name, Text: m.Text}
	}
	var bad []*measure.DefinitionError
	s.values, bad = measure.ResolveEach(defs, s.unit)
	for _, e := range bad {
		s.stop("measure.text", Subject{Measure: clip(e.Name)}, fmt.Sprintf("The measure %s can't be worked out: %s.", clip(e.Name), clip(e.Err.Error())), "Correct the measure.")
	}
	var parts []SizedPart
	var copies []PlacedCopy
	for i, part := range p.Parts {
		sp, ok := s.part(part)
		sp.Letter, sp.First = letters(i), len(copies)
		if ok {
			copies = append(copies, s.copies(sp)...)
		}
		sp.N = len(copies) - sp.First
		parts = append(parts, sp)
		if len(copies) > MaxCopies {
			s.stop("copies.many", Subject{Part: part.ID}, fmt.Sprintf("The piece has more than %d copies.", MaxCopies), "Lower the repeats, or plan it as two pieces.")
			return parts, copies[:MaxCopies], s
		}
	}
	return parts, copies, s
}

func (s *sizing) part(part Part) (SizedPart, bool) {
	part.Name, part.Species = clip(part.Name), clip(part.Species)
	sp := SizedPart{Part: part}
	sub := Subject{Part: part.ID}
	ok := true
	for _, f := range []struct {
		text, field string
		into        *measure.Length
	}{{part.Length, "length", &sp.L}, {part.Width, "width", &sp.W}, {part.Thickness, "thickness", &sp.T}} {
		what := fmt.Sprintf("The %s of the %s", f.field, part.Name)
		l, good := s.length(f.text, what, f.field, sub)
		if good && l < SizeLeast {
			sub.Field = f.field
			s.stop("size.least", sub, fmt.Sprintf("%s is %s; a part needs at least %s.", what, measure.Exact(l), measure.Exact(SizeLeast)), "Correct “"+clip(f.text)+"” or the measures in it.")
			good = false
		}
		*f.into = l
		ok = ok && good
	}
	return sp, ok
}

func (s *sizing) copies(sp SizedPart) []PlacedCopy {
	var out []PlacedCopy
	for _, c := range sp.Copies {
		sub := Subject{Part: sp.ID}
		what := func(f string) string { return fmt.Sprintf("The %s of the %s", f, sp.Name) }
		if c.Along == c.Thick || c.Along < X || c.Along > Z || c.Thick < X || c.Thick > Z {
			s.stop("copy.axes", sub, what("placing")+" has its length and thickness along one axis.", "Choose two different axes.")
			continue
		}
		n, ok := s.number(c.Repeat, what("number of copies"), "repeat", sub)
		if !ok || n == 0 {
			continue
		}
		var at, step [3]measure.Length
		for i, f := range []struct{ text, field string }{{c.X, "x"}, {c.Y, "y"}, {c.Z, "z"}} {
			l, good := s.length(f.text, what("position "+f.field), f.field, sub)
			at[i], ok = l, ok && good
		}
		for i, f := range []struct{ text, field string }{{c.StepX, "step x"}, {c.StepY, "step y"}, {c.StepZ, "step z"}} {
			if strings.TrimSpace(f.text) == "" || n == 1 {
				continue
			}
			l, good := s.length(f.text, what(f.field), f.field, sub)
			step[i], ok = l, ok && good
		}
		if !ok {
			continue
		}
		var extent [3]measure.Length
		extent[c.Along], extent[c.Thick], extent[3-c.Along-c.Thick] = sp.L, sp.T, sp.W
		for k := range n {
			var b solid.Box
			for a := range 3 {
				b.Min[a] = at[a] + measure.Length(k)*step[a]
				b.Max[a] = b.Min[a] + extent[a]
			}
			idx := len(out) + 1
			out = append(out, PlacedCopy{Part: sp.ID, Index: idx, Mark: sp.Letter + strconv.Itoa(idx), Box: b, Along: c.Along, Thick: c.Thick})
			if len(out) > MaxCopies {
				return out
			}
		}
	}
	return out
}

// letters gives A, B ... Z, AA, AB ... for 0, 1, ...
func letters(i int) string {
	s := ""
	for i++; i > 0; i = (i - 1) / 26 {
		s = string(rune('A'+(i-1)%26)) + s
	}
	return s
}

// Unit is how a bare number is read in this shop.
func (s *Shop) Unit() measure.Unit {
	if s.Inches {
		return measure.Inches
	}
	return measure.Millimetres
}

// Style is how the shop shows lengths.
func (s *Shop) Style() measure.Style {
	return measure.Style{Unit: s.Unit(), Denominator: s.Denominator}
}
