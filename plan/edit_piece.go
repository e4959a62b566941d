package plan

import "slices"

// DropPiece gives the project without the open piece and its nouns, and with no
// piece open. The hours and the money logged for it stay in the log.
func (p *Project) DropPiece() *Project {
	return p.With(func(q *Project) {
		q.Pieces = slices.DeleteFunc(slices.Clone(q.Pieces), func(o Piece) bool { return o.ID == p.Piece.ID })
		q.Piece = Piece{}
		q.Measures, q.Parts, q.Joints = nil, nil, nil
		q.Choices, q.Steps, q.Ready = nil, nil, nil
	})
}
