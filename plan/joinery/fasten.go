package joinery

import (
	"slices"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
	"pilewright/plan/wood"
)

// Screw is what to buy and to drill for a screwed joint.
type Screw struct {
	IntoA    bool           // the thread holds in A and the head lies on B; else the other way
	Gauge    int            // the trade's number; 0 where the diameter is none of its sizes
	Diameter measure.Length // of the shank
	Length   measure.Length
	Pilot    measure.Length // in the member that holds the thread
	Shank    measure.Length // clearance hole in the other
	HoldsN   float64        // ultimate straight pull of one, newtons; a joint may carry a fraction of it
}

// dowels bores both members from the face where they meet.
func (j *joint) dowels() bool {
	k := j.meet.Axis
	long, short := j.rowAxes(k)
	stock := j.patchSize(short)
	if j.s.Thickness == 0 {
		got, ok := closest(stock*3/8, j.tools.Drills) // between the third and the half of the rule
		if !ok {
			got = nearest(stock*3/8, j.tools.step())
		}
		j.s.Thickness = got
	}
	d := j.s.Thickness
	if d >= stock {
		j.find(found(DowelThick, Stop, lengths{"dowel": d, "stock": stock, "half": stock / 2}))
		return false
	}
	if 2*d > stock {
		j.find(found(DowelThick, Warn, lengths{"dowel": d, "stock": stock, "half": stock / 2}))
	} else if 3*d < stock-measure.Inch/16 {
		j.find(found(DowelThin, Note, lengths{"dowel": d, "stock": stock, "third": stock / 3}))
	}
	length := measure.Length(dowelLength)
	if stock >= measure.Inch {
		length = dowelLong
	}
	inA := j.s.Depth
	if inA == 0 {
		inA = down(min(length/2, j.a.extent(k)-wallBehind-dowelDeeper), j.tools.step())
	}
	if inA <= 0 || inA+dowelDeeper >= j.a.extent(k) {
		j.find(found(HoleComesThrough, Stop, lengths{"depth": inA + dowelDeeper, "stock": j.a.extent(k)}).word("member", j.a.Name))
		return false
	}
	inB := down(min(max(length-inA, length/2), j.b.extent(k)-wallBehind-dowelDeeper), j.tools.step())
	if inB <= 0 || inB+dowelDeeper >= j.b.extent(k) {
		j.find(found(HoleComesThrough, Stop, lengths{"depth": inB + dowelDeeper, "stock": j.b.extent(k)}).word("member", j.b.Name))
		return false
	}
	j.s.Depth = inA
	if inA < 3*d/2 || inB < 3*d/2 {
		j.find(found(DowelShort, Warn, lengths{"depth": min(inA, inB), "least": 3 * d / 2}))
	}
	if behind := j.a.extent(k) - inA - dowelDeeper; behind < wallBehind {
		j.find(found(BottomThin, Warn, lengths{"wall": behind, "least": wallBehind}))
	}
	if !j.bore(long, short, dowelPitch, d, d, inA+dowelDeeper, inB+dowelDeeper) {
		return false
	}
	if len(j.tools.Drills) > 0 && !slices.Contains(j.tools.Drills, d) {
		j.find(found(CutterMissing, Warn, lengths{"size": d}).word("tool", "drill"))
	}
	j.methodDrill(d, inA+dowelDeeper)
	return true
}

// screws drives screws through the thinner member into the other.
func (j *joint) screws() bool {
	k := j.meet.Axis
	long, short := j.rowAxes(k)
	intoA := j.b.extent(k) <= j.a.extent(k) && k != j.b.Along || k == j.a.Along
	clear, hold := j.a, j.b
	if intoA {
		clear, hold = j.b, j.a
	}
	passes, stock := clear.extent(k), hold.extent(k)
	if j.s.Thickness == 0 {
		j.s.Thickness = gauge(passes, stock)
	}
	d := j.s.Thickness
	if passes > screwMost {
		j.find(found(ScrewTooLong, Stop, lengths{"through": passes, "most": screwMost}).word("member", clear.Name))
		return false
	}
	if d >= j.patchSize(short) {
		j.find(found(ScrewThick, Stop, lengths{"screw": d, "stock": j.patchSize(short)}))
		return false
	}
	if j.s.Depth == 0 {
		// The thread holds over at least the thickness screwed down, and no more than
		// ten diameters of it: common practice, no source.
		const step = measure.Inch / 4 // screws are sold in quarter inches
		whole := (passes + min(max(passes, 6*d), 10*d) + step - 1) / step * step
		for whole-passes > stock-3*measure.Millimetre && whole > passes {
			whole -= step
		}
		j.s.Depth = whole - passes
	}
	thread := j.s.Depth
	if thread <= 0 || thread >= stock {
		j.find(found(HoleComesThrough, Stop, lengths{"depth": thread, "stock": stock}).word("member", hold.Name))
		return false
	}
	species := wood.Reckon(hold.Species).Species
	endGrain := k == hold.Along
	screw := screwOf(d)
	pilot := hundredths(species.PilotMM(millimetres(screw.root)))
	if have, ok := j.tools.drill(pilot + drillSlack); ok && 5*have >= 4*pilot {
		pilot = have
	}
	shank := d
	if have, ok := j.tools.drillOver(d - drillSlack); ok {
		shank = have
	}
	j.r.Screw = Screw{IntoA: intoA, Gauge: screw.gauge, Diameter: d, Length: passes + thread, Pilot: pilot, Shank: shank,
		HoldsN: species.WithdrawalN(millimetres(d), millimetres(thread), endGrain)}
	if endGrain {
		j.find(found(ScrewInEnd, Warn, nil).word("member", hold.Name).number("newtons", j.r.Screw.HoldsN))
	}
	if 2*d > j.patchSize(short) {
		j.find(found(ScrewThick, Warn, lengths{"screw": d, "stock": j.patchSize(short)}))
	}
	if thread < 6*d {
		j.find(found(ScrewShort, Warn, lengths{"thread": thread, "least": 6 * d}))
	}
	j.find(found(ScrewHoles, Note, lengths{"pilot": pilot, "shank": shank, "length": j.r.Screw.Length}).number("newtons", j.r.Screw.HoldsN).number("gauge", float64(screw.gauge)))
	inA, inB, depthA, depthB := pilot, shank, thread, passes
	if !intoA {
		inA, inB, depthA, depthB = shank, pilot, passes, thread
	}
	if !j.bore(long, short, screwPitch, inA, inB, depthA, depthB) {
		return false
	}
	j.gluePatch(j.meet.Patch, k, j.r.Into.Positive())
	j.methodDrill(pilot, thread)
	return true
}

// number is a trade number of wood screws.
type number struct {
	gauge       int
	shank, root measure.Length
}

// numbers are the usual wood screws: shank and root diameter by a fastener
// supplier's table.
var numbers = []number{
	{4, 112 * measure.Inch / 1000, 84 * measure.Inch / 1000},
	{6, 138 * measure.Inch / 1000, 106 * measure.Inch / 1000},
	{8, 164 * measure.Inch / 1000, 131 * measure.Inch / 1000},
	{10, 190 * measure.Inch / 1000, 158 * measure.Inch / 1000},
	{12, 216 * measure.Inch / 1000, 182 * measure.Inch / 1000},
	{14, 242 * measure.Inch / 1000, 207 * measure.Inch / 1000},
}

// screwOf gives the number with that shank; of any other size the root is reckoned
// as four fifths of the shank, as in the table.
func screwOf(shank measure.Length) number {
	for _, n := range numbers {
		if n.shank == shank {
			return n
		}
	}
	return number{0, shank, shank * 4 / 5}
}

// gauge is the usual screw for a board: no. 6, 8 or 10 by its thickness, and thinner
// where the other member is too thin to hold six diameters of thread: common
// practice, no source.
func gauge(through, hold measure.Length) measure.Length {
	n := numbers[3]
	if through <= measure.Inch*5/4 {
		n = numbers[2]
	}
	if through < measure.Inch*5/8 || hold-3*measure.Millimetre < 6*n.shank {
		n = numbers[1]
	}
	return n.shank
}

// rowAxes gives the long and the short way of the common face; of equal ones B's
// grain or width is the long way.
func (j *joint) rowAxes(k int) (long, short int) {
	long = j.b.Along
	if long == k {
		long = j.b.Wide()
	}
	short = 3 - k - long
	if j.patchSize(short) > j.patchSize(long) {
		long, short = short, long
	}
	return long, short
}

// bore sets holes in a row down the middle of the common face; false where they do
// not go in.
func (j *joint) bore(long, short int, pitch, inA, inB, depthA, depthB measure.Length) bool {
	size := j.patchSize(long)
	wide := max(inA, inB)
	if j.s.Count == 0 {
		j.s.Count = int(min(max(2, (size+pitch-1)/pitch), 999))
		if size < 4*wide {
			j.s.Count = 1
		}
	}
	n := measure.Length(j.s.Count)
	if n == 1 {
		j.find(found(OneHole, Note, nil).word("kind", string(j.s.Kind)))
	}
	apart := size / n
	if apart <= wide || apart < measure.Millimetre {
		j.find(found(HolesClose, Stop, lengths{"apart": apart, "least": 3 * wide}))
		return false
	}
	if apart < 3*wide && n > 1 || size/(2*n) < 3*wide/2 && n > 1 {
		j.find(found(HolesClose, Warn, lengths{"apart": apart, "least": 3 * wide}))
	}
	across := (j.patchSize(short)-wide)/2 - abs(j.s.OffsetWide)
	if beyond := max(-across, abs(j.s.Offset)+wide/2-size/(2*n)); beyond > 0 {
		j.find(found(HolesOutside, Stop, lengths{"beyond": beyond}))
		return false
	}
	if across < 3*measure.Millimetre {
		j.find(found(WallThin, Warn, lengths{"wall": across, "least": 3 * measure.Millimetre}))
	}
	at := func(i measure.Length) measure.Length {
		// From the near end for the first half, mirrored for the rest, so that the row
		// is even to the ruler's step.
		if 2*i+1 > n {
			i = n - 1 - i
			return j.meet.Patch.Max[long] - down((2*i+1)*size/(2*n), j.tools.step())
		}
		if 2*i+1 == n {
			return j.meet.Patch.Min[long] + size/2
		}
		return j.meet.Patch.Min[long] + down((2*i+1)*size/(2*n), j.tools.step())
	}
	for i := range n {
		var c solid.Point
		c[j.meet.Axis] = j.meet.Patch.Min[j.meet.Axis]
		c[long] = at(i) + j.s.Offset
		c[short] = j.meet.Patch.Min[short] + j.patchSize(short)/2 + j.s.OffsetWide
		j.r.Holes = append(j.r.Holes, Hole{Centre: c, IntoA: j.r.Into, DiameterA: inA, DiameterB: inB, DepthA: depthA, DepthB: depthB})
		cutA := holeBox(c, j.r.Into, inA, depthA)
		j.r.CutA = append(j.r.CutA, cutA)
		j.r.CutB = append(j.r.CutB, holeBox(c, j.r.Into.Opposite(), inB, depthB))
		j.r.Marks = append(j.r.Marks, mark(j.a, cutA, j.r.Into.Opposite(), false))
	}
	return true
}

// holeBox is the square block around a bored hole.
func holeBox(centre solid.Point, into solid.Direction, diameter, depth measure.Length) solid.Box {
	b := solid.Box{Min: centre, Max: centre}
	for k := range 3 {
		if k != into.Axis() {
			b.Min[k] -= diameter / 2
			b.Max[k] = b.Min[k] + diameter
		}
	}
	return grown(b, into, depth)
}
