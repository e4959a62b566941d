package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pilewright/plan/measure"
)

// mixedUse begins the use of a blank that is a strip of a mixed panel; its width in
// nanometres follows.
const mixedUse = "strip"

// mostWidths is how many widths the strips of a mixed panel may be chosen from.
const mostWidths = 10

// mixed is one more way to make a part: a flat panel of strips of different widths,
// as the solver picks them from the pile. It asks for strips that cover the panel
// together, and makes a blank of every width that comes back; the widest is made
// narrower by what is too much. Strips that are cut already are part of the panel.
// ok is false where there is no such panel, or it would be one of equal rows.
func (m *making) mixed(at int) (o WayOption, ok bool) {
	pw := &m.plan.Ways[at]
	shop, p := &m.plan.Project.Shop, m.plan.Project
	sp, _ := m.plan.Part(pw.Part)
	long := m.plan.Frame.LongestOf(sp)
	copies, full := gang(shop, sp.N, long)
	if ganged(sp.N, copies) != 1 || sp.W <= sp.T || pw.Locked && sp.Way != FlatPanel && sp.Way != MixedPanel {
		return o, false
	}
	pile := shapeOf(p)
	pile.metric = metric(m.plan.Parts)
	want := sp.blank("strips", FlatPanel, 1)
	want.Length, want.Width, want.Thickness = full, sp.W, planable(shop, sp.T)+shop.PlaneAllowance
	want.toRuler(pile.metric)
	total := want.Width
	ready := m.mixedReady(sp.ID, want)
	for _, r := range ready {
		total -= r.Cut.Width - shop.WidthAllowance
	}
	var strips []measure.Length
	if total > 0 {
		widths := pile.stripWidths(shop, sp, want)
		if len(widths) == 0 {
			return o, false
		}
		want.Width, want.Count = 0, 0
		want.Strips = &Strips{Total: total, Joint: shop.WidthAllowance, Widths: widths}
		was := *pw
		pw.Options, pw.Chosen = []WayOption{{Way: FlatPanel, Blanks: []Blank{want}}}, 0
		job := m.job(true)
		*pw = was
		c, err := m.tools.Cut(m.ctx, job, nil)
		if err != nil {
			return o, false
		}
		for _, b := range c.Boards {
			for _, q := range b.Pieces {
				if q.Blank == want.Key {
					strips = append(strips, q.Width)
					total -= q.Width - shop.WidthAllowance
				}
			}
		}
		if total > 0 {
			return o, false // the pile does not hold them
		}
		slices.SortFunc(strips, func(a, b measure.Length) int { return cmp.Compare(b, a) })
		if narrow := strips[0] + total; narrow-shop.WidthAllowance >= sp.T { // total is what is too much, below nought
			strips[0] = narrow
		}
	}
	o = WayOption{Way: FlatPanel, Mixed: true, Rows: len(strips) + len(ready), Pieces: 1, Gang: copies, Fits: true}
	want.Strips = nil
	blank := func(w measure.Length) *Blank {
		use := mixedUse + fmt.Sprint(int64(w))
		for i := range o.Blanks {
			if o.Blanks[i].Key == blankKey(sp.ID, use) {
				return &o.Blanks[i]
			}
		}
		b := want
		b.Key, b.Name, b.Width, b.PerCopy, b.Count = blankKey(sp.ID, use), sp.Name+" row", w, 0, 0
		o.Blanks = append(o.Blanks, b)
		return &o.Blanks[len(o.Blanks)-1]
	}
	for _, w := range strips {
		b := blank(w)
		b.Count++
		b.PerCopy++
	}
	for _, r := range ready {
		b := blank(r.Cut.Width)
		b.Done = append(b.Done, r.Cut.N)
		b.PerCopy++
	}
	if len(o.Blanks) < 2 && len(ready) == 0 || o.Rows < 2 {
		return o, false
	}
	slices.SortFunc(o.Blanks, func(a, b Blank) int { return cmp.Compare(b.Width, a.Width) })
	for i := range o.Blanks {
		o.Blanks[i].Mark = sp.Letter + string(rune('a'+i%26))
		if gives := o.Blanks[i].Width - shop.WidthAllowance; o.Each == 0 || gives < o.Each {
			o.Each = gives
		}
	}
	return o, true
}

// mixedReady gives the strips of a mixed panel that are cut and still serve.
func (m *making) mixedReady(part ID, want Blank) []ReadyBlank {
	var out []ReadyBlank
	for _, r := range m.plan.Project.Ready {
		b, ok := m.plan.Project.Board(r.Board)
		if ok && strings.HasPrefix(r.Cut.Blank, blankKey(part, mixedUse)) && r.Cut.Length >= want.Length && b.Thickness >= want.Thickness && r.Cut.N >= 1 {
			out = append(out, r)
		}
	}
	return out
}

// goOnMixed leaves a part of which strips of a mixed panel are cut no other way.
func (m *making) goOnMixed() {
	for i := range m.plan.Ways {
		pw := &m.plan.Ways[i]
		if !slices.ContainsFunc(m.plan.Project.Ready, func(r ReadyBlank) bool { return strings.HasPrefix(r.Cut.Blank, blankKey(pw.Part, mixedUse)) }) {
			continue
		}
		if o, ok := m.mixed(i); ok {
			pw.Options, pw.Chosen = []WayOption{o}, 0
		}
	}
}

// stripWidths are the widths that boards long and thick enough give strips of:
// whole, or ripped into two or three, no narrower than the panel is thick.
func (s pileShape) stripWidths(shop *Shop, sp SizedPart, want Blank) []measure.Length {
	step, kerf := finestInch, shop.Kerf("rip")
	if s.metric {
		step = finestMetric
	}
	var out []measure.Length
	for _, b := range s.boards {
		if b.Sheet || b.Thickness < want.Thickness || want.Species != "" && !strings.EqualFold(b.Species, want.Species) || b.Length-b.TrimLeft-b.TrimRight < want.Length {
			continue
		}
		for n := measure.Length(1); n <= 3; n++ {
			w := (b.Width - (n-1)*kerf) / n / step * step
			if gives := w - shop.WidthAllowance; gives >= sp.T && gives > 0 && gives < sp.W {
				out = append(out, w)
			}
		}
	}
	slices.Sort(out)
	out = slices.Compact(out)
	for len(out) > mostWidths { // the two nearest to each other can do without one
		k := 1
		for i := 1; i < len(out); i++ {
			if out[i]-out[i-1] < out[k]-out[k-1] {
				k = i
			}
		}
		out = slices.Delete(out, k-1, k)
	}
	return out
}
