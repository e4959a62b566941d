package guillotine

import "context"

// Solve cuts one sheet to the highest value. Cancelled or at its work limit it
// returns the best plan found with the bound it has. It fails only on a
// question that makes no sense, or with ErrFine where the sizes share no unit
// coarse enough to list positions; round the sizes up to whole millimetres
// then.
func Solve(ctx context.Context, sheet Sheet, items []Item, opt Options) (Plan, error) {
	if err := validate(sheet, items, opt); err != nil {
		return Plan{}, err
	}
	t := newTask(sheet, items, opt)
	if t.w > mostValue/t.h {
		return Plan{}, ErrFine // areas would not be safe as values
	}
	limit := opt.Work
	if limit <= 0 {
		limit = DefaultWork
	}
	xs := sums(t.w, func(s shape) int64 { return s.w }, t)
	ys := sums(t.h, func(s shape) int64 { return s.h }, t)
	if len(xs) > maxRaster || len(ys) > maxRaster {
		return Plan{}, ErrFine
	}
	x, y := newRaster(xs), newRaster(ys)
	s := &solving{task: t, ctx: ctx, x: &x, y: &y, limit: limit, bound: int64(1) << 62}
	switch {
	case len(t.bad) > 0:
		s.defects()
	default:
		s.clear()
	}
	p := Plan{Work: s.work}
	t.lay(&p, s.best, box{0, 0, t.w, t.h})
	p.Bound = max(s.bound, p.Value)
	switch {
	case p.Proved():
		p.Status = Optimal
	case ctx.Err() != nil:
		p.Status = Stopped
	default:
		p.Status = Limit
	}
	return p, nil
}

type solving struct {
	*task
	ctx   context.Context
	x, y  *raster
	best  *node
	value int64
	bound int64
	work  int64
	limit int64
}

func (s *solving) offer(n *node, value int64) {
	if n != nil && value > s.value {
		s.best, s.value = n, value
		s.tell()
	}
}

func (s *solving) lower(bound int64) {
	if bound < s.bound {
		s.bound = bound
		s.tell()
	}
}

func (s *solving) tell() {
	if s.opt.Progress != nil {
		s.opt.Progress(Progress{s.value, max(s.bound, s.value)})
	}
}

// clear solves a sheet without defects: prices for the limited copies first,
// then builds, more and more of them a rectangle, until nothing is dropped.
func (s *solving) clear() {
	if len(s.shapes) == 0 {
		s.bound = 0
		return
	}
	f := newFree(s.x, s.y, s.shapes)
	if s.unlimited() && s.opt.Stages <= 0 {
		f.run(s.value64())
		s.offer(f.pattern(len(s.x.at)-1, f.ny-1), f.whole()/fine)
		s.bound = f.whole() / fine
		s.work = f.steps
		return
	}
	f.run(s.value64())
	rounds := int(min(250, max(20, s.limit/8/max(f.steps, 1))))
	price, bound := s.limitedBound(s.ctx, f, rounds, func([]int64) int64 {
		if s.opt.Stages <= 0 {
			p := f.pattern(len(s.x.at)-1, f.ny-1)
			s.offer(p, s.trim(p, make([]int64, len(s.items))))
		}
		return s.value
	})
	s.lower(bound / fine)
	// Aims below the bound first: a high aim drops most builds, and where none
	// is left out and none found, the aim is a new bound.
	for _, share := range []int64{1, 4, 10, 25, 60, 150, 400} {
		aim := s.bound - s.bound*share/1000
		if s.ctx.Err() != nil || aim <= s.value {
			break
		}
		found := false
		for _, keep := range []int{1, 2, 6} {
			b := s.list(f, price, keep, max(aim-1, s.value), s.limit/8)
			s.lower(max(b.bound(), s.value))
			found = found || b.pattern() != nil
			if b.out || b.cut == 0 {
				break
			}
		}
		if found {
			break
		}
	}
	for keep := 8; s.value < s.bound && s.ctx.Err() == nil && s.work < s.limit; keep *= 4 {
		b := s.list(f, price, keep, s.value, s.limit)
		s.lower(max(b.bound(), s.value))
		if b.out || b.cut == 0 {
			break
		}
	}
	s.work += f.steps
}

// list runs a builder that only looks for more than floor.
func (s *solving) list(f *free, price []int64, keep int, floor, work int64) *builder {
	b := s.newBuilder(s.ctx, s.x, s.y, price, f, keep)
	b.best, b.limit = floor, min(work, s.limit-s.work)
	b.run()
	s.work += b.work
	s.offer(b.pattern(), b.best)
	return b
}

func (t *task) value64() []int64 {
	out := make([]int64, len(t.value))
	for k, v := range t.value {
		out[k] = v * fine
	}
	return out
}

// pattern follows the table back to a pattern.
func (f *free) pattern(i, j int) *node {
	h := f.how[i*f.ny+j]
	switch {
	case h == howNothing:
		return nil
	case h == howNarrow:
		return f.pattern(i-1, j)
	case h == howLow:
		return f.pattern(i, j-1)
	case h >= howItem:
		s := f.shapes[h-howItem]
		return &node{shape: int(h - howItem), w: s.w, h: s.h}
	}
	var parts []*node
	across := h%2 != 0
	w, o := f.x.at[i], f.y.at[j]
	if across {
		a := int(-1-h) / 2
		parts = []*node{f.pattern(a, j), f.pattern(int(f.x.below[i][a]), j)}
	} else {
		b := int(-2-h) / 2
		parts = []*node{f.pattern(i, b), f.pattern(i, int(f.y.below[j][b]))}
	}
	kept := parts[:0]
	for _, p := range parts {
		if p != nil {
			kept = append(kept, p)
		}
	}
	if len(kept) == 1 {
		return kept[0]
	}
	if across {
		w = kept[0].w + kept[1].w
		o = max(kept[0].h, kept[1].h)
	} else {
		w = max(kept[0].w, kept[1].w)
		o = kept[0].h + kept[1].h
	}
	return &node{across: across, parts: kept, w: w, h: o}
}
