package plan

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"pilewright/plan/measure"
)

// AddBoards gives the project with n boards like b, each with a mark of its own.
// Boards are numbered, as parts are lettered, so that the two are never mixed up:
// a board without a mark takes the next free number; one with a mark keeps it
// where it is free, else a small letter or a number is put behind it.
func (p *Project) AddBoards(b Board, n int) (*Project, error) {
	return p.AddBoardList([]CSVBoard{{Board: b, Count: n}})
}

// AddBoardList gives the project with the boards of a file, each as AddBoards adds
// it, in the file's order; one that can't be added, and none is.
func (p *Project) AddBoardList(list []CSVBoard) (*Project, error) {
	room := MaxBoards - len(p.Boards)
	for _, b := range list {
		if b.Count < 0 || b.Count > room {
			return nil, fmt.Errorf("the pile would hold more than %d boards", MaxBoards)
		}
		room -= b.Count
		if say, _ := boardFault(b.Board); say != "" {
			return nil, fmt.Errorf("%s", say)
		}
	}
	return p.With(func(q *Project) {
		q.Boards = slices.Clone(q.Boards)
		order := 0
		taken := map[string]bool{"": true}
		for _, o := range q.Boards {
			taken[strings.ToLower(o.Mark)] = true
			order = max(order, o.Order+1)
		}
		for _, b := range list {
			next := 1
			for range b.Count {
				c := b.Board
				c.ID, c.Order = q.Take(), order
				order++
				c.Defects, c.Readings = slices.Clone(b.Defects), slices.Clone(b.Readings)
				c.Mark = freeMark(strings.TrimSpace(b.Mark), taken, &next)
				taken[strings.ToLower(c.Mark)] = true
				q.Boards = append(q.Boards, c)
			}
		}
	}), nil
}

// freeMark gives a mark that no board has; next is the number to try first.
func freeMark(mark string, taken map[string]bool, next *int) string {
	free := func(m string) bool { return !taken[strings.ToLower(m)] }
	if mark == "" {
		for ; !free(strconv.Itoa(*next)); *next++ {
		}
		return strconv.Itoa(*next)
	}
	if free(mark) {
		return mark
	}
	for letter := 'a'; letter <= 'z'; letter++ {
		if m := mark + string(letter); free(m) {
			return m
		}
	}
	for *next = max(*next, 2); ; *next++ {
		if m := fmt.Sprintf("%s-%d", mark, *next); free(m) {
			return m
		}
	}
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
		if list[i].Length <= 0 || list[i].Width <= 0 || list[i].Thickness <= 0 {
			return nil, fmt.Errorf("board %s: every size must be more than nothing", list[i].Mark)
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
