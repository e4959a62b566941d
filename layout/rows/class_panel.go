package rows

import "math/rand/v2"

// choices is how many are tried to be laid.
const choices = 12

// nodesOfWork is how many nodes of laying take as long as a unit of work.
const nodesOfWork = 4

// byClasses searches the floors where strips differ in what they take of the panel's
// width: it sharpens their bounds and offers the panels that the least choices come
// to, with the fewest end joints that the classes can be laid with.
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
		if r := q.least(true); r != nil {
			if least := c.s.wood(r.cost); least.GreaterThan(f.least) {
				f.least = least
			}
		}
		if len(c.job.Locks) > 0 {
			continue
		}
		spare := max(c.limit-c.work, 0) / 2 * nodesOfWork
		q.nodes = spare
		var rows [][]cutPiece
		for try := 0; try < choices && rows == nil; try++ {
			r := q.least(false)
			if r == nil {
				break
			}
			rows = q.rows(r)
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
	var owed []cutPiece // by this class, of the row after
	for k, r := len(c.list)-1, last; r.from != nil; k, r = k-1, r.from {
		rows := c.lay(k, r.n, r.x, r.from.owed)
		if rows == nil {
			m := made{int64(r.n - 1), r.from.owed}
			c.list[k].less[m] = max(2*c.list[k].less[m], c.s.cut, 1)
			return nil
		}
		var next []cutPiece
		if r.from.owed > 0 {
			next, rows = rows[len(rows)-1], rows[:len(rows)-1]
		}
		if r.x > 0 {
			rows[len(rows)-1] = append(rows[len(rows)-1], owed...)
		}
		out, owed = append(out, rows...), next
	}
	return out
}
