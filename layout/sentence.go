package layout

import (
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"pilewright/plan"
)

// sentence says exactly what is proved of a cutting plan, no more.
func sentence(c *plan.Cuts) string {
	var out []string
	above := true // every level above is proved
	for _, l := range c.Levels {
		text := levelSentence(l, above)
		if l.Kind == plan.LevelMade && !l.Value.IsZero() && slices.ContainsFunc(c.Short, func(s plan.Short) bool { return s.Width > 0 }) {
			// The level counts steps of width beside blanks.
			text = "A plan that makes more is not ruled out."
			if l.Proved {
				text = "No plan makes more (proved)."
			}
		}
		if text != "" {
			out = append(out, text)
		}
		above = above && l.Proved
	}
	if len(out) == 0 {
		return ""
	}
	return strings.Join(out, " ")
}

// levelSentence says what one level comes to. Below an unproved level a proof
// speaks only of plans that keep the levels above as they are.
func levelSentence(l plan.Level, above bool) string {
	keep := ""
	if !above {
		keep = "at that, "
	}
	switch l.Kind {
	case plan.LevelMade:
		switch {
		case l.Value.IsZero():
			return "Every blank is made."
		case l.Proved:
			if l.Value.Equal(decimal.NewFromInt(1)) {
				return "One blank can't be made: proved, no plan makes more."
			}
			return fmt.Sprintf("%s blanks can't be made: proved, no plan makes more.", l.Value)
		case l.Value.Equal(decimal.NewFromInt(1)):
			return "One blank is missing; that every blank can be made is not ruled out."
		}
		return fmt.Sprintf("%s blanks are missing; at least %s are missing in any plan.", l.Value, l.Bound)
	case plan.LevelMoney:
		switch {
		case l.Value.IsZero():
			return ""
		case l.Proved:
			return upper(keep + "no plan costs less (proved).")
		}
		return upper(keep + unproved(l, "money"))
	case plan.LevelWood:
		if l.Value.IsZero() { // nothing is cut
			return ""
		}
		if l.Proved {
			return upper(keep + "no plan opens less wood (proved).")
		}
		return upper(keep + unproved(l, "wood"))
	case plan.LevelBoards:
		if l.Value.LessThanOrEqual(decimal.NewFromInt(1)) { // plain to see
			return ""
		}
		if l.Proved {
			return upper(fmt.Sprintf("%sno such plan opens fewer than %s boards (proved).", keep, l.Value))
		}
		if l.Bound.IsZero() {
			return ""
		}
		return upper(fmt.Sprintf("%sfewest boards between %s and %s.", keep, l.Bound, l.Value))
	case plan.LevelLeftovers:
		switch gap := gapOf(l); {
		case l.Value.IsZero():
			return ""
		case l.Proved:
			return upper(keep + "no such plan leaves more useful leftovers (proved).")
		case gap.GreaterThan(mostGap):
			return upper(keep + "more useful leftovers are not ruled out.")
		default:
			return upper(keep + "better leftovers could save at most " + gap.RoundCeil(2).String() + " % of the use that the cuts take from the pile.")
		}
	case plan.LevelSetups:
		switch {
		case l.Value.LessThanOrEqual(decimal.NewFromInt(1)): // plain to see
			return ""
		case l.Proved:
			return upper(fmt.Sprintf("%sno such plan does with fewer than %s set-ups of the saws (proved).", keep, l.Value))
		case gapOf(l).GreaterThan(mostGap):
			return ""
		}
		return fmt.Sprintf("%s set-ups of the saws; at least %s are needed.", l.Value, l.Bound)
	case plan.LevelCuts:
		switch {
		case l.Value.LessThanOrEqual(decimal.NewFromInt(1)):
			return ""
		case l.Proved:
			return upper(fmt.Sprintf("%sno such plan does with fewer than %s cuts (proved).", keep, l.Value))
		case gapOf(l).GreaterThan(mostGap):
			return ""
		}
		return fmt.Sprintf("%s cuts; at least %s are needed.", l.Value, l.Bound)
	}
	return ""
}

func upper(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// unproved says how far a level may be from the best; a bound that rules out
// little is no proof worth a figure.
func unproved(l plan.Level, what string) string {
	gap := gapOf(l)
	if gap.GreaterThan(mostGap) {
		return "a plan with less " + what + " is not ruled out."
	}
	return "at most " + gap.RoundCeil(2).String() + " % of the " + what + " could be saved."
}

// gapOf is how far a level may be from the best, in percent.
func gapOf(l plan.Level) decimal.Decimal {
	if l.Value.IsZero() {
		return decimal.Zero
	}
	return l.Value.Sub(l.Bound).DivRound(l.Value, 6).Shift(2)
}

// mostGap is the greatest share, in percent, that is told as what could be saved.
var mostGap = decimal.NewFromInt(30)
