package joinery

import "fmt"

// explainUse puts the findings about use into words.
func explainUse(f Finding, l, w func(string) string, t Text) Text {
	one := func(name string) string { return fmt.Sprintf("%.1f", f.Numbers[name]) }
	say := func(what, do string) { t.What, t.Do = what, do }
	switch f.Code {
	case SagOver:
		years := ""
		if later := f.Lengths["later"]; later > f.Lengths["first"] {
			years = " and about " + fine(later) + " after some years"
		}
		say("Over a span of "+l("span")+" it sags "+fine(f.Lengths["first"])+" when loaded"+years+"; "+fine(f.Lengths["limit"])+" is a fair limit for the first.",
			"Make it thicker or shorter, or give it a rail below. This tells how boards compare; it is no proof of strength.")
	case StressHigh:
		say("The load bends it to "+fmt.Sprintf("%.0f", f.Numbers["percent"])+" % of the strength of clear, straight-grained wood; salvage with knots and holes is weaker.",
			"Make it thicker or the span shorter, and don't let anyone stand on it.")
	case PanelHeld:
		say("The panel is "+l("width")+" wide and changes by about "+fine(f.Lengths["moves"])+" between the dry and the damp season, but is held across its width: it will crack or push the joint apart.",
			"Fasten it with buttons or slotted holes, fixed in the middle only.")
	case PanelMoves:
		say("The panel's width of "+l("width")+" changes by about "+fine(f.Lengths["moves"])+" between the dry and the damp season.",
			"Leave "+fine(f.Lengths["each"])+" of play on each side of its middle.")
	case TipsByPush:
		say("A push of about "+weight(f.Numbers["kg"])+" at the top, "+l("height")+" up, tips it.", "Widen its stand, make it lower, or fix it to the wall.")
	case TipsByLoad:
		say("About "+weight(f.Numbers["kg"])+" on its edge tips it.", "Bring the legs further out, or make the overhang less.")
	case TipsBySlope:
		say("It tips on a slope of "+one("degrees")+" degrees.", "Widen its stand, or fix it to the wall.")
	case NoFooting:
		say("Its feet do not enclose any area, so it cannot stand.", "Check the heights of the legs: they must end on the floor.")
	case KneeRoomSmall:
		say("The room for knees is "+l("room")+"; "+l("least")+" is the usual least.", "Raise the rail, or make it narrower.")
	case HeightUnusual:
		say("It is "+l("height")+" high; usual for this kind ("+w("kind")+") is "+l("low")+" to "+l("high")+".", "Check it against what it will stand beside.")
	case SpeciesAssumed:
		say(w("assumption"), "Give the species if you know it.")
	default:
		say(Codes[f.Code].Meaning, "")
	}
	return t
}
