package rows

import "math/rand/v2"

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
		r := q.least(false)
		if r == nil || len(c.job.Locks) > 0 {
			continue
		}
		spare := max(c.limit-c.work, 0) / 2 * nodesOfWork
		q.nodes = spare
		rows, fewest := q.rows(r)
		c.work += (spare - q.nodes) / nodesOfWork
		if rows == nil {
			continue
		}
		if rows = c.s.inOrder(rows, rand.New(rand.NewPCG(1, uint64(c.s.n)))); rows == nil {
			continue
		}
		d := c.s.newSearcher(c.ctx, f.floor, nil, 2)
		c.offer(measureUp(c.job, d.arrangement(rows)))
		c.fewest = fewest && c.proved()
	}
	c.sortFloors()
}

// rows lays the rows of a choice; nil where it finds none. fewest is true when each
// class was laid with no more pieces than it must be.
func (c *classes) rows(last *classRows) (out [][]cutPiece, fewest bool) {
	fewest = true
	var owed []cutPiece // by this class, of the row after
	for k, r := len(c.list)-1, last; r.from != nil; k, r = k-1, r.from {
		rows, few := c.lay(k, r.n, r.x, r.from.owed)
		if rows == nil {
			return nil, false
		}
		fewest = fewest && few
		var next []cutPiece
		if r.from.owed > 0 {
			next, rows = rows[len(rows)-1], rows[:len(rows)-1]
		}
		if r.x > 0 {
			rows[len(rows)-1] = append(rows[len(rows)-1], owed...)
		}
		out, owed = append(out, rows...), next
	}
	return out, fewest
}
