package rows

import "math/rand/v2"

// choices is how many are tried to be laid.
const choices = 12

// nodesOfWork is how many nodes of laying take as long as a unit of work.
const nodesOfWork = 4

// byClasses searches where strips differ only in what they take of the panel's width:
// it sharpens the bound and offers the panel that the least choice comes to, with the
// fewest end joints that the classes are found to be laid with.
func (c *composer) byClasses() {
	for k := range c.floors {
		f := &c.floors[k]
		if c.ctx.Err() != nil || c.best != nil && !f.least.LessThan(c.best.Planed) {
			break
		}
		q := c.s.classesAbove(f.floor)
		if q == nil {
			return
		}
		r := q.least(false, never)
		if r == nil {
			continue
		}
		least := r.cost
		if l := q.least(true, r.cost); l != nil {
			least = l.cost
		}
		if v := c.s.wood(least); v.GreaterThan(f.least) {
			f.least = v
		}
		if len(c.job.Locks) > 0 {
			continue
		}
		spare := max(c.limit-c.work, 0) / 2 * nodesOfWork
		q.nodes = spare
		var rows [][]cutPiece
		for try := 0; try < choices && r != nil; try++ {
			if rows = q.rows(r); rows != nil {
				break
			}
			r = q.least(false, never)
		}
		c.work += (spare - q.nodes) / nodesOfWork
		if rows == nil {
			continue
		}
		if rows = c.s.inOrder(rows, rand.New(rand.NewPCG(1, uint64(c.s.n)))); rows == nil {
			continue
		}
		d := c.s.newSearcher(c.ctx, f.floor, nil, 2)
		c.offer(measureUp(c.job, d.arrangement(rows)))
		c.neat = c.proved()
	}
	c.sortFloors()
}

// rows lays the rows of a choice; nil where it finds none, and the next choice is
// another.
func (c *classes) rows(last *classRows) (out [][]cutPiece) {
	var open []cutPiece // what later classes give to the open row
	for k, r := len(c.list)-1, last; r.from != nil; k, r = k-1, r.from {
		rows := c.lay(k, r.n, r.x, r.more)
		if rows == nil {
			less := c.list[k].less
			less[r.by] = max(2*less[r.by], c.s.cut, 1)
			return nil
		}
		var more []cutPiece
		if r.more > 0 {
			more, rows = rows[len(rows)-1], rows[:len(rows)-1]
		}
		if r.x > 0 {
			rows[len(rows)-1] = append(rows[len(rows)-1], open...)
			open = nil
		}
		out, open = append(out, rows...), append(more, open...)
	}
	return out
}
