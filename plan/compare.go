package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"
)

// Difference is one thing that two pieces have unlike; an empty side has it not.
type Difference struct {
	Kind string // piece, measure, part, joint, hardware
	What string // name of the measure, the part, the joined parts, the fitting
	Of   string // which of its properties; empty = the whole of it
	Was  string
	Is   string
}

// Differences lists what the second piece has unlike the first, such as a variant
// unlike the piece it was copied from: figures of the piece, measures, parts,
// joints and hardware. Things are matched by their names, in their order; texts
// are as entered.
func Differences(before, after *Project) []Difference {
	var out []Difference
	note := func(kind, what, of, was, is string) {
		if was != is {
			out = append(out, Difference{kind, what, of, was, is})
		}
	}
	a, b := before.Piece, after.Piece
	amount := func(d decimal.Decimal) string {
		if d.IsZero() {
			return ""
		}
		return d.String()
	}
	number := func(n int) string {
		if n == 0 {
			return ""
		}
		return fmt.Sprint(n)
	}
	for _, f := range []struct{ of, was, is string }{
		{"finish", a.Finish, b.Finish}, {"coats", number(a.Coats), number(b.Coats)}, {"glue", a.Glue, b.Glue}, {"price", amount(a.Price), amount(b.Price)},
		{"wished for an hour", amount(a.WishHourly), amount(b.WishHourly)}, {"target hours", amount(a.TargetHours), amount(b.TargetHours)}, {"load in kg", decimalText(a.LoadKG), decimalText(b.LoadKG)},
	} {
		note("piece", "", f.of, f.was, f.is)
	}
	paired(before.Measures, after.Measures, func(m Measure) string { return m.Name }, func(name string, x, y *Measure) {
		note("measure", name, "", textOf(x, func(m *Measure) string { return m.Text }), textOf(y, func(m *Measure) string { return m.Text }))
	})
	paired(before.Parts, after.Parts, func(p Part) string { return p.Name }, func(name string, x, y *Part) {
		if x == nil || y == nil {
			note("part", name, "", textOf(x, sizesOf), textOf(y, sizesOf))
			return
		}
		for _, f := range []struct{ of, was, is string }{
			{"length", x.Length, y.Length}, {"width", x.Width, y.Width}, {"thickness", x.Thickness, y.Thickness}, {"species", x.Species, y.Species},
			{"way", string(x.Way), string(y.Way)}, {"grade", string(x.Grade), string(y.Grade)}, {"copies", placesOf(x), placesOf(y)},
		} {
			note("part", name, f.of, f.was, f.is)
		}
	})
	paired(before.namedJoints(), after.namedJoints(), func(j namedJoint) string { return j.name }, func(name string, x, y *namedJoint) {
		note("joint", name, "", textOf(x, jointText), textOf(y, jointText))
	})
	paired(a.Hardware, b.Hardware, func(h Hardware) string { return h.Name }, func(name string, x, y *Hardware) {
		note("hardware", name, "", textOf(x, hardwareText), textOf(y, hardwareText))
	})
	return out
}

// paired matches the members of two lists by name: first those of the first list,
// then those that only the second has. Of equal names the first goes with the
// first, the second with the second.
func paired[T any](a, b []T, name func(T) string, each func(name string, x, y *T)) {
	used := make([]bool, len(b))
	for i := range a {
		var other *T
		for k := range b {
			if !used[k] && name(b[k]) == name(a[i]) {
				used[k], other = true, &b[k]
				break
			}
		}
		each(name(a[i]), &a[i], other)
	}
	for k := range b {
		if !used[k] {
			each(name(b[k]), nil, &b[k])
		}
	}
}

func textOf[T any](x *T, text func(*T) string) string {
	if x == nil {
		return ""
	}
	return text(x)
}

func decimalText(f float64) string {
	if f == 0 {
		return ""
	}
	return decimal.NewFromFloat(f).String()
}

func sizesOf(p *Part) string { return p.Length + " x " + p.Width + " x " + p.Thickness }

// placesOf writes how many places a part has, and the repeats typed for them.
func placesOf(p *Part) string {
	var repeats []string
	for _, c := range p.Copies {
		repeats = append(repeats, cmp.Or(c.Repeat, "1"))
	}
	slices.Sort(repeats)
	return strings.Join(repeats, " + ")
}

// namedJoint is a joint with the names of what it joins.
type namedJoint struct {
	Joint
	name string
}

func (p *Project) namedJoints() []namedJoint {
	var out []namedJoint
	of := func(r CopyRef) string {
		part, _ := p.Part(r.Part)
		if r.Index > 0 {
			return fmt.Sprintf("%s %d", part.Name, r.Index)
		}
		return part.Name
	}
	for _, j := range p.Joints {
		out = append(out, namedJoint{j, of(j.A) + " – " + of(j.B)})
	}
	return out
}

func jointText(j *namedJoint) string {
	out := []string{string(j.Kind)}
	for _, f := range []struct{ name, text string }{{"thickness", j.Thickness}, {"width", j.Width}, {"depth", j.Depth}, {"offset", j.Offset}} {
		if f.text != "" {
			out = append(out, f.name+" "+f.text)
		}
	}
	if j.Count > 0 {
		out = append(out, fmt.Sprintf("count %d", j.Count))
	}
	if j.Round {
		out = append(out, "round mortise")
	}
	if j.RoundTenon {
		out = append(out, "round tenon")
	}
	if j.Dry {
		out = append(out, "dry")
	}
	return strings.Join(out, ", ")
}

func hardwareText(h *Hardware) string { return fmt.Sprintf("%d at %s", h.Count, h.Each) }
