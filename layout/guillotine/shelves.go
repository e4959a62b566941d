package guillotine

import (
	"math/rand/v2"
	"sort"
)

// Shelves are patterns of three stages: a sheet is cut into shelves, a shelf
// into stacks, a stack into items. Items are laid one by one where they fit
// closest, and the order is improved step by step from a fixed seed. With two
// stages a stack holds one item.

type stack struct {
	w, used int64
	shapes  []int
}

type shelf struct {
	h, used int64
	stacks  []stack
}

type shelved struct {
	stock   int
	used    int64 // height of all shelves
	area    int64 // of the items
	shelves []shelf
}

// shelving lays copies of items on shelves of one direction.
type shelving struct {
	tasks   []*task // one for each stock
	price   []int64
	supply  []int
	upright bool  // shelves run across the sheet's width: sizes swapped
	single  bool  // one item a stack
	kinds   []int // the copies, by kind

	onShelf, newShelf int64 // eighths of the waste that a new stack or shelf counts
}

func (s *shelving) size(t *task, shape int) (w, h int64) {
	v := t.shapes[shape]
	if s.upright {
		return v.h, v.w
	}
	return v.w, v.h
}

func (s *shelving) sheet(t *task) (w, h int64) {
	if s.upright {
		return t.h, t.w
	}
	return t.w, t.h
}

// lay lays copies in order; ok is false when one fits on no sheet left.
func (s *shelving) lay(order []int, prefer []int) (sheets []shelved, cost int64, ok bool) {
	taken := make([]int, len(s.tasks))
	for _, copyOf := range order {
		kind := s.kinds[copyOf]
		if s.insert(sheets, kind) {
			continue
		}
		opened := false
		for _, n := range prefer {
			if s.supply[n] > 0 && taken[n] >= s.supply[n] {
				continue
			}
			one := []shelved{{stock: n}}
			if s.insert(one, kind) {
				sheets = append(sheets, one[0])
				taken[n]++
				cost += s.price[n]
				opened = true
				break
			}
		}
		if !opened {
			return nil, 0, false
		}
	}
	return sheets, cost, true
}

// insert puts one item where it wastes least: on a stack, as a new stack, as a
// new shelf.
func (s *shelving) insert(sheets []shelved, kind int) bool {
	const none = int64(1) << 62
	least := none
	var at struct{ sheet, shelf, stack, shape int }
	offer := func(waste int64, sheet, shelf, stack, shape int) {
		if waste < least {
			least = waste
			at.sheet, at.shelf, at.stack, at.shape = sheet, shelf, stack, shape
		}
	}
	for n := range sheets {
		p := &sheets[n]
		t := s.tasks[p.stock]
		W, H := s.sheet(t)
		for shape := range t.shapes {
			if t.shapes[shape].kind != kind {
				continue
			}
			w, h := s.size(t, shape)
			for k := range p.shelves {
				f := &p.shelves[k]
				if h > f.h {
					continue
				}
				for m := range f.stacks {
					if c := &f.stacks[m]; !s.single && w <= c.w && c.used+h <= f.h {
						offer((c.w-w)*h, n, k, m, shape)
					}
				}
				if f.used+w <= W {
					offer((f.h-h)*w*s.onShelf/8+1, n, k, -1, shape)
				}
			}
			if p.used+h <= H {
				// A shelf opened for a narrow item may waste its whole length.
				offer((W-w)*h*s.newShelf/8+2, n, -1, -1, shape)
			}
		}
	}
	if least == none {
		return false
	}
	p := &sheets[at.sheet]
	t := s.tasks[p.stock]
	w, h := s.size(t, at.shape)
	if at.shelf < 0 {
		p.shelves = append(p.shelves, shelf{h: h})
		p.used += h
		at.shelf = len(p.shelves) - 1
	}
	f := &p.shelves[at.shelf]
	if at.stack < 0 {
		f.stacks = append(f.stacks, stack{w: w})
		f.used += w
		at.stack = len(f.stacks) - 1
	}
	c := &f.stacks[at.stack]
	c.used += h
	c.shapes = append(c.shapes, at.shape)
	p.area += w * h
	return true
}

// node is the pattern of a sheet.
func (s *shelving) node(p *shelved) *node {
	t := s.tasks[p.stock]
	root := &node{across: s.upright}
	for _, f := range p.shelves {
		row := &node{across: !s.upright}
		for _, c := range f.stacks {
			pile := &node{across: s.upright}
			for _, shape := range c.shapes {
				v := t.shapes[shape]
				pile.parts = append(pile.parts, &node{shape: shape, w: v.w, h: v.h})
			}
			s.close(pile, c.w, c.used)
			row.parts = append(row.parts, pile)
		}
		s.close(row, f.used, f.h)
		root.parts = append(root.parts, row)
	}
	W, _ := s.sheet(t)
	s.close(root, W, p.used)
	return root
}

func (s *shelving) close(n *node, w, h int64) {
	if s.upright {
		w, h = h, w
	}
	n.w, n.h = w, h
}

// weight orders cuttings: price, then sheets as unevenly full as can be, so
// that one may empty.
func weight(sheets []shelved, cost int64) float64 {
	even := 0.0
	for _, p := range sheets {
		a := float64(p.area)
		even += a * a
	}
	total := 0.0
	for _, p := range sheets {
		total += float64(p.area)
	}
	return float64(cost) + 0.5*(1-even/(total*total+1))
}

// improve searches orders and gives the best cutting found.
func (s *shelving) improve(order, prefer []int, tries int, seed uint64, stop func(cost int64) bool) (best []shelved, cost int64) {
	r := rand.New(rand.NewPCG(seed, 41))
	sheets, c, ok := s.lay(order, prefer)
	if !ok {
		return nil, 0
	}
	best, cost = sheets, c
	w := weight(sheets, c)
	n := len(order)
	var past [60]float64 // an order no worse than some steps ago is taken (late acceptance, Burke and Bykov)
	for k := range past {
		past[k] = w
	}
	try := make([]int, n)
	pick := make([]int, len(prefer))
	for k := 0; k < tries && !stop(cost); k++ {
		copy(try, order)
		copy(pick, prefer)
		for range 1 + r.IntN(3) {
			i, j := r.IntN(n), r.IntN(n)
			if r.IntN(2) == 0 {
				try[i], try[j] = try[j], try[i]
				continue
			}
			x := try[i]
			if i < j {
				copy(try[i:j], try[i+1:j+1])
			} else {
				copy(try[j+1:i+1], try[j:i])
			}
			try[j] = x
		}
		was := [2]int64{s.onShelf, s.newShelf}
		if r.IntN(10) == 0 {
			s.onShelf, s.newShelf = int64(r.IntN(12)), int64(r.IntN(12))
		}
		if len(pick) > 1 && r.IntN(4) == 0 {
			i, j := r.IntN(len(pick)), r.IntN(len(pick))
			pick[i], pick[j] = pick[j], pick[i]
		}
		sheets, c, ok := s.lay(try, pick)
		if !ok {
			s.onShelf, s.newShelf = was[0], was[1]
			continue
		}
		if v := weight(sheets, c); v > w && v > past[k%len(past)] {
			s.onShelf, s.newShelf = was[0], was[1]
		} else {
			w = v
			copy(order, try)
			copy(prefer, pick)
			if c < cost {
				best, cost = sheets, c
			}
		}
		past[k%len(past)] = w
	}
	return best, cost
}

// starts are the orders improved: by area, by longer side, by height.
func (s *shelving) starts() [][]int {
	t := s.tasks[0]
	var out [][]int
	for rule := range 3 {
		order := make([]int, len(s.kinds))
		for k := range order {
			order[k] = k
		}
		key := func(k int) int64 {
			w, h := int64(t.items[s.kinds[k]].Length), int64(t.items[s.kinds[k]].Width)
			if s.upright {
				w, h = h, w
			}
			switch rule {
			case 0:
				return w / 1000 * (h / 1000)
			case 1:
				return max(w, h)
			}
			return h
		}
		sort.SliceStable(order, func(a, b int) bool { return key(order[a]) > key(order[b]) })
		out = append(out, order)
	}
	return out
}
