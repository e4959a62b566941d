package wood

// Support is how a beam's ends are held.
type Support int

// The supports reckoned with. A glued tenon holds somewhere between the first two;
// Simple gives the larger sag.
const (
	Simple   Support = iota // rests on both ends
	Fixed                   // both ends held against turning
	Overhang                // held at one end, free at the other
)

// Load is how the weight lies on a beam.
type Load int

// The loads reckoned with.
const (
	Uniform Load = iota // spread over the whole span
	Point               // in the middle; on an overhang, at the free end
)

// Beam is a straight rectangular member bent by a load across its depth.
type Beam struct {
	SpanMM, WidthMM, DepthMM float64 // DepthMM is in the direction of the load
	ElasticityMPa            float64
	Support                  Support
	Load                     Load
	LoadN                    float64 // the whole load
	ShearMPa                 float64 // shear modulus; 0 leaves the shear part out
}

// factors are the bending and shear constants of GTR-282 Table 9-1 and the
// largest moment over W·L. Uniform on simple and fixed ends read in a copy; the
// other rows and all moments are textbook values, from memory.
type factors struct{ bend, shear, moment float64 }

var beamFactors = [3][2]factors{
	Simple:   {Uniform: {5.0 / 384, 1.0 / 8, 1.0 / 8}, Point: {1.0 / 48, 1.0 / 4, 1.0 / 4}},
	Fixed:    {Uniform: {1.0 / 384, 1.0 / 8, 1.0 / 12}, Point: {1.0 / 192, 1.0 / 4, 1.0 / 8}},
	Overhang: {Uniform: {1.0 / 8, 1.0 / 2, 1.0 / 2}, Point: {1.0 / 3, 1, 1}},
}

// SagMM gives the deflection when the load is put on. GTR-282 Eq 9-2:
// kb·W·L³/(E·I) + ks·W·L/(G·A′), A′ = 5/6 of the section (from memory). It is 0 for
// a beam without stiffness.
func (b Beam) SagMM() float64 {
	f := beamFactors[b.Support][b.Load]
	inertia := b.WidthMM * b.DepthMM * b.DepthMM * b.DepthMM / 12
	if inertia <= 0 || b.ElasticityMPa <= 0 {
		return 0
	}
	sag := f.bend * b.LoadN * b.SpanMM * b.SpanMM * b.SpanMM / (b.ElasticityMPa * inertia)
	if b.ShearMPa > 0 {
		sag += f.shear * b.LoadN * b.SpanMM / (b.ShearMPa * b.WidthMM * b.DepthMM * 5 / 6)
	}
	return sag
}

// StressMPa gives the largest bending stress, moment over section modulus. Set it
// against RuptureMPa only to compare: clear wood's average is no design value.
func (b Beam) StressMPa() float64 {
	section := b.WidthMM * b.DepthMM * b.DepthMM / 6
	if section <= 0 {
		return 0
	}
	return beamFactors[b.Support][b.Load].moment * b.LoadN * b.SpanMM / section
}

// TrueElasticityMPa is the modulus to use with a shear part: the table's, measured
// on a span of 14 depths, contains some shear, and is raised by 10 % to leave it
// out. GTR-282 Table 5-3 footnote c.
func (s Species) TrueElasticityMPa() float64 { return 1.1 * s.ElasticityMPa }

// ShearMPa is the shear modulus reckoned as a sixteenth of the elasticity, the
// usual round figure for the Handbook's elastic ratios (from memory).
func (s Species) ShearMPa() float64 { return s.ElasticityMPa / 16 }

// CreepFactor is what a lasting load makes of the first sag: about as much again
// after some years, in a room. GTR-282 ch. 5 (read in a copy).
const CreepFactor = 2.0

// SagLimitMM is the first sag a shelf should stay under: 0.02 in per foot of span.
// A woodworking magazine's rule; no furniture standard was found.
func SagLimitMM(spanMM float64) float64 { return spanMM * 0.02 / 12 }

// SeenSagMM is the sag the eye notices: 1/32 in per foot of span. A woodworking
// magazine's rule.
func SeenSagMM(spanMM float64) float64 { return spanMM / 32 / 12 }
