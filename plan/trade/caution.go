package trade

import "slices"

// CautionLead stands above every list of cautions.
const CautionLead = "General cautions only. The machine's manual, local law and a qualified person come first."

// Caution is the usual warning for a piece of work. Codes never change: steps and
// joints refer to them.
type Caution struct {
	Code   string
	When   string // when it applies
	Text   string
	Source string
}

// Cautions lists them in the order they come up in a job.
var Cautions = []Caution{
	{"pallet-mark", "Taking pallets or crates.", "Leave wood without a readable mark, wood marked MB, and wood with stains, oil, a smell, spilt food or chemicals, mould or a green tint. HT says nothing about what was spilt later.", "ISPM 15 marks, trade pages; the rest " + common},
	{"lead-paint", "Wood with old paint (in the US: before 1978).", "Old paint may hold lead. Test it or leave the wood; never sand, plane or heat it.", "common rule in the US for paint before 1978, trade page"},
	{"metal", "Before any machine touches salvage.", "Pull the nails, then go over every face with a metal detector and a bright light. A hidden nail breaks knives and teeth and can be thrown. Keep an old blade for doubtful wood.", common},
	{"dismantle", "Taking pallets and framing apart.", "Wear gloves, eye protection and stout shoes. Boards under strain spring; nail points stick up. Bend or pull every nail before you put a board down.", common},
	{"eyes-ears", "Every machine.", "Wear eye and ear protection; no gloves, loose sleeves or hanging cords near anything that turns.", common},
	{"kickback", "Ripping at the table saw.", "Use the riving knife, close behind the blade and a little thinner than the kerf, and the guard. Stand out of line with the blade and let nobody stand behind it. Feed the piece past the blade before letting go.", "HSE circular saw guidance: riving knife within 8 mm of the blade"},
	{"push-stick", "The last 300 mm of a rip, and narrow stock.", "Use a push stick of 450 mm or longer for the last 300 mm of the cut; keep hands well away from the blade.", "HSE circular saw guidance"},
	{"crosscut-support", "Crosscutting at the table saw.", "Never guide the end against the rip fence, and never cut freehand: use the mitre gauge or a sled, and a block clipped to the fence well before the blade if you need a stop.", common},
	{"support-long", "Long or wide pieces.", "Support the piece before and behind the machine, so that it can neither tip nor bend off the table.", "HSE circular saw guidance on take-off tables; " + common},
	{"rocking", "A board that rocks, cups or is twisted.", "A piece that rocks on the table can twist into the blade. Joint or plane one face true first, or cut it rough by hand.", common},
	{"dado-guard", "Cutting with a dado stack.", "The usual guard and riving knife come off for this cut: use a fence, hold-downs and push blocks, take shallow cuts, never stand behind it, and put the guard back at once. Some saws and some countries do not allow dado stacks: look in the manual.", "HSE guidance asks to consider a router or spindle for grooves; " + common},
	{"mitre-short", "Short pieces at the mitre saw.", "Clamp short pieces, or cut them from a long one last. Keep your hand out of the no-hands zone of the manual, let the blade stop before you lift it.", common},
	{"mitre-depth-stop", "Repeated cuts at the mitre saw's depth stop.", "Set a straight packing board behind the work so that the blade clears the whole width, hold the work down by a clamp, and try the depth on scrap.", common},
	{"planer-short", "Planing.", "Feed nothing shorter than the manual allows: the rollers must always hold the piece, or it is thrown. The limit differs from one planer to the next (7 in in one manual, 14 in in another).", "two planer manuals"},
	{"planer-thin", "Thin stock at the planer.", "Nothing thinner than the manual allows; carry thin stock on a flat board. Never plane end grain, glued-on grit or wood with metal in it.", "two planer manuals; " + common},
	{"planer-snipe", "Every pass of the planer.", "Leave 2 to 3 in of waste at each end for snipe, and hold long pieces level as they go in and come out.", common},
	{"router-direction", "Routing.", "Move the router against the turn of the bit: left to right along the edge facing you, anticlockwise round the outside, clockwise round an inside. Clamp the work. Take no more than a bit's diameter of depth at a time.", common},
	{"router-breakout", "Routing or sawing across the end grain.", "Rout the ends before the sides, or clamp a waste piece behind, so that the far corner does not break out.", common},
	{"unplug", "Changing a blade, bit or knife.", "Unplug the machine first, and try the switch.", "OSHA 1910.213 on disconnecting; " + common},
	{"dust", "Sawing, planing, and above all sanding.", "Collect the dust at the machine and wear a mask that fits. Oak and beech dust are known to cause cancer, western redcedar dust asthma. Limits in the US: 5 mg/m³ fine dust by OSHA, 1 mg/m³ advised by NIOSH.", "OSHA and NIOSH pages on wood dust"},
	{"ventilation", "Finishing and solvents.", "Air the room, keep flames and sparks away, and wear a mask for solvents where the label says so. Read the label's and the safety sheet's words first.", common},
	{"oily-rags", "Oil, oil-based finish and wax.", "Rags with drying oil heat up by themselves and can burn within hours. Spread them in one layer outdoors until stiff, or keep them under water in a lidded metal can.", "NFPA on oily rags"},
	{"cold-glue", "Gluing in a cold shop.", "Below its lowest temperature glue dries to a white powder and holds little. Warm the room, the wood and the glue, and leave the clamps on longer.", "woodworking magazine; glue maker's guide"},
	{"load", "Giving a piece out of the shop.", "The figures tell how boards compare; they do not prove what it carries. Load it slowly yourself first, and say for what it is meant.", common},
	{"tip-over", "Tall or narrow pieces, drawers, homes with children.", "Give an anchor for the wall with it. Clothes storage of 27 in or more, 30 lb and 3.2 ft³ is under a law of its own in the US.", "16 CFR 1261, read in a secondary copy"},
	{"tired", "The end of the day.", "Leave machine work when you are tired or in a hurry.", common},
}

// CautionByCode gives the caution with that code.
func CautionByCode(code string) (Caution, bool) {
	i := slices.IndexFunc(Cautions, func(c Caution) bool { return c.Code == code })
	if i < 0 {
		return Caution{}, false
	}
	return Cautions[i], true
}
