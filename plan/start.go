package plan

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
)

// Limits on what a starting point, and so a piece, may hold.
const (
	MaxCopies   = 2_000
	MaxBoards   = 20_000
	MaxParts    = 500
	MaxMeasures = 500
	MaxJoints   = 2_000
	MaxText     = 400
)

// Start is a piece to begin from: measures, parts and joints, with parts named
// instead of numbered. It holds no pile, no prices and no log.
type Start struct {
	Number   ID           `json:"number,omitempty"` // in the shop file; 0 for one that ships with the program
	ID       string       `json:"id"`
	Name     string       `json:"name"`
	Note     string       `json:"note,omitempty"`
	Measures []Measure    `json:"measures"`
	Parts    []Part       `json:"parts"`
	Joints   []StartJoint `json:"joints"`
}

// StartJoint is a Joint between parts by name. Index 0 is every instance.
type StartJoint struct {
	A      string `json:"a"`
	AIndex int    `json:"a_index,omitempty"`
	B      string `json:"b"`
	BIndex int    `json:"b_index,omitempty"`
	startJointSizes
}

// startJointSizes are the fields a StartJoint shares with a Joint.
type startJointSizes struct {
	Kind       JointKind `json:"kind"`
	Thickness  string    `json:"thickness,omitempty"`
	Width      string    `json:"width,omitempty"`
	Depth      string    `json:"depth,omitempty"`
	Offset     string    `json:"offset,omitempty"`
	Round      bool      `json:"round,omitempty"`
	RoundTenon bool      `json:"round_tenon,omitempty"`
	Count      int       `json:"count,omitempty"`
	Dry        bool      `json:"dry,omitempty"`
	Note       string    `json:"note,omitempty"`
}

// ErrStart says that a starting point can't be used.
var ErrStart = errors.New("this starting point can't be used")

// OpenStart reads the starting point of an id from the files that ship with the
// program, starts/ID.json. Errors are those of the files and of [ReadStart].
func OpenStart(files fs.FS, id string) (Start, error) {
	body, err := fs.ReadFile(files, "starts/"+id+".json")
	if err != nil {
		return Start{}, err
	}
	return ReadStart(body)
}

// ReadStart reads a starting point from its JSON. Every joint must name parts
// of the same file; sizes are kept as text and judged when the piece is planned.
func ReadStart(body []byte) (Start, error) {
	var s Start
	if len(body) > 1<<20 {
		return Start{}, fmt.Errorf("%w: it is larger than 1 MB", ErrStart)
	}
	if err := json.Unmarshal(body, &s); err != nil {
		return Start{}, fmt.Errorf("%w: it is not well-formed (%v)", ErrStart, err)
	}
	if err := s.check(); err != nil {
		return Start{}, err
	}
	return s, nil
}

func (s Start) check() error {
	if strings.TrimSpace(s.ID) == "" || strings.TrimSpace(s.Name) == "" {
		return fmt.Errorf("%w: it has no id or no name", ErrStart)
	}
	if len(s.Parts) == 0 || len(s.Parts) > MaxParts || len(s.Measures) > MaxMeasures {
		return fmt.Errorf("%w: it must have 1 to %d parts and at most %d measures", ErrStart, MaxParts, MaxMeasures)
	}
	names := map[string]bool{}
	for _, p := range s.Parts {
		if p.Name == "" || names[p.Name] {
			return fmt.Errorf("%w: part name %q is missing or used twice", ErrStart, p.Name)
		}
		names[p.Name] = true
		if len(p.Copies) > MaxCopies {
			return fmt.Errorf("%w: part %q has more than %d copies", ErrStart, p.Name, MaxCopies)
		}
		for _, c := range p.Copies {
			if c.Along < X || c.Along > Z || c.Thick < X || c.Thick > Z || c.Along == c.Thick {
				return fmt.Errorf("%w: part %q has a copy whose length and thickness do not run along two different axes", ErrStart, p.Name)
			}
		}
	}
	if len(s.Joints) > MaxJoints {
		return fmt.Errorf("%w: it has more than %d joints", ErrStart, MaxJoints)
	}
	for _, j := range s.Joints {
		if !names[j.A] || !names[j.B] {
			return fmt.Errorf("%w: a joint names part %q or %q, which it does not have", ErrStart, j.A, j.B)
		}
	}
	return nil
}

// NewPiece gives the project with a new piece made from the starting point, open.
// The name is made unlike every other piece's.
func (p *Project) NewPiece(s Start, name string) *Project {
	return p.With(func(q *Project) {
		id := q.Take()
		order := 0
		for _, o := range q.Pieces {
			order = max(order, o.Order+1)
		}
		q.Piece = Piece{ID: id, Name: q.freeName(name), Kind: s.ID, Order: order}
		q.Pieces = append(slices.Clone(q.Pieces), q.Piece)
		q.Measures, q.Parts, q.Joints = nil, nil, nil
		q.Choices, q.Steps, q.Ready = nil, nil, nil
		for i, m := range s.Measures {
			m.ID, m.Piece, m.Order = q.Take(), id, i
			q.Measures = append(q.Measures, m)
		}
		byName := map[string]ID{}
		for i, part := range s.Parts {
			part.ID, part.Piece, part.Order = q.Take(), id, i
			part.Copies = slices.Clone(part.Copies)
			byName[part.Name] = part.ID
			q.Parts = append(q.Parts, part)
		}
		for i, j := range s.Joints {
			z := j.startJointSizes
			q.Joints = append(q.Joints, Joint{ID: q.Take(), Piece: id, Order: i,
				A: CopyRef{byName[j.A], j.AIndex}, B: CopyRef{byName[j.B], j.BIndex},
				Kind: z.Kind, Thickness: z.Thickness, Width: z.Width, Depth: z.Depth, Offset: z.Offset,
				Round: z.Round, RoundTenon: z.RoundTenon, Count: z.Count, Dry: z.Dry, Note: z.Note})
		}
	})
}

// freeName gives name, numbered where a piece has it already.
func (p *Project) freeName(name string) string {
	taken := func(n string) bool {
		return slices.ContainsFunc(p.Pieces, func(q Piece) bool { return strings.EqualFold(q.Name, n) })
	}
	free := name
	for i := 2; taken(free); i++ {
		free = fmt.Sprintf("%s %d", name, i)
	}
	return free
}

// StartOf makes a starting point of the open piece.
func (p *Project) StartOf(id, name, note string) (Start, error) {
	s := Start{ID: id, Name: name, Note: note}
	for _, m := range p.Measures {
		m.ID, m.Piece = 0, 0
		s.Measures = append(s.Measures, m)
	}
	names := map[ID]string{}
	for _, part := range p.Parts {
		names[part.ID] = part.Name
		part.ID, part.Piece = 0, 0
		s.Parts = append(s.Parts, part)
	}
	for _, j := range p.Joints {
		s.Joints = append(s.Joints, StartJoint{A: names[j.A.Part], AIndex: j.A.Index, B: names[j.B.Part], BIndex: j.B.Index,
			startJointSizes: startJointSizes{j.Kind, j.Thickness, j.Width, j.Depth, j.Offset, j.Round, j.RoundTenon, j.Count, j.Dry, j.Note}})
	}
	if err := s.check(); err != nil {
		return Start{}, err
	}
	return s, nil
}

// KeepStart gives the project with the open piece kept as a starting point of the
// maker's own, under a name no other has.
func (p *Project) KeepStart(name string) (*Project, error) {
	if name == "" {
		return nil, fmt.Errorf("%w: give it a name", ErrStart)
	}
	if slices.ContainsFunc(p.Starts, func(s Start) bool { return strings.EqualFold(s.Name, name) }) {
		return nil, fmt.Errorf("%w: there is one called %q already", ErrStart, name)
	}
	s, err := p.StartOf(p.Piece.Kind, name, p.Piece.Note)
	if err != nil {
		return nil, err
	}
	return p.With(func(q *Project) {
		s.Number = q.Take()
		q.Starts = append(slices.Clone(q.Starts), s)
	}), nil
}

// Variant gives the project with a copy of the open piece, open, to be changed
// without touching the original. Choices and the maker's own steps come along.
func (p *Project) Variant(name string) (*Project, error) {
	s, err := p.StartOf(p.Piece.Kind, name, "")
	if err != nil {
		return nil, err
	}
	q := p.NewPiece(s, name)
	newPart := map[ID]ID{}
	for i, part := range p.Parts {
		newPart[part.ID] = q.Parts[i].ID
	}
	return q.With(func(q *Project) {
		head := p.Piece
		head.ID, head.Name, head.Order, head.VariantOf = q.Piece.ID, q.Piece.Name, q.Piece.Order, p.Piece.ID
		head.Done, head.Sold = false, Piece{}.Sold
		q.Piece = head
		for _, c := range p.Choices {
			c.ID, c.Piece = q.Take(), head.ID
			c.Blank = renumberKey(c.Blank, newPart)
			q.Choices = append(q.Choices, c)
		}
		for _, step := range p.Steps {
			if !step.Own {
				continue
			}
			step.ID, step.Piece, step.Done = q.Take(), head.ID, false
			// Derived steps carry the numbers of the original's parts.
			if !p.ownStep(step.After) {
				step.After = ""
			}
			step.Needs = slices.DeleteFunc(slices.Clone(step.Needs), func(key string) bool { return !p.ownStep(key) })
			q.Steps = append(q.Steps, step)
		}
	}), nil
}

// ownStep reports whether a key names one of the maker's own steps.
func (p *Project) ownStep(key string) bool {
	return slices.ContainsFunc(p.Steps, func(s StepEdit) bool { return s.Own && s.Key == key })
}
