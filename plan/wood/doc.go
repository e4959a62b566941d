// Package wood holds what is known about timber: the species table and the
// published equations for moisture, movement, weight, bending and screws.
//
// It is physics: float64 with the unit in every name, never a size to cut to.
// A result that becomes a measure.Length must be rounded by whoever uses it.
// Start at Find for a species and at Species for what it can tell.
//
// Sources, named at each constant:
//
//	GTR-190, GTR-282  Wood Handbook, USDA Forest Products Laboratory, General
//	                  Technical Reports FPL-GTR-190 (2010) and FPL-GTR-282 (2021)
//	RN-0268           Equilibrium moisture content of wood in outdoor locations,
//	                  FPL Research Note FPL-RN-0268 (1998)
//	RP-489            Moisture content and the properties of lumber in framing
//	                  sizes, FPL Research Paper FPL-RP-489 (1990)
//
// The strength values are averages of small clear straight-grained pieces. They
// tell how boards compare and how far one bends; they are not design values.
package wood
