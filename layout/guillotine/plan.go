package guillotine

import "pilewright/plan/measure"

// node is a pattern: an item, or parts side by side (across) or one above the
// other; its rectangle may be larger than what is in it.
type node struct {
	shape  int // when there are no parts; -1 = waste
	across bool
	parts  []*node
	w, h   int64
}

// lay turns a pattern into placed items and an order of cuts. Sizes hold one
// kerf; region is the free rectangle the pattern lies in, kerf included.
func (t *task) lay(p *Plan, n *node, region box) {
	if n == nil || len(n.parts) == 0 && n.shape < 0 {
		return
	}
	if len(n.parts) == 0 {
		s := t.shapes[n.shape]
		t.cut(p, &region, true, s.w)
		t.cut(p, &region, false, s.h)
		r := t.rect(box{region.x, region.y, s.w, s.h})
		p.Placed = append(p.Placed, Placed{t.items[s.kind].ID, r, s.turned})
		p.Value += t.value[s.kind]
		return
	}
	for k, part := range n.parts {
		here := region
		if k < len(n.parts)-1 {
			if n.across {
				t.cut(p, &here, true, part.w)
				region.x, region.w = region.x+part.w, region.w-part.w
			} else {
				t.cut(p, &here, false, part.h)
				region.y, region.h = region.y+part.h, region.h-part.h
			}
		}
		t.lay(p, part, here)
	}
}

// cut keeps the first `size` of a region and records the cut, unless nothing
// but the kerf beyond the edge is cut off.
func (t *task) cut(p *Plan, region *box, across bool, size int64) {
	whole := region.h
	at := region.y
	if across {
		whole, at = region.w, region.x
	}
	if size >= whole {
		return
	}
	// Where less than a kerf is left the saw takes all of it.
	p.Cuts = append(p.Cuts, Cut{t.rect(*region), across, measure.Length((at + size - t.kerf) * t.unit)})
	if across {
		region.w = size
	} else {
		region.h = size
	}
}

// rect is a region in nanometres without its kerf.
func (t *task) rect(b box) Rect {
	u := t.unit
	return Rect{measure.Length(b.x * u), measure.Length(b.y * u), measure.Length((b.w - t.kerf) * u), measure.Length((b.h - t.kerf) * u)}
}
