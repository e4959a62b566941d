package solid

import "pilewright/plan/measure"

// Point is a place in the piece's space: X to the right, Y to the back, Z up.
type Point [3]measure.Length

// Box is an axis-aligned block with Min below Max on every axis.
type Box struct{ Min, Max Point }
