package locale

import (
	"strings"

	"fyne.io/fyne/v2/lang"

	"pilewright/assets"
	"pilewright/plan/words"
)

// said are the sentences of the plan in the language in use; nil is English.
var said *words.Language

// Plan is the language in which plans and build sheets are to speak.
func Plan() *words.Language { return said }

// Say gives a sentence of the plan in the language in use.
func Say(text string) string { return said.Say(text) }

// setSaid reads the plan's sentences of a language in a region.
func setSaid(spoken, region string) error {
	said = nil
	if spoken == "en" {
		return nil
	}
	data, err := assets.Words.ReadFile("words/" + spoken + ".json")
	if err != nil {
		return err
	}
	tag := spoken
	if region != "" {
		tag += "-" + region
	}
	said, err = words.Read(data, tag)
	return err
}

// Word gives a word the plan keeps as an identity, such as the kind of a defect
// or of a machine, for reading. ID takes it back.
func Word(id string) string {
	if id == "" {
		return ""
	}
	return lang.X("word."+id, Say(id))
}

// WordsOf is Word of each.
func WordsOf[T ~string](ids ...T) []string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = Word(string(id))
	}
	return out
}

// ID is the identity among ids that Word writes as text; where there is none, it
// is the text itself.
func ID[T ~string](text string, ids ...T) T {
	for _, id := range ids {
		if strings.EqualFold(Word(string(id)), text) {
			return id
		}
	}
	return T(text)
}

// Unit is what a rate counts, such as board or metre, for reading.
func Unit(id string) string { return lang.X("unit."+id, id) }

// identities are those that Word is asked for.
var identities = []string{
	"pallet", "crate", "framing", "bought", "leftover", "other", // lots
	"kept", "cut", "gone", "board", "sheet", "sheet, no grain", "split", "crack", "knot", "nail", "wane", "stain", // boards
	"table-saw", "mitre-saw", "planer", "jointer", "router", "drill", "sander", "bench", "crosscut", "rip", "both", "dado", "chisel", // tools
	"show", "hidden", "solid", "laminated", "flat", "mixed", "on-edge", "top", "shelf", "slat", "leg", "rail", "side", // parts
	"collect", "prepare", "mill", "joinery", "glue-up", "assemble", "sand", "finish", "deliver", // phases
	"load", "take-apart", "pull-nails", "trim-end", "joint", "plane", "set-up", "mark-out", "tenon", "mortise", "housing", "dowel", "dry-fit", "clamp", "flatten", "repair", "chamfer", "hardware", "coat", // rates
	"alternate", "one-way", // growth rings of rows
	"wood", "glue", "sandpaper", "tool", "travel", // expenses
	"not priced", "below fees", "loss", "breaks even", "earns", // sales
	"whole", "ends in 0 or 5", "ends in 0", "ends in 5", "ends in 9", "ends in .99", // prices to ask
	"blanks left out", "boards kept whole that are cut", "money", "wood opened", "boards opened", "length opened", "use taken from the pile", "set-ups", "cuts", // aims of the cuts
	"pva-yellow", "pva-white", "pva-d3", "polyurethane", "epoxy", "hide-liquid", // glues
	"poly-oil", "poly-water", "poly-wipe", "oil", "oil-wax", "shellac", "wax", "paint", // finishes
}

// units are those that Unit is asked for.
var units = []string{"load", "board", "end", "metre", "metre of pass", "cut", "change", "joint", "metre of joint", "clamp", "m²", "part", "m² and grit", "fitting", "trip"}

// StartName is the name of a starting point: its own where the maker made it.
func StartName(id, name string) string { return lang.X("start."+id, name) }

// StartNote is what is told of a starting point.
func StartNote(id, note string) string {
	if note == "" {
		return ""
	}
	return lang.X("start."+id+".note", note)
}

// starts are the starting points that ship with the program.
var starts = []string{"table", "bench", "stool", "shelf", "crate"}
