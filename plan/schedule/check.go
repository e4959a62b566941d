package schedule

import (
	"fmt"
	"slices"
)

// Rule names what an order or a timeline breaks.
type Rule string

const (
	RuleMissing  Rule = "missing"  // a step is not in the order
	RuleUnknown  Rule = "unknown"  // a step is not in the problem
	RuleTwice    Rule = "twice"    // a step stands twice
	RuleBefore   Rule = "before"   // a step comes before one it needs
	RuleLock     Rule = "lock"     // something stands between two locked steps
	RulePinned   Rule = "pinned"   // the fixed order is not kept
	RuleHours    Rule = "hours"    // work outside the shop's hours
	RuleOverlap  Rule = "overlap"  // two things at once for one pair of hands
	RuleWait     Rule = "wait"     // work before a wait is over
	RuleWhole    Rule = "whole"    // a step that must not be broken off is broken off
	RuleTime     Rule = "time"     // a step gets more or less time than it takes
	RuleSetup    Rule = "setup"    // work at a machine that is not set up for it
	RuleSequence Rule = "sequence" // the dates and the order disagree
)

// Violation is one broken rule.
type Violation struct {
	Rule  Rule
	Step  string
	Other string // the other step concerned, if any
}

func (v Violation) String() string {
	if v.Other == "" {
		return fmt.Sprintf("%s: %s", v.Rule, v.Step)
	}
	return fmt.Sprintf("%s: %s (%s)", v.Rule, v.Step, v.Other)
}

// CheckOrder says what is wrong with an order of a problem's operations; an
// empty answer means that it is lawful. It shares no code with the search.
func CheckOrder(p Problem, order []string) []Violation {
	var out []Violation
	at := map[string]int{}
	known := map[string]bool{}
	for _, op := range p.Operations {
		known[op.ID] = true
	}
	for i, id := range order {
		if !known[id] {
			out = append(out, Violation{RuleUnknown, id, ""})
		}
		if _, dup := at[id]; dup {
			out = append(out, Violation{RuleTwice, id, ""})
		}
		at[id] = i
	}
	for _, op := range p.Operations {
		i, ok := at[op.ID]
		if !ok {
			out = append(out, Violation{RuleMissing, op.ID, ""})
			continue
		}
		for _, id := range slices.Concat(op.After, op.Then) {
			if j, ok := at[id]; !ok || j >= i {
				out = append(out, Violation{RuleBefore, op.ID, id})
			}
		}
		if op.RightAfter != "" && (i == 0 || order[i-1] != op.RightAfter) {
			out = append(out, Violation{RuleLock, op.ID, op.RightAfter})
		}
	}
	for k := 1; k < len(p.Pinned); k++ {
		if at[p.Pinned[k-1]] >= at[p.Pinned[k]] {
			out = append(out, Violation{RulePinned, p.Pinned[k], p.Pinned[k-1]})
		}
	}
	return out
}
