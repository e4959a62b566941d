// Package solid decides where wood is: bodies made of axis-aligned boxes in
// whole nanometres, with mortises cut and tenons added, and whether such bodies
// overlap, touch, fit into each other or hang in the air. Every answer is exact;
// no float takes part in a decision.
//
// Start at Solid (what a body is), then Fit (whether a piece's bodies go
// together). What the bodies are for, how they are drawn and in which order they
// are assembled is decided elsewhere.
//
// Coordinates up to ±1,000 km are exact in every function, and volumes up to
// 2^128 cubic nanometres (a cube of 6.9 km).
package solid
