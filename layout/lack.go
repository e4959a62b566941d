package layout

import (
	"context"
	"fmt"

	"pilewright/layout/cutting"
	"pilewright/plan"
	"pilewright/plan/measure"
)

// lackWork bounds the search for the cheapest cure of a shortage.
const lackWork = 150_000_000

// sayLack puts into words what the pile is short of: the places missing for long
// blanks, which anyone can count, and how many more boards of which clear size
// would do, with what is proved of that number.
func (t *task) sayLack(ctx context.Context, c *plan.Cuts) {
	if len(c.Short) == 0 {
		return
	}
	lack, err := cutting.Shortage(ctx, t.problem, nil, cutting.Options{Work: lackWork})
	if err != nil {
		return // the shortage itself is told all the same
	}
	say := t.job.Say
	if say == nil {
		say = measure.Exact
	}
	text := ""
	for _, p := range lack.Places {
		text = fmt.Sprintf("%d blanks of %s or longer are wanted, the pile has %d places for them. ", p.Wanted, say(p.Length), p.Room)
		break // the gravest says enough
	}
	for i, x := range lack.Extra {
		if x.Count == 0 || i > 2 {
			continue
		}
		join := "It would take "
		if i > 0 {
			join = "; or "
		}
		number := fmt.Sprintf("%d more boards", x.Count)
		switch {
		case x.Exact && x.Count == 1:
			number = "one more board"
		case x.Exact:
			number = fmt.Sprintf("%d more boards (proved: no fewer)", x.Count)
		case x.AtLeast > 0 && x.AtLeast < x.Count:
			number = fmt.Sprintf("%d to %d more boards", x.AtLeast, x.Count)
		}
		text += fmt.Sprintf("%s%s with %s clear, %s wide and %s thick", join, number, say(x.Length), say(x.Width), say(x.Thickness))
	}
	for i, s := range c.Short {
		name := s.Blank
		for _, b := range t.job.Blanks {
			if b.Key == s.Blank {
				name = fmt.Sprintf("%s (%s x %s x %s)", b.Name, say(b.Length), say(b.Width), say(b.Thickness))
			}
		}
		c.Short[i].Say = fmt.Sprintf("%d of the %s can't be cut from the pile.", s.Count, name)
		if i == 0 && text != "" {
			c.Short[i].Say += " " + trimEnd(text) + "."
		}
	}
}

func trimEnd(s string) string {
	for len(s) > 0 && (s[len(s)-1] == ' ' || s[len(s)-1] == '.') {
		s = s[:len(s)-1]
	}
	return s
}
