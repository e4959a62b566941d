package layout

import (
	"context"
	"fmt"
	"strings"

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
	told, fewest := 0, 0
	for _, x := range lack.Extra {
		// Longer boards are worth telling where fewer of them do.
		if x.Count == 0 || told == mostOffers || told > 0 && x.Count >= fewest {
			continue
		}
		join := "It would take "
		if told > 0 {
			join = "; or "
		}
		told, fewest = told+1, x.Count
		number := fmt.Sprintf("%d more boards", x.Count)
		switch {
		case x.Exact && x.Count == 1:
			number = "one more board"
		case x.Exact:
			number = fmt.Sprintf("%d more boards (proved: no fewer)", x.Count)
		case x.AtLeast > 0 && x.AtLeast < x.Count:
			number = fmt.Sprintf("%d to %d more boards", x.AtLeast, x.Count)
		}
		switch {
		case x.Thickness == 0:
			text += fmt.Sprintf("%s%s with %s clear and %s wide", join, number, say(x.Length), say(x.Width))
		case x.Species != "":
			text += fmt.Sprintf("%s%s of %s with %s clear, %s wide and %s thick", join, number, x.Species, say(x.Length), say(x.Width), say(x.Thickness))
		default:
			text += fmt.Sprintf("%s%s with %s clear, %s wide and %s thick", join, number, say(x.Length), say(x.Width), say(x.Thickness))
		}
	}
	for i, s := range c.Short {
		name := s.Blank
		for _, b := range t.job.Blanks {
			if b.Key == s.Blank {
				name = sized(b, say)
			}
		}
		switch {
		case s.Width > 0:
			c.Short[i].Say = fmt.Sprintf("%s of the width of the %s can't be cut from the pile.", say(s.Width), name)
		default:
			c.Short[i].Say = fmt.Sprintf("%d of the %s can't be cut from the pile.", s.Count, name)
		}
		if i == 0 && text != "" {
			c.Short[i].Say += " " + trimEnd(text) + "."
		}
	}
}

// sized is a blank's name with what is asked of its size.
func sized(b plan.Blank, say func(measure.Length) string) string {
	sizes := []string{say(b.Length)}
	if b.Width > 0 {
		sizes = append(sizes, say(b.Width))
	}
	if b.Thickness > 0 {
		sizes = append(sizes, say(b.Thickness))
	}
	return fmt.Sprintf("%s (%s)", b.Name, strings.Join(sizes, " x "))
}

// mostOffers is how many sizes of boards to fetch are told at once.
const mostOffers = 3

func trimEnd(s string) string {
	for len(s) > 0 && (s[len(s)-1] == ' ' || s[len(s)-1] == '.') {
		s = s[:len(s)-1]
	}
	return s
}
