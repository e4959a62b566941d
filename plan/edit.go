package plan

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"pilewright/plan/measure"
)

// AddBoards gives the project with n boards like b, each with a mark of its own:
// the letter of its mark, or of its species, and the next free number.
func (p *Project) AddBoards(b Board, n int) (*Project, error) {
	if len(p.Boards)+n > MaxBoards {
		return nil, fmt.Errorf("the pile would hold more than %d boards", MaxBoards)
	}
	if say, _ := boardFault(b); say != "" {
		return nil, fmt.Errorf("%s", say)
	}
	return p.With(func(q *Project) {
		q.Boards = slices.Clone(q.Boards)
		letter, order := markLetter(b), 0
		taken := map[string]bool{}
		for _, o := range q.Boards {
			taken[strings.ToUpper(o.Mark)] = true
			order = max(order, o.Order+1)
		}
		next := 1
		for i := range n {
			c := b
			c.ID, c.Order = q.Take(), order+i
			c.Defects, c.Readings = slices.Clone(b.Defects), slices.Clone(b.Readings)
			for taken[fmt.Sprintf("%s%d", letter, next)] {
				next++
			}
			c.Mark = fmt.Sprintf("%s%d", letter, next)
			next++
			q.Boards = append(q.Boards, c)
		}
	}), nil
}

// markLetter is the letter new boards are marked with.
func markLetter(b Board) string {
	for _, text := range []string{b.Mark, b.Species} {
		for _, r := range strings.ToUpper(text) {
			if r >= 'A' && r <= 'Z' {
				return string(r)
			}
		}
	}
	return "B"
}

// EditBoards gives the project with edit made to the boards named. It fails where
// a board would no longer be sound.
func (p *Project) EditBoards(ids []ID, edit func(*Board) error) (*Project, error) {
	list := slices.Clone(p.Boards)
	for i := range list {
		if !slices.Contains(ids, list[i].ID) {
			continue
		}
		if err := edit(&list[i]); err != nil {
			return nil, err
		}
		if say, _ := boardFault(list[i]); say != "" {
			return nil, fmt.Errorf("board %s: %s", list[i].Mark, say)
		}
		if list[i].Length > SizeLimit || list[i].Width > SizeLimit || list[i].Thickness > SizeLimit {
			return nil, fmt.Errorf("board %s: no size may be beyond %s", list[i].Mark, measure.ExactIn(SizeLimit, measure.Millimetres))
		}
	}
	return p.With(func(q *Project) { q.Boards = list }), nil
}

// CheckDay refuses a text that is neither empty nor a day written YYYY-MM-DD.
func CheckDay(text string) error {
	if text == "" {
		return nil
	}
	if _, err := time.Parse(time.DateOnly, text); err != nil {
		return fmt.Errorf("%q is not a day; write it as 2026-03-21", text)
	}
	return nil
}

// Rename puts a measure's new name in everywhere the old one is used in the open
// piece. It is called on a project that is being made (see With).
func (p *Project) Rename(from, to string) {
	p.Measures, p.Parts, p.Joints = slices.Clone(p.Measures), slices.Clone(p.Parts), slices.Clone(p.Joints)
	change := func(texts ...*string) {
		for _, t := range texts {
			*t = measure.Rename(*t, from, to)
		}
	}
	for i := range p.Measures {
		change(&p.Measures[i].Text)
	}
	for i := range p.Parts {
		part := &p.Parts[i]
		change(&part.Length, &part.Width, &part.Thickness)
		part.Copies = slices.Clone(part.Copies)
		for k := range part.Copies {
			c := &part.Copies[k]
			change(&c.X, &c.Y, &c.Z, &c.Repeat, &c.StepX, &c.StepY, &c.StepZ)
		}
	}
	for i := range p.Joints {
		j := &p.Joints[i]
		change(&j.Thickness, &j.Width, &j.Depth, &j.Offset)
	}
}
