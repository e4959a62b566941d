package wood

import (
	"slices"
	"strings"
)

// Match is the species taken for what the maker wrote. Assumption is empty when
// the name says exactly that species; otherwise it is a sentence telling what
// was taken and why, to be shown beside every figure that rests on it.
type Match struct {
	Species    Species
	Assumption string
}

// Unknown is the species reckoned with where the maker gives none: softwood
// framing is the commonest salvage, and lodgepole is the weakest of its usual
// species, so that sag is not understated. Common practice, no source.
const Unknown = "pine_lodgepole"

// alias is a maker's name that stands for one species of several it could be.
type alias struct{ name, id, why string }

// The choices below are ours (common practice, no source): of the timbers sold
// under the name, the one most often met in salvage, or the weaker.
var aliases = []alias{
	{"", Unknown, "No species is given: reckoned as lodgepole pine, the weakest of the common framing species."},
	{"unknown", Unknown, "Unknown species: reckoned as lodgepole pine, the weakest of the common framing species."},
	{"softwood", Unknown, "Softwood of unknown species: reckoned as lodgepole pine, a common framing species."},
	{"pallet softwood", "pine_loblolly", "Softwood pallet boards are often southern pine: reckoned as loblolly."},
	{"pallet", Unknown, "Pallet wood of unknown species: reckoned as lodgepole pine."},
	{"pallet wood", Unknown, "Pallet wood of unknown species: reckoned as lodgepole pine."},
	{"hardwood", "oak_northern_red", "Hardwood of unknown species: reckoned as northern red oak, heavy and moving much."},
	{"pallet hardwood", "oak_northern_red", "Hardwood pallet boards are mixed: reckoned as northern red oak, heavy and moving much."},
	{"mixed hardwood", "oak_northern_red", "Mixed hardwood: reckoned as northern red oak, heavy and moving much."},
	{"pine", "pine_ponderosa", "Several pines are sold as pine: reckoned as ponderosa, between the white and the yellow pines. If it is heavy with broad dark rings, write southern pine."},
	{"white pine", "pine_eastern_white", "White pine: reckoned as eastern white pine."},
	{"yellow pine", "pine_loblolly", "Yellow pine: reckoned as loblolly, the commonest southern pine."},
	{"southern pine", "pine_loblolly", "Southern pine is sold as a group: reckoned as loblolly, the commonest of it."},
	{"southern yellow pine", "pine_loblolly", "Southern pine is sold as a group: reckoned as loblolly, the commonest of it."},
	{"syp", "pine_loblolly", "Southern pine is sold as a group: reckoned as loblolly, the commonest of it."},
	{"heart pine", "pine_longleaf", "Heart pine: reckoned as longleaf pine."},
	{"scots pine", "pine_red", "No figures for Scots pine are held: reckoned as red pine, of nearly the same weight."},
	{"red deal", "pine_red", "No figures for Scots pine are held: reckoned as red pine, of nearly the same weight."},
	{"radiata pine", "pine_ponderosa", "No figures for radiata pine are held: reckoned as ponderosa pine."},
	{"spf", Unknown, "Spruce-pine-fir is sold as a group: reckoned as lodgepole pine, common in it and not the stiffest."},
	{"s p f", Unknown, "Spruce-pine-fir is sold as a group: reckoned as lodgepole pine, common in it and not the stiffest."},
	{"spruce pine fir", Unknown, "Spruce-pine-fir is sold as a group: reckoned as lodgepole pine, common in it and not the stiffest."},
	{"whitewood", Unknown, "Whitewood is a trade name for several softwoods: reckoned as lodgepole pine."},
	{"framing", Unknown, "Framing timber of unknown species: reckoned as lodgepole pine."},
	{"stud", Unknown, "Framing timber of unknown species: reckoned as lodgepole pine."},
	{"2x4", Unknown, "Framing timber of unknown species: reckoned as lodgepole pine."},
	{"spruce", "spruce_engelmann", "Several spruces are sold as spruce: reckoned as Engelmann, the least stiff."},
	{"white deal", "spruce_white", "No figures for European spruce are held: reckoned as white spruce."},
	{"european spruce", "spruce_white", "No figures for European spruce are held: reckoned as white spruce."},
	{"norway spruce", "spruce_white", "No figures for European spruce are held: reckoned as white spruce."},
	{"fir", "douglas_fir_coast", "Fir: reckoned as Douglas-fir. If it is pale, light and soft, write white fir."},
	{"douglas fir", "douglas_fir_coast", "Douglas-fir: reckoned as coast grown."},
	{"doug fir", "douglas_fir_coast", "Douglas-fir: reckoned as coast grown."},
	{"hem fir", "fir_white", "Hem-fir is sold as a group: reckoned as white fir, the least stiff of it."},
	{"hemlock", "hemlock_western", "Hemlock: reckoned as western hemlock."},
	{"larch", "larch_western", "Larch: reckoned as western larch."},
	{"cedar", "cedar_western_red", "Cedar: reckoned as western redcedar."},
	{"red cedar", "cedar_western_red", "Red cedar: reckoned as western redcedar."},
	{"white cedar", "cedar_northern_white", "White cedar: reckoned as northern white cedar."},
	{"redwood", "redwood_young", "Redwood: reckoned as young-growth."},
	{"cypress", "baldcypress", "Cypress: reckoned as baldcypress."},
	{"oak", "oak_northern_red", "Oak: reckoned as northern red oak. Write white oak if it is."},
	{"red oak", "oak_northern_red", "Red oak is sold as a group: reckoned as northern red oak."},
	{"european oak", "oak_white", "No figures for European oak are held: reckoned as white oak."},
	{"maple", "maple_red", "Maple: reckoned as red (soft) maple. Write hard maple if it is."},
	{"soft maple", "maple_red", "Soft maple is sold as a group: reckoned as red maple."},
	{"hard maple", "maple_sugar", "Hard maple: reckoned as sugar maple."},
	{"ash", "ash_white", "Ash: reckoned as white ash."},
	{"birch", "birch_paper", "Birch: reckoned as paper birch, the less stiff."},
	{"beech", "beech_american", "Beech: reckoned as American beech."},
	{"european beech", "beech_american", "No figures for European beech are held: reckoned as American beech."},
	{"alder", "alder_red", "Alder: reckoned as red alder."},
	{"aspen", "aspen_quaking", "Aspen: reckoned as quaking aspen."},
	{"cottonwood", "cottonwood_eastern", "Cottonwood: reckoned as eastern cottonwood."},
	{"poplar", "yellow_poplar", "Poplar: reckoned as yellow-poplar (tulipwood)."},
	{"tulipwood", "yellow_poplar", ""},
	{"cherry", "cherry_black", "Cherry: reckoned as black cherry."},
	{"walnut", "walnut_black", "Walnut: reckoned as black walnut."},
	{"gum", "sweetgum", "Gum: reckoned as sweetgum."},
	{"tupelo", "tupelo_black", "Tupelo: reckoned as black tupelo."},
	{"lime", "basswood", "No figures for European lime are held: reckoned as basswood."},
}

// Find gives the species for an id, a Handbook name or a name makers use; case,
// hyphens and word order do not matter. ok is false for a name it cannot place,
// and the match is then empty: ask, or use Reckon.
func Find(name string) (m Match, ok bool) {
	if s, ok := ByID(name); ok {
		return Match{Species: s}, true
	}
	words := nameWords(name)
	plain := strings.Join(words, " ")
	for _, a := range aliases {
		if a.name == plain {
			s, ok := ByID(a.id)
			return Match{s, a.why}, ok
		}
	}
	if len(words) == 0 {
		return Match{}, false
	}
	var found []Species
	for _, s := range table {
		label := nameWords(s.Name + " " + s.ID)
		if !slices.ContainsFunc(words, func(w string) bool { return !slices.Contains(label, w) }) {
			found = append(found, s)
		}
	}
	switch len(found) {
	case 0:
		return Match{}, false
	case 1:
		return Match{Species: found[0]}, true
	}
	return Match{found[0], "Several species answer to " + plain + ": reckoned as " + found[0].Name + "."}, true
}

// Reckon is Find for a plan that must go on: a name it cannot place is reckoned
// as the Unknown species, and the assumption says so.
func Reckon(name string) Match {
	if m, ok := Find(name); ok {
		return m
	}
	s, _ := ByID(Unknown)
	return Match{s, "No figures are held for " + strings.TrimSpace(name) + ": reckoned as " + s.Name + "."}
}

// Names lists the species ids and the aliases Find knows, for a list to choose from.
func Names() []string {
	var out []string
	for _, s := range table {
		out = append(out, s.ID)
	}
	for _, a := range aliases {
		if a.name != "" {
			out = append(out, a.name)
		}
	}
	slices.Sort(out)
	return out
}

// nameWords splits a name into lower-case words of letters and digits.
func nameWords(name string) []string {
	return strings.FieldsFunc(strings.ToLower(name), func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9')
	})
}
