// Package joinery makes one joint between two placed members: it sizes the
// joint by the trade's proportions, says exactly what is cut from each member and
// what is added, how to mark it out, with what to cut it, and what is doubtful
// about it. Which members are joined, and the order they go together in, is
// decided elsewhere.
//
// Start at Make. Clashes looks at all the joints of one member together, and
// Explain puts a finding into words.
//
// # How members are modelled
//
// A member's box is its body, shoulder to shoulder: what is seen. A is the member
// that receives, B the one that enters.
//
//   - Tenons, dowels, screws and glued faces: the boxes touch in a face. The tenon
//     is added to B beyond its shoulder and lies inside A.
//   - Housings and rebates: the boxes touch (B is then made longer by the depth)
//     or overlap by the depth (B is then already as long as it must be).
//   - Half-laps and bridles: the boxes overlap through each other. The shared
//     volume is parted between the two cuts, so nothing is added.
//
// Every position is an exact measure.Length in the piece's space. Where a
// proportion does not come out on the maker's ruler it is rounded to Tools.Step.
package joinery
