package joinery

import (
	"fmt"
	"strings"

	"pilewright/plan/measure"
)

// Text is a finding in the maker's words.
type Text struct {
	What   string // what is so
	Do     string // what to do about it; empty where nothing need be done
	Source string
}

// Explain puts a finding into words. show writes a length in the maker's units.
func Explain(f Finding, show func(measure.Length) string) Text {
	l := func(name string) string { return show(f.Lengths[name]) }
	w := func(name string) string { return f.Words[name] }
	n := func(name string) string { return fmt.Sprintf("%.0f", f.Numbers[name]) }
	pull := func() string { return weight(f.Numbers["newtons"] / gravity) }
	t := Text{Source: f.Source}
	say := func(what, do string) { t.What, t.Do = what, do }
	switch f.Code {
	case BadMember:
		say("A part of this joint has no size.", "Check its length, width and thickness.")
	case NegativeSize:
		say("A size of this joint is below zero.", "Write zero to have it sized by proportion.")
	case UnknownKind:
		say("The joint "+w("kind")+" is not known.", "Choose another kind of joint.")
	case MembersApart:
		say("The two parts do not meet: "+l("gap")+" lies between them along "+w("axis")+".",
			"Move the entering part by "+l("gap")+" ("+w("move")+") or change a length, so that its end lies on the other.")
	case EdgeContact:
		say("The two parts touch only along an edge.", "Move one of them so that a face lies on a face.")
	case MembersOverlap:
		say("The two parts overlap by "+l("depth")+" along "+w("axis")+".",
			"Shorten or move the entering part by "+l("depth")+": it ends at its shoulder, and the tenon is added to it.")
	case NeedsOverlap:
		say("The two parts only touch; a "+plain(w("kind"))+" needs them in the same place.",
			"Move one of them until they cross, "+l("thickness")+" for parts level with each other.")
	case NoWayIn:
		say("The entering part lies inside the other and has no way in.", "Let it stick out on one side.")
	case TenonThick:
		say("The tenon is "+l("tenon")+" thick in stock of "+l("stock")+"; a third is "+l("third")+".",
			"Make it nearer to a third, unless it goes into a stout leg.")
	case TenonWide:
		say("The tenon is "+l("width")+" wide; at this thickness "+l("limit")+" is the most.", "Divide it in two, or make it narrower with a haunch.")
	case TenonFlat:
		say("The board of "+l("board")+" lies flat to the other part's grain, so the tenon's broad sides meet end grain.",
			"Use dowels, or several small tenons, and don't count on the glue alone.")
	case TenonAcrossGrain:
		say("This tenon would be cut on the side of its part, with the grain running across it: it breaks off.", "Use a housing or dowels, or turn the part's grain.")
	case TenonOutside:
		say("The tenon or mortise does not fit inside its part by "+l("beyond")+".", "Make it smaller or move it back to the middle.")
	case NoShoulder:
		say("The tenon has no shoulder: the mortise's edges will show.", "Leave a small shoulder all round if it is seen.")
	case NoHaunch:
		say("There is no shoulder for a haunch to fill.", "Make the tenon narrower, or leave the haunch out.")
	case MortiseInEnd:
		say("The mortise is cut into end grain: it splits easily and holds little glue.", "Let the other part receive the tenon.")
	case MortiseNearEnd:
		say("Only "+l("end")+" of wood is left between the cut and the end.",
			"Leave the part a horn of 25 to 35 mm while you cut and glue, then saw it off; or move the cut inwards to "+l("least")+".")
	case MortiseComesThrough:
		say("The mortise is "+l("depth")+" deep and the stock only "+l("stock")+".", "Make it shallower, or choose a through tenon.")
	case MortiseShallow:
		say("The mortise is "+l("depth")+" deep; for its width "+l("least")+" is the usual least.", "Fine for light loads. A thinner tenon or a through tenon holds better.")
	case MortiseDeep:
		say("The mortise is "+l("depth")+" deep; more than "+l("most")+" adds little.", "Make it shallower if it is hard to cut.")
	case WallThin:
		say("The wood beside the cut is only "+l("wall")+" thick.", "Keep at least "+l("least")+": make the cut narrower or move it.")
	case BottomThin:
		say("Only "+l("wall")+" of wood is left behind the cut.", "Keep at least "+l("least")+", or cut right through.")
	case RoundMortise:
		say("The router leaves this mortise round at its ends: the slot is "+l("slot")+" long for a square tenon of "+l("tenon")+".",
			"Round the tenon's edges, or chop the ends square and cut the slot "+l("bit")+" shorter.")
	case LooseFit:
		say("The joint is "+l("gap")+" loose; over "+l("most")+" PVA glue is weak.", "Make it tighter, or glue on a shaving.")
	case HousingDeep:
		say("The cut is "+l("depth")+" deep in stock of "+l("stock")+".", "Keep it to "+l("third")+", a third of the thickness.")
	case DepthDisagrees:
		say("The depth is written as "+l("asked")+", but the parts overlap by "+l("modelled")+", which was taken.", "Change one of the two, or clear the depth.")
	case RebateClosed:
		say("This rebate has wood on both sides, so it is a housing.", "Move the part to the edge, or call it a housing.")
	case LapDeep:
		say("The lap takes "+l("depth")+" from "+named(w("member"))+"; half of it is "+l("half")+".", "Share the depth evenly.")
	case LapTooDeep:
		say("The lap of "+l("depth")+" takes everything where the parts cross.", "Half of it is "+l("half")+".")
	case LapBuried:
		say("One part lies inside the other along "+w("axis")+" and cannot be laid in.", "Bring their faces level, or let one stand out.")
	case BridleClosed:
		say("No end lies in this joint, so there is nothing to fork.", "End one part here, or choose a half-lap.")
	case EndGrainOnly:
		if w("kind") == string(Housing) {
			say("This housing glues end grain only: it carries weight, but the glue will not keep it from pulling out.", "Let something else hold the sides together: a back, a rail, screws.")
			break
		}
		say("This "+plain(w("kind"))+" joint glues end grain only, which holds little.", "Add dowels, screws or a tenon, or don't count on it.")
	case CrossGrain:
		say("A glued face "+l("width")+" wide has its grains crossing; that width of "+named(w("member"))+" changes by about "+fine(f.Lengths["moves"])+" over a year.",
			"Glue at most "+l("limit")+" of it, in the middle, and leave the rest free to move.")
	case GlueJointDry:
		say("This joint holds by glue alone, but is marked as dry.", "Glue it, or choose a joint that holds without.")
	case DowelThick:
		say("The dowel of "+l("dowel")+" is thick for stock of "+l("stock")+".", "Keep it to "+l("half")+" or less.")
	case DowelThin:
		say("The dowel of "+l("dowel")+" is thin for stock of "+l("stock")+".", "A third is "+l("third")+"; or add another dowel.")
	case DowelShort:
		say("The dowel holds over "+l("depth")+" only.", "Give it "+l("least")+" or more on each side, or use a thinner dowel.")
	case HoleComesThrough:
		say("The hole of "+l("depth")+" comes out of "+named(w("member"))+", which is "+l("stock")+" deep there.", "Make it shorter.")
	case OneHole:
		say("A single fastening lets the joint turn.", "Make room for two, or add a glue block.")
	case HolesOutside:
		say("The row of holes leaves the face where the parts meet by "+l("beyond")+".", "Move it back, or use thinner or fewer ones.")
	case HolesClose:
		say("The holes are "+l("apart")+" apart; "+l("least")+" is the least.", "Use fewer or thinner ones.")
	case ScrewInEnd:
		say("The screw holds in the end grain of "+named(w("member"))+": it gives way at about "+pull()+", three quarters of its hold in side grain, and works loose.",
			"Use dowels or a tenon, or let the screw cross a dowel set in the part.")
	case ScrewThick:
		say("A screw of "+l("screw")+" in stock of "+l("stock")+" will split it.", "Take a thinner screw and drill the pilot.")
	case ScrewShort:
		say("The thread holds over "+l("thread")+" only.", "Take a longer screw where the wood is thick enough ("+l("least")+" of thread), else more of them.")
	case ScrewTooLong:
		say("The screw would have to pass "+l("through")+" of "+named(w("member"))+"; "+l("most")+" is about the most.", "Turn the joint round, or use dowels.")
	case ScrewHoles:
		gauge := "Screw "
		if n("gauge") != "0" {
			gauge = "Screw no. " + n("gauge") + ", "
		}
		say(gauge+l("length")+" long: pilot hole "+drillSize(f.Lengths["pilot"])+", clearance hole "+drillSize(f.Lengths["shank"])+". Pulled straight out, one gives way at about "+pull()+".",
			"Try the pilot on scrap first, and count on a fraction of that pull.")
	case CutterMissing:
		say("The shop has no "+w("tool")+" of "+l("size")+".", "Choose a size you have, or add the tool to the shop.")
	case CutterPasses:
		say("The cut is "+l("size")+" wide and the nearest bit "+l("bit")+".", "Cut it in "+n("passes")+" passes, or choose the bit's size.")
	case CutterShort:
		say("The bit of "+l("bit")+" cuts "+l("cut")+" deep and "+l("depth")+" is needed.", "Make the cut shallower, take a longer bit, or finish with a chisel.")
	case TenonsMeet:
		do := "Mitre both tenon ends at 45°, or shorten the tenon of " + w("first") + " by " + l("first") + " or that of " + w("second") + " by " + l("second") + "."
		if w("way") == "opposite" {
			do = "Shorten one of them by " + l("first") + ", or share that between both."
		}
		if w("way") == "same" {
			do = "Move one of the parts or make a tenon narrower."
		}
		say("The tenons of "+w("first")+" and "+w("second")+" meet inside the part.", do)
	case HolesMeet:
		say("The holes of "+w("first")+" and "+w("second")+" run into each other inside the part.", "Move one of the two rows by "+l("shift")+" or more along the part, so that they pass.")
	case MortisesMeet:
		do := "Nothing need be done as long as the tenons stay clear; glue may run from one to the other."
		if f.Severity > Note {
			do = "Move one of them, or make one shallower."
		}
		say("The cuts of "+w("first")+" and "+w("second")+" break into each other by "+l("over")+".", do)
	case MortisesClose:
		say("Only "+l("wall")+" of wood is left between the cuts of "+w("first")+" and "+w("second")+".", "Leave "+l("least")+" or more, or let them meet on purpose.")
	default:
		return explainUse(f, l, w, t)
	}
	return t
}

// fine writes a small reckoned size, too small for the ruler's steps, in both units.
func fine(l measure.Length) string {
	mm := millimetres(l)
	return fmt.Sprintf("%.1f mm (%.2f in)", mm, mm/25.4)
}

// drillSize writes a drill's size: the fraction of an inch where it is one, else in
// millimetres.
func drillSize(l measure.Length) string {
	n, d := l/measure.SixtyFourth, measure.Length(64)
	if n <= 0 || n >= d || l%measure.SixtyFourth != 0 {
		return fmt.Sprintf("%.1f mm", millimetres(l))
	}
	for n%2 == 0 {
		n, d = n/2, d/2
	}
	return fmt.Sprintf("%d/%d in", n, d)
}

// weight writes a weight in both the maker's units.
func weight(kg float64) string { return fmt.Sprintf("%.0f kg (%.0f lb)", kg, kg/0.45359237) }

// plain turns a joint's name into words.
func plain(kind string) string { return strings.ReplaceAll(kind, "-", " ") }

func named(member string) string {
	if member == "" {
		return "the part"
	}
	return member
}
