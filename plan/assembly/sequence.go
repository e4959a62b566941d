// Package assembly finds the order in which the copies of a piece really can be
// put together: which group of them moves along which axis into which other, in
// stages that the glue's open time and the clamps allow. It also marks the parts
// for it. Whether the bodies fit at all is decided by package solid.
//
// Start at Plan. Check replays a Sequence without trusting how it was found.
package assembly

import (
	"fmt"
	"sort"
	"strings"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// Joint is where bodies A and B are held together: an interlock, or only two
// faces glued to each other.
type Joint struct {
	ID   string
	A, B string
	// Dir is the way B moves into A (as well, A may move the opposite way onto
	// B). None leaves it to the wood: any free way that presses the faces of a
	// glued joint together, any free way at all for a dry one.
	Dir     solid.Direction
	Dry     bool // not glued
	Minutes int  // to spread the glue and bring the joint home
}

// Limits is what one stage may take. The zero value sets no limit.
type Limits struct {
	// OpenMinutes is the glue's open time; the joints of a stage with glue in it
	// may not take longer together. Zero sets no limit.
	OpenMinutes int
	// Clamps there are, and how many a stage with glue in it needs that closes so
	// many joints: never fewer for more. A nil function needs none.
	Clamps    int
	ClampsFor func(joints int) int
}

func (l Limits) free() bool { return l.OpenMinutes <= 0 && l.ClampsFor == nil }

// most is how many of n joints the clamps hold at once.
func (l Limits) most(n int) int {
	if l.ClampsFor == nil {
		return n
	}
	return sort.Search(n, func(i int) bool { return l.ClampsFor(i+1) > l.Clamps })
}

// Move brings one group of bodies to another along one axis.
type Move struct {
	Moving, Into []string // each is one body or what an earlier move put together
	Dir          solid.Direction
	Joints       []string // that close by it, all at once
	// Held is set when the groups do not touch yet: the moving one is held in its
	// place until a later move of the piece catches it.
	Held bool
	// Travel is how far apart the groups are drawn in the exploded view. It says
	// nothing about the wood.
	Travel measure.Length
}

// Stage is one glue-up, or one fitting by hand when Dry. All its moves run along
// one axis, so all clamps pull one way.
type Stage struct {
	Axis    int // 0, 1, 2 for X, Y, Z
	Moves   []Move
	Parts   []string // everything the stage leaves as one
	Joints  []string // that close in it, in the order of closing
	After   []int    // the stages (by place in the sequence) whose results it uses
	Level   int      // 1 for a stage of single bodies; else one more than its latest After
	Minutes int      // of all its joints
	Clamps  int      // it needs
	Dry     bool     // no glue in it
}

// Sequence is an order of assembly. Stages stand after those they need; stages of
// one level do not need each other.
type Sequence struct {
	// DryFit is every move of the stages in their order, to be gone through
	// without glue before any glue is opened, and taken apart backwards.
	DryFit []Move
	Stages []Stage
	// Fewest is set when it is proved that no order within the limits has fewer
	// glue-ups.
	Fewest bool
}

// GlueUps is the number of stages with glue in them.
func (s Sequence) GlueUps() int {
	n := 0
	for _, st := range s.Stages {
		if !st.Dry {
			n++
		}
	}
	return n
}

// Reason says why there is no order.
type Reason string

// The reasons.
const (
	// Interlocked: whichever way any of the bodies moves, another is in its way.
	Interlocked Reason = "interlocked"
	// OverTime: joints that can only close together take longer than the glue
	// stays open. However Bodies are parted, at least that many minutes close at
	// once; Joints are those of one such parting.
	OverTime Reason = "over-time"
	// TooFewClamps: joints that can only close together need more clamps than
	// there are.
	TooFewClamps Reason = "too-few-clamps"
	// Apart: a glued joint without direction joins faces that do not touch.
	Apart Reason = "apart"
	// Unknown: a joint names a body that is not there, or one body twice.
	Unknown Reason = "unknown-body"
	// Repeated: two bodies or two joints have the same name.
	Repeated Reason = "repeated-name"
)

// Blocked is the error of a piece that cannot be assembled as given.
type Blocked struct {
	Reason Reason
	// Bodies that cannot be brought together. When Interlocked they are a least
	// set: without any one of them the others could be.
	Bodies []string
	// Joints to blame. When Interlocked it is a smallest set: were the bodies of
	// these joints free of each other, Bodies could be brought together. There may
	// be other sets of the same size. Of a large knot that would take too long to
	// try out it is a set none of which can be left out.
	Joints []string
	// Pairs of bodies to blame that have no joint.
	Pairs [][2]string
	// Need and Have are minutes when OverTime, clamps when TooFewClamps.
	Need, Have int
	// Unsure is set when OverTime or TooFewClamps was found before everything had
	// been tried: there may be an order after all.
	Unsure bool
}

func (b *Blocked) Error() string {
	const most = 6 // names written out
	list := func(what string, names []string) string {
		more := ""
		if len(names) > most {
			names, more = names[:most], fmt.Sprintf(" and %d more", len(names)-most)
		}
		return what + " " + strings.Join(names, ", ") + more
	}
	switch b.Reason {
	case OverTime:
		if b.Unsure {
			return fmt.Sprintf("%s close at once in every order tried and take %d min, the glue stays open %d min", list("joints", b.Joints), b.Need, b.Have)
		}
		return fmt.Sprintf("%s close at once and take %d min, the glue stays open %d min", list("joints", b.Joints), b.Need, b.Have)
	case TooFewClamps:
		if b.Unsure {
			return fmt.Sprintf("%s close at once in every order tried and need %d clamps, there are %d", list("joints", b.Joints), b.Need, b.Have)
		}
		return fmt.Sprintf("%s close at once and need %d clamps, there are %d", list("joints", b.Joints), b.Need, b.Have)
	case Apart:
		return list("joint", b.Joints) + " is glued but its faces do not touch"
	case Unknown:
		return list("joint", b.Joints) + " needs two bodies of the piece"
	case Repeated:
		return list("name used twice:", append(b.Bodies, b.Joints...))
	}
	text := list("no way to bring together", b.Bodies)
	if len(b.Joints) > 0 {
		text += list("; held by", b.Joints)
	}
	for _, p := range b.Pairs {
		text += "; " + p[0] + " is in the way of " + p[1]
	}
	return text
}
