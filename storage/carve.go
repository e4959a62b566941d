package storage

import (
	"encoding/binary"
	"slices"

	"pilewright/plan"
)

// carved is a record found in the pages of a file.
type carved struct {
	plan.Record
	live bool // on a page that the file's own tree leads to
}

// carve finds the records in the raw pages of a shop file, whatever became of
// its tree: every whole row whose sum is right. Pages the file lists as free are
// passed over. broken counts rows on pages of the tree that are not whole.
// Source of the format: sqlite.org/fileformat2.html, sections 1.3, 1.5, 1.6, 2.1.
func carve(file []byte, root int) (found []carved, broken int) {
	p := pages{file: file, size: 4096, budget: new(int)}
	*p.budget = 64 * len(file)
	if len(file) > 100 {
		if size := int(binary.BigEndian.Uint16(file[16:])); size >= 512 && size&(size-1) == 0 {
			p.size = size
		}
	}
	free := p.free()
	live := map[int]bool{}
	p.walk(root, live)
	for n := 1; n <= len(file)/p.size; n++ {
		if free[n] && !live[n] {
			continue
		}
		rows, bad := p.leaf(n)
		for _, r := range rows {
			found = append(found, carved{r, live[n]})
		}
		if live[n] {
			broken += bad
		}
	}
	return found, broken
}

type pages struct {
	file []byte
	size int
	// budget is how many bytes of overflow are still read: damaged rows may all
	// claim to go on over the whole file.
	budget *int
}

func (p pages) page(n int) []byte {
	if n < 1 || n > len(p.file)/p.size {
		return nil
	}
	return p.file[(n-1)*p.size : n*p.size]
}

// free are the pages on the list of free ones.
func (p pages) free() map[int]bool {
	out := map[int]bool{}
	if len(p.file) < 100 {
		return out
	}
	for trunk := int(binary.BigEndian.Uint32(p.file[32:])); trunk > 0 && !out[trunk]; {
		page := p.page(trunk)
		if page == nil || page[0] == leafPage {
			break // a page that begins like a table's is in use: the list is damaged
		}
		out[trunk] = true
		for i := range min(int(binary.BigEndian.Uint32(page[4:])), p.size/4-2) {
			out[int(binary.BigEndian.Uint32(page[8+4*i:]))] = true
		}
		trunk = int(binary.BigEndian.Uint32(page))
	}
	return out
}

// The kinds of page of a table's tree.
const (
	leafPage     = 0x0d
	interiorPage = 0x05
)

// cells gives where the cells of a page begin.
func (p pages) cells(n, head int) []int {
	page := p.page(n)
	at := 0
	if n == 1 {
		at = 100
	}
	count := min(int(binary.BigEndian.Uint16(page[at+3:])), (p.size-at-head)/2)
	out := make([]int, count)
	for i := range out {
		out[i] = int(binary.BigEndian.Uint16(page[at+head+2*i:]))
	}
	return out
}

// walk collects the pages of the tree below n.
func (p pages) walk(n int, seen map[int]bool) {
	page := p.page(n)
	if page == nil || n == 1 || seen[n] {
		return
	}
	seen[n] = true
	if page[0] != interiorPage {
		return
	}
	for _, c := range p.cells(n, 12) {
		if c+4 <= p.size {
			p.walk(int(binary.BigEndian.Uint32(page[c:])), seen)
		}
	}
	p.walk(int(binary.BigEndian.Uint32(page[8:])), seen)
}

// leaf reads the records of one page; bad counts the cells that are none.
func (p pages) leaf(n int) (out []plan.Record, bad int) {
	page := p.page(n)
	if n == 1 || page[0] != leafPage {
		return nil, 0
	}
	for _, c := range p.cells(n, 8) {
		if r, ok := p.row(page, c); ok {
			out = append(out, r)
		} else {
			bad++
		}
	}
	return out, bad
}

// row reads the record whose cell begins at c.
func (p pages) row(page []byte, c int) (r plan.Record, ok bool) {
	if c < 8 || c >= len(page) {
		return r, false
	}
	cell := page[c:]
	long, n := varint(cell)
	_, m := varint(cell[min(n, len(cell)):]) // the row's number
	if n == 0 || m == 0 || long > uint64(plan.MaxBody)*2 {
		return r, false
	}
	payload, ok := p.payload(cell[n+m:], int(long))
	if !ok {
		return r, false
	}
	cols, ok := columns(payload)
	if !ok || len(cols) != 5 || cols[0].text == nil || cols[3].text == nil {
		return r, false
	}
	r = plan.Record{Kind: plan.Kind(cols[0].text), ID: plan.ID(cols[1].number), Piece: plan.ID(cols[2].number), Body: slices.Clone(cols[3].text)}
	return r, cols[4].number == sum(r.Kind, r.ID, r.Piece, r.Body)
}

// payload gathers what a cell holds, the pages it overflows to included.
func (p pages) payload(cell []byte, long int) ([]byte, bool) {
	local := long
	if most := p.size - 35; long > most {
		least := (p.size-12)*32/255 - 23
		local = least + (long-least)%(p.size-4)
		if local > most {
			local = least
		}
	}
	if local > len(cell) {
		return nil, false
	}
	out := slices.Clone(cell[:local])
	if local == long {
		return out, true
	}
	if local+4 > len(cell) {
		return nil, false
	}
	if long > len(p.file) {
		return nil, false
	}
	for next := binary.BigEndian.Uint32(cell[local:]); len(out) < long; {
		page := p.page(int(next))
		if *p.budget -= p.size; page == nil || *p.budget < 0 {
			return nil, false
		}
		out = append(out, page[4:min(p.size, 4+long-len(out))]...)
		next = binary.BigEndian.Uint32(page)
	}
	return out, true
}

type column struct {
	number int64
	text   []byte
}

// columns reads the columns of a row.
func columns(payload []byte) (out []column, ok bool) {
	head, n := varint(payload)
	if n == 0 || head > uint64(len(payload)) || head < uint64(n) {
		return nil, false
	}
	body := payload[head:]
	for types := payload[n:head]; len(types) > 0; {
		t, n := varint(types)
		if n == 0 || len(out) > 10 {
			return nil, false
		}
		types = types[n:]
		var c column
		long := uint64(0)
		switch {
		case t <= 4:
			long = t
		case t == 5, t == 6:
			long = 2*t - 4 // six and eight bytes
		case t == 8, t == 9:
			c.number = int64(t - 8)
		case t >= 13 && t%2 == 1:
			long = (t - 13) / 2
		default:
			return nil, false // nothing a record holds
		}
		if long > uint64(len(body)) {
			return nil, false
		}
		if t >= 13 {
			c.text = body[:long:long]
		} else if long > 0 {
			c.number = int64(int8(body[0]))
			for _, b := range body[1:long] {
				c.number = c.number<<8 | int64(b)
			}
		}
		body = body[long:]
		out = append(out, c)
	}
	return out, true
}

// varint reads a number of one to nine bytes; n is 0 where there is none.
func varint(b []byte) (v uint64, n int) {
	for i := range min(len(b), 9) {
		if i == 8 {
			return v<<8 | uint64(b[i]), 9
		}
		v = v<<7 | uint64(b[i]&0x7f)
		if b[i] < 0x80 {
			return v, i + 1
		}
	}
	return 0, 0
}
