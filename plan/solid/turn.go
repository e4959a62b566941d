package solid

import "pilewright/plan/measure"

// Direction is one way along an axis. The zero value, None, is no direction.
type Direction int

// The directions of the piece's space.
const (
	None Direction = iota
	PlusX
	MinusX
	PlusY
	MinusY
	PlusZ
	MinusZ
)

// Along is the direction along axis 0, 1 or 2, towards greater coordinates when
// positive.
func Along(axis int, positive bool) Direction {
	d := PlusX + Direction(2*axis)
	if !positive {
		d++
	}
	return d
}

// Axis is 0, 1 or 2 for X, Y or Z; None has axis -1.
func (d Direction) Axis() int {
	if d == None {
		return -1
	}
	return int(d-PlusX) / 2
}

// Positive reports whether d points to greater coordinates.
func (d Direction) Positive() bool { return d != None && (d-PlusX)%2 == 0 }

// Opposite is the way back.
func (d Direction) Opposite() Direction {
	if d == None {
		return None
	}
	return Along(d.Axis(), !d.Positive())
}

// Times is the step of the given length along d.
func (d Direction) Times(l measure.Length) Point {
	var p Point
	switch {
	case d == None:
	case d.Positive():
		p[d.Axis()] = l
	default:
		p[d.Axis()] = -l
	}
	return p
}

// String gives "+x", "-x" and so on; None gives "".
func (d Direction) String() string {
	if d < None || d > MinusZ {
		return "?"
	}
	return [...]string{"", "+x", "-x", "+y", "-y", "+z", "-z"}[d]
}

// Turn maps axes onto axes: one of the 24 quarter-turn rotations or of the 24
// reflections that go with them. The coordinate k of a result is the coordinate
// From[k] of the original, negated where Flip[k].
type Turn struct {
	From [3]int
	Flip [3]bool
}

// Identity leaves everything as it is.
var Identity = Turn{From: [3]int{0, 1, 2}}

// Point gives the image of p.
func (t Turn) Point(p Point) Point {
	var q Point
	for k := range 3 {
		q[k] = p[t.From[k]]
		if t.Flip[k] {
			q[k] = -q[k]
		}
	}
	return q
}

// Box gives the image of b.
func (t Turn) Box(b Box) Box {
	var c Box
	for k := range 3 {
		lo, hi := b.Min[t.From[k]], b.Max[t.From[k]]
		if t.Flip[k] {
			lo, hi = -hi, -lo
		}
		c.Min[k], c.Max[k] = lo, hi
	}
	return c
}

// Direction gives the image of d.
func (t Turn) Direction(d Direction) Direction {
	for k := range 3 {
		if d != None && t.From[k] == d.Axis() {
			return Along(k, d.Positive() != t.Flip[k])
		}
	}
	return None
}

// Then is the turn that does t first and u after it.
func (t Turn) Then(u Turn) Turn {
	var r Turn
	for k := range 3 {
		r.From[k] = t.From[u.From[k]]
		r.Flip[k] = u.Flip[k] != t.Flip[u.From[k]]
	}
	return r
}

// Inverse undoes t.
func (t Turn) Inverse() Turn {
	var r Turn
	for k := range 3 {
		r.From[t.From[k]] = k
		r.Flip[t.From[k]] = t.Flip[k]
	}
	return r
}

// Mirrors reports whether t turns a left hand into a right hand.
func (t Turn) Mirrors() bool {
	odd := t.Flip[0] != t.Flip[1] != t.Flip[2]
	cyclic := t.From[1] == (t.From[0]+1)%3
	return odd == cyclic
}

// Turns lists the 24 rotations, Identity first, or the 24 reflections.
func Turns(mirrored bool) []Turn {
	var all []Turn
	for _, from := range [][3]int{{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}} {
		for f := range 8 {
			t := Turn{from, [3]bool{f&1 != 0, f&2 != 0, f&4 != 0}}
			if t.Mirrors() == mirrored {
				all = append(all, t)
			}
		}
	}
	return all
}
