package rows

import "slices"

// polish lays runs of neighbouring rows of a panel anew from the wood that they
// and no other rows use, and keeps what is better: less wood lost, then fewer
// joints, then less scrap. It goes over the panel with runs of growing length
// until nothing gets better or the work is used up.
func (d *searcher) polish(rows [][]cutPiece) [][]cutPiece {
	n := len(rows)
	for length := 2; length <= min(6, n); length++ {
		for from := 0; from+length <= n; from++ {
			if d.ctx.Err() != nil || *d.used > d.limit {
				return rows
			}
			if better := d.relay(rows, from, from+length); better != nil {
				rows = better
			}
		}
	}
	return rows
}

// relay lays rows from to end anew; nil when nothing better is found.
func (d *searcher) relay(rows [][]cutPiece, from, end int) [][]cutPiece {
	d.end, d.after = end, nil
	if end < len(rows) {
		d.after = rows[end]
	}
	st := &state{left: slices.Clone(d.length), rows: from}
	if from > 0 {
		st.row = rows[from-1]
	}
	for r, row := range rows {
		if r < from || r >= end {
			for _, q := range row {
				st.left[q.strip] -= q.length + d.cut
			}
		}
	}
	for i, v := range st.left {
		if v < d.piece {
			st.left[i] = 0
		}
	}
	// What the rows lose now is what the new ones must beat.
	now := st
	for _, row := range rows[from:end] {
		if now = d.lay(now, row); now == nil {
			return nil
		}
	}
	now.rank = now.lost
	best := d.runFrom(st, now)
	d.end, d.after = 0, nil
	if best == now {
		return nil
	}
	out := slices.Clone(rows)
	for s := best; s != st; s = s.parent {
		out[s.rows-1] = s.row
	}
	return out
}

// meets is true when two rows may lie side by side.
func (d *searcher) meets(row, after []cutPiece) bool {
	if after == nil {
		return true
	}
	var x int64
	for i, p := range row {
		var y int64
		for k, q := range after {
			if i > 0 && k > 0 && x-y < d.stagger && y-x < d.stagger {
				return false
			}
			if x < y+q.length && y < x+p.length {
				if step := d.height[p.strip] - d.height[q.strip]; step > d.step || -step > d.step {
					return false
				}
			}
			y += q.length
		}
		x += p.length
	}
	return true
}

// rowsOf lists the rows of a complete state.
func rowsOf(st *state) [][]cutPiece {
	out := make([][]cutPiece, st.rows)
	for ; st.parent != nil; st = st.parent {
		out[st.rows-1] = st.row
	}
	return out
}
