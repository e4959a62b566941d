package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Face is one of the two faces of a board. A is the one the mark is chalked on,
// which was up when the board was measured and is drawn in the pile; B is the other.
type Face string

// The faces. Of a defect NoFace means that it goes through the board, of a piece
// that either face will do.
const (
	NoFace Face = ""
	FaceA  Face = "a"
	FaceB  Face = "b"
)

// GoodFaces says which faces of a board are fit to be seen. Where the maker has
// not said so, a face is good where no defect of it shows.
type GoodFaces string

// What may be said of a board's faces.
const (
	FacesUnknown GoodFaces = ""
	GoodA        GoodFaces = "a"
	GoodB        GoodFaces = "b"
	GoodBoth     GoodFaces = "both"
	GoodNone     GoodFaces = "none"
)

// Rings says how the growth rings curve at the end of a board as it lies, or,
// of a board in the pile, while its face A is up.
type Rings string

// The ways rings may lie. With the bark side up they arch like a hill.
const (
	NotMarked Rings = ""
	BarkUp    Rings = "up"
	BarkDown  Rings = "down"
	Upright   Rings = "upright" // quartersawn: it cups neither way
)

// Turned is how the rings lie once the board is turned over.
func (r Rings) Turned() Rings {
	switch r {
	case BarkUp:
		return BarkDown
	case BarkDown:
		return BarkUp
	}
	return r
}

// known passes over what is no way to lie.
func (r Rings) known() Rings {
	if r.curved() || r == Upright {
		return r
	}
	return NotMarked
}

// curved reports whether the rings are marked and curve one way.
func (r Rings) curved() bool { return r == BarkUp || r == BarkDown }

// RingHabit is how a shop lays the growth rings of a flat panel's rows.
type RingHabit string

// The habits, common practice without a source: alternating rows cup against each
// other and leave the panel flat with a slight wave; all one way gives one shallow
// curve that battens or rails hold.
const (
	Alternate RingHabit = "alternate" // an empty habit means this one
	OneWay    RingHabit = "one-way"
)

// OfRows reports whether the choice is about the rows of a panel, not about the cuts.
func (k ChoiceKind) OfRows() bool { return k == RowPlace || k == RingsMark }

// Good reports whether a face of the strip is fit to be seen.
func (s *Strip) Good(f Face) bool {
	switch s.Faces {
	case GoodNone:
		return false
	case GoodA, GoodB:
		if string(s.Faces) != string(f) {
			return false
		}
	}
	return len(s.Shows(f)) == 0
}

// Shows lists the kinds of defect that a face of the strip shows.
func (s *Strip) Shows(f Face) []DefectKind {
	var out []DefectKind
	for _, d := range s.Defects {
		if (d.Side == f || d.Side != FaceA && d.Side != FaceB) && !slices.Contains(out, d.Kind) {
			out = append(out, d.Kind)
		}
	}
	return out
}

// said is the kind for reading in a sentence.
func (k DefectKind) said() string {
	if k == NailHole {
		return "nail hole"
	}
	return string(k)
}

// Sightly reports whether one face at least is fit to be seen.
func (s *Strip) Sightly() bool { return s.Good(FaceA) || s.Good(FaceB) }

// face is the one that looks out, or up, in that row of so many; none of what is
// glued over.
func (w Way) face(row, rows int, flip bool) Face {
	switch {
	case w == FlatPanel || row == 0:
	case row == rows-1:
		flip = !flip // its outside looks the other way
	default:
		return NoFace
	}
	if flip {
		return FaceB
	}
	return FaceA
}

// layFaces turns the pieces of a panel over where that puts a good face on top (of
// a flat panel) or outside (of a lamination and of strips on edge), and then, in a
// flat panel, where the growth rings come to lie after the shop's habit. The
// number of good faces seen is the most that the locks allow; with it, the number
// of pieces against the habit the least, and then the number turned over. A piece
// that is not marked takes no part in the habit, and rows whose pieces are all
// upright are passed over where rows alternate.
func layFaces(p *Panel, way Way, strips []Strip, locks []RowLock, habit RingHabit) {
	of := make(map[string]*Strip, len(strips))
	for i := range strips {
		of[strips[i].ID] = &strips[i]
	}
	lay := func(start Rings, write bool) (against, turned int) {
		want := start
		for i := range p.Rows {
			row := &p.Rows[i]
			passed := true
			for k := range row.Pieces {
				q := &row.Pieces[k]
				s := of[q.Strip]
				if s == nil {
					continue
				}
				flip, free := q.face(s, way, i, len(p.Rows), k, locks)
				if free && s.Rings.curved() && start != NotMarked {
					flip = s.Rings != want
				}
				rings := s.Rings
				if flip {
					rings, turned = rings.Turned(), turned+1
				}
				bad := start != NotMarked && rings.curved() && rings != want
				if bad {
					against++
				}
				passed = passed && rings == Upright
				if write {
					q.Flip, q.Rings, q.Against = flip, rings, bad
					q.told(s, way, way.face(i, len(p.Rows), flip))
				}
			}
			if write && start != NotMarked && !passed {
				row.Rings = want
			}
			if habit != OneWay && !passed {
				want = want.Turned()
			}
		}
		return against, turned
	}
	start := NotMarked
	if way == FlatPanel && slices.ContainsFunc(strips, func(s Strip) bool { return s.Rings.curved() }) {
		start = BarkUp
		a, t := lay(BarkUp, false)
		if b, u := lay(BarkDown, false); b < a || b == a && u < t {
			start = BarkDown
		}
	}
	lay(start, true)
}

// face decides whether a piece is turned over by a lock or for its good face; free
// where neither says so.
func (q *PanelPiece) face(s *Strip, way Way, row, rows, place int, locks []RowLock) (flip, free bool) {
	for _, l := range locks {
		if l.Strip == q.Strip && l.Row == row+1 && (l.Place == 0 || l.Place == place+1) && !l.AnyFace {
			return l.Flip, false
		}
	}
	f := way.face(row, rows, false)
	if f == NoFace || s.Good(FaceA) == s.Good(FaceB) {
		return false, true
	}
	return !s.Good(f), false
}

// told notes what is known of the piece as it lies: f is the face seen.
func (q *PanelPiece) told(s *Strip, way Way, f Face) {
	q.Thickness, q.Chalk = s.Thickness, cmp.Or(s.Mark, q.Mark)
	if way == OnEdge {
		q.Thickness = s.Width
	}
	if f == NoFace {
		return
	}
	q.Poor = !s.Good(f)
	if q.Flip || q.Rings.curved() || s.Good(FaceA) != s.Good(FaceB) {
		q.Face = f
	}
}

// Turned lists the marks of the pieces that lie turned over.
func (p *Panel) Turned() []string {
	var out []string
	for _, r := range p.Rows {
		for _, q := range r.Pieces {
			if q.Flip {
				out = append(out, q.Chalk)
			}
		}
	}
	return out
}

// faceFindings tells of pieces that show a poor face or lie against the habit.
func (m *making) faceFindings(g *GlueUp, sp SizedPart, strips []Strip) {
	of := map[string]*Strip{}
	for i := range strips {
		of[strips[i].ID] = &strips[i]
	}
	var poor, held, against, shown []string
	for i, r := range g.Panel.Rows {
		for _, q := range r.Pieces {
			s := of[q.Strip]
			if s == nil {
				continue
			}
			if q.Against {
				against = append(against, q.Chalk)
			}
			if !q.Poor {
				continue
			}
			for _, d := range s.Shows(g.Way.face(i, len(g.Panel.Rows), q.Flip)) {
				if word := d.said(); !slices.Contains(shown, word) {
					shown = append(shown, word)
				}
			}
			if s.Sightly() {
				held = append(held, q.Chalk)
			} else {
				poor = append(poor, q.Chalk)
			}
		}
	}
	sub := Subject{Room: "glue-ups", Part: sp.ID, Marks: []string{g.Copy}}
	tell := func(code string, sev Severity, list []string, text, do, source string) {
		if len(list) > 0 {
			m.glue = append(m.glue, Finding{Code: code, Severity: sev, Subject: sub, Text: fmt.Sprintf(text, g.Name, g.Copy, listMarks(list)), Do: do, Source: source})
		}
	}
	seen := ""
	if len(shown) > 0 {
		seen = fmt.Sprintf(" What shows: %s.", strings.Join(shown, ", "))
	}
	tell("face.poor", Warn, poor, "%s %s: neither face of these pieces is good, and one of them is seen: %s."+seen, "Give them another board, or mend the face before the finish.", "good faces and defects of the boards")
	tell("face.locked", Note, held, "%s %s: these pieces are locked with the poorer face seen: %s."+seen, "Turn them over among the glue-ups, or take their lock off.", "good faces and defects of the boards")
	habit := "%s %s: the growth rings of these pieces curve the same way as the next row's, where the shop lets rows alternate: %s."
	if m.plan.Project.Shop.RingHabit == OneWay {
		habit = "%s %s: the growth rings of these pieces curve against the others, where the shop lays all rows one way: %s."
	}
	tell("rings.against", Note, against, habit, "A good face or a lock keeps them so. Turn them over where a flat panel matters more.", "common practice, no source")
}

// ParseFaces reads what FormatFaces writes: which faces are good (a, b, both,
// none) and how the rings lie while face A is up (bark up, bark down, upright),
// either of them or both. The word bark and capitals do not count.
func ParseFaces(text string) (GoodFaces, Rings, error) {
	good, rings := FacesUnknown, NotMarked
	for _, word := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r == ',' || r == ' ' }) {
		switch {
		case word == "bark":
		case slices.Contains([]GoodFaces{GoodA, GoodB, GoodBoth, GoodNone}, GoodFaces(word)) && good == FacesUnknown:
			good = GoodFaces(word)
		case slices.Contains([]Rings{BarkUp, BarkDown, Upright}, Rings(word)) && rings == NotMarked:
			rings = Rings(word)
		default:
			return FacesUnknown, NotMarked, fmt.Errorf("%q is not read here; write the good face, a, b, both or none, and the rings, bark up, bark down or upright", shortText(word))
		}
	}
	return good, rings, nil
}

// FormatFaces writes what is known of a board's faces and rings.
func FormatFaces(good GoodFaces, rings Rings) string {
	var out []string
	if good != FacesUnknown {
		out = append(out, string(good))
	}
	if text := rings.Said(); text != "" {
		out = append(out, text)
	}
	return strings.Join(out, ", ")
}

// Said is how the rings lie, in words; empty where they are not marked.
func (r Rings) Said() string {
	if r.curved() {
		return "bark " + string(r)
	}
	return string(r)
}

// Lies says in phrases how the piece lies: the face seen and the way its rings
// curve, as far as either is known and matters; those of layers do not.
func (q PanelPiece) Lies(w Way) []string {
	var out []string
	if q.Face != NoFace {
		seen := "face A"
		if q.Face == FaceB {
			seen = "face B"
		}
		if w == FlatPanel {
			seen += " up"
		} else {
			seen += " out"
		}
		out = append(out, seen)
	}
	if q.Poor {
		out = append(out, "poor face")
	}
	switch {
	case q.Rings == NotMarked || w == Laminated:
	case w == FlatPanel && q.Rings == Upright:
		out = append(out, "rings upright")
	case w == FlatPanel:
		out = append(out, q.Rings.Said())
	case q.Rings == BarkUp: // what is up when the strip lies looks to the near edge when it stands
		out = append(out, "bark near")
	case q.Rings == BarkDown:
		out = append(out, "bark far")
	default:
		out = append(out, "rings level")
	}
	return out
}
