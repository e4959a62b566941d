package layout

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"pilewright/layout/cutting"
	"pilewright/plan"
	"pilewright/plan/measure"
)

// lackWork bounds the search for the cheapest cure of a shortage; lateWork does
// where the time of the plan is over.
const (
	lackWork = 150_000_000
	lateWork = 10_000_000
)

// sayLack puts into words what the pile is short of: the places missing for long
// blanks, which anyone can count, and how many more boards of which clear size
// would do, with what is proved of that number. Blanks of several thicknesses or
// kinds lack boards of each: what is told for one is told with the boards before
// it in the pile and without the blanks after it.
func (t *task) sayLack(ctx context.Context, short []cutting.Shortfall, c *plan.Cuts) {
	if len(c.Short) == 0 {
		return
	}
	say := t.job.Say
	if say == nil {
		say = measure.Exact
	}
	opt := cutting.Options{Work: lackWork}
	if errors.Is(ctx.Err(), context.DeadlineExceeded) { // late is better than never
		ctx, opt.Work = context.WithoutCancel(ctx), lateWork
	}
	groups := t.lacking(short)
	p := t.problem
	p.Items = slices.Clone(p.Items)
	for _, g := range groups[min(1, len(groups)):] {
		leave(p.Items, g, -1)
	}
	cures := map[string]string{} // by the blank that stands first in a group
	for n, g := range groups {
		if n > 0 {
			leave(p.Items, g, 1)
		}
		var lengths []measure.Length
		if len(groups) > 1 { // one size of each is told
			least := p.MinSafeLength
			for _, s := range g {
				least = max(least, p.Items[s.Item].Length)
			}
			lengths = append(lengths, least)
		}
		lack, err := cutting.Shortage(ctx, p, g, lengths, opt)
		if err != nil {
			break // the shortage itself is told all the same
		}
		text := ""
		if n == 0 && len(lack.Places) > 0 { // the gravest says enough
			x := lack.Places[0]
			text = fmt.Sprintf("%d blanks of %s or longer are wanted, the pile has %d places for them. ", x.Wanted, say(x.Length), x.Room)
		}
		offers, best := offered(lack, say, len(groups) == 1)
		if text += offers; text != "" {
			cures[t.job.Blanks[t.items[g[0].Item].blank].Key] = " " + trimEnd(text) + "."
		}
		for k := range best.Count {
			p.Boards = append(slices.Clip(p.Boards), cutting.Board{ID: fmt.Sprintf("more %d.%d", n, k), Length: best.Length, Width: best.Width, Thickness: best.Thickness, Species: best.Species})
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
		c.Short[i].Say += cures[s.Blank]
	}
}

// leave takes what lacks out of the counts, or puts it back in.
func leave(items []cutting.Item, lacks []cutting.Shortfall, sign int) {
	for _, s := range lacks {
		if c := items[s.Item].Cover; c != nil {
			less := *c
			if c.Rows > 0 {
				less.Rows += sign * s.Count
			} else {
				less.Total += measure.Length(sign*s.Count) * c.Unit()
			}
			items[s.Item].Cover = &less
			continue
		}
		items[s.Item].Count += sign * s.Count
	}
}

// lacking parts what lacks by thickness and kind: one board can't serve two of them
// where planing has a limit.
func (t *task) lacking(short []cutting.Shortfall) [][]cutting.Shortfall {
	var out [][]cutting.Shortfall
	for _, s := range short {
		it := &t.problem.Items[s.Item]
		k := slices.IndexFunc(out, func(g []cutting.Shortfall) bool {
			o := &t.problem.Items[g[0].Item]
			return o.Thickness == it.Thickness && o.Species == it.Species
		})
		if k < 0 {
			k = len(out)
			out = append(out, nil)
		}
		out[k] = append(out[k], s)
	}
	return out
}

// offered words the boards that would do, and gives those told first. Longer boards
// are worth telling where fewer of them do. A number is proved of all that lacks
// only where nothing else does.
func offered(lack cutting.Lack, say func(measure.Length) string, alone bool) (text string, first cutting.Extra) {
	told, fewest := 0, 0
	for _, x := range lack.Extra {
		if x.Count == 0 || told == mostOffers || told > 0 && (!alone || x.Count >= fewest) {
			continue
		}
		join := "It would take "
		if told > 0 {
			join = "; or "
		} else {
			first = x
		}
		told, fewest = told+1, x.Count
		number := fmt.Sprintf("%d more boards", x.Count)
		switch {
		case x.Count == 1 && (x.Exact || !alone):
			number = "one more board"
		case x.Exact && alone:
			number = fmt.Sprintf("%d more boards (proved: no fewer)", x.Count)
		case x.AtLeast > 0 && x.AtLeast < x.Count && alone:
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
	return text, first
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
