package drawing

import (
	"pilewright/plan/words"
	"strings"

	"pilewright/layout/drawing/font"
)

// hatching is how a kind of flaw is told from another without colour.
type hatching struct {
	word    string // begins or is within the kind's name
	angles  []float64
	spacing float64
}

// hatchings is ours; the standards give no hatching for flaws in wood.
var hatchings = []hatching{
	{"split", []float64{60}, 0.9},
	{"crack", []float64{120}, 0.9},
	{"knot", []float64{45, 135}, 1.1},
	{"nail", []float64{90}, 0.7},
	{"wane", []float64{0}, 0.8},
	{"stain", []float64{30}, 1.8},
	{"", []float64{45}, 1.1},
}

func hatchingOf(kind string) hatching {
	kind = strings.ToLower(kind)
	for _, h := range hatchings {
		if strings.Contains(kind, h.word) {
			return h
		}
	}
	return hatchings[len(hatchings)-1]
}

func flaw(p *Picture, f Flaw, r Rect) {
	role := RoleDefect
	if f.Allowed {
		role = RoleBlemish
	}
	h := hatchingOf(f.Kind)
	if !f.Allowed {
		p.Rect(RolePaper, "", r)
	}
	for _, a := range h.angles {
		p.Hatch(role, f.Ref, a, h.spacing, r.corners()...)
	}
	p.Rect(role, f.Ref, r)
	p.Say(f.Ref, f.Hover)
}

// legend explains, in one line that wraps, the hatchings and outlines used.
func legend(p *Picture, boards []BoardView, y, width float64, w *words.Language) {
	type entry struct {
		text string
		draw func(r Rect)
	}
	var entries []entry
	seen := map[string]bool{}
	var trims, leftovers, kerfs bool
	for _, b := range boards {
		trims = trims || b.TrimLeft > 0 || b.TrimRight > 0
		leftovers = leftovers || len(b.Leftovers) > 0
		kerfs = kerfs || len(b.Kerfs) > 0
		for _, f := range b.Flaws {
			f, name := f, w.Word(f.Kind)
			if name == "" {
				name = w.Word("defect")
			}
			if f.Allowed {
				name = w.Format("%s (hidden parts may hold it)", name)
			}
			if !seen[name] {
				seen[name] = true
				entries = append(entries, entry{name, func(r Rect) { flaw(p, Flaw{Kind: f.Kind, Allowed: f.Allowed}, r) }})
			}
		}
	}
	if trims {
		entries = append(entries, entry{w.Word("trim"), func(r Rect) {
			p.Hatch(RoleTrim, "", 135, 1.2, r.corners()...)
			p.Rect(RoleTrim, "", r)
		}})
	}
	if leftovers {
		entries = append(entries, entry{w.Word("left over"), func(r Rect) { p.Rect(RoleLeftover, "", r) }})
	}
	if kerfs {
		entries = append(entries, entry{w.Word("saw cut"), func(r Rect) { p.Rect(RoleKerf, "", Rect{r.X0 + 3, r.Y0, r.X0 + 3.4, r.Y1}) }})
	}
	x := 0.0
	for _, e := range entries {
		need := 8.5 + font.Width(e.text, 2.3, false)
		if x > 0 && x+need > width {
			x, y = 0, y+4.5
		}
		e.draw(Rect{x, y, x + 7, y + 3})
		p.Text(RoleNote, "", x+8.5, y+1.5, 2.3, Centre, e.text)
		x += need + 5
	}
}
