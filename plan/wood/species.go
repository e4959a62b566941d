package wood

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

//go:embed species.csv
var speciesCSV string

// Group is the trade's division of timber by the tree, not by hardness.
type Group string

// The two groups.
const (
	Softwood Group = "softwood"
	Hardwood Group = "hardwood"
)

// Species is one row of the Wood Handbook's tables. A zero number means that
// the Handbook or our copy of it has no value. Strength is at 12 % moisture.
type Species struct {
	ID      string
	Name    string // as the Handbook prints it
	Group   Group
	FoundAs string // where salvage usually holds it

	GravityGreen float64 // oven-dry weight over green volume
	Gravity12    float64 // oven-dry weight over volume at 12 % moisture

	ElasticityMPa  float64 // GTR-190 Table 5-3a, centre load on a span of 14 depths
	ElasticityMpsi float64 // GTR-282 Table 5-3b, in million psi
	RuptureMPa     float64
	RupturePsi     float64
	HardnessN      float64 // side hardness
	HardnessLbf    float64

	ShrinkRadialPct     float64 // green to oven-dry, Table 4-3
	ShrinkTangentialPct float64
	RadialCoef          float64 // size change per point of moisture, Table 13-5
	TangentialCoef      float64
	CoefDerived         bool    // coefficients found from the shrinkage, not printed
	FibreSaturationPct  float64 // moisture below which the wood shrinks

	ShrinkFromMemory bool // shrinkage not read in the Handbook's text
	CoefFromMemory   bool // coefficients not read in the Handbook's text
	Source           string
	Note             string
}

var table = mustParse(speciesCSV)

func mustParse(text string) []Species {
	list, err := parseSpecies(text)
	if err != nil {
		panic("embedded species.csv: " + err.Error()) // caught by any test of this package
	}
	return list
}

// All gives every species, softwoods first, each group by id.
func All() []Species { return slices.Clone(table) }

// ByID gives the species with exactly that id.
func ByID(id string) (Species, bool) {
	i := slices.IndexFunc(table, func(s Species) bool { return s.ID == id })
	if i < 0 {
		return Species{}, false
	}
	return table[i], true
}

// parseSpecies reads the table. Columns are found by name, so their order is
// free; an unreadable number is named with its line.
func parseSpecies(text string) ([]Species, error) {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		return nil, err
	}
	if len(rows) < 2 {
		return nil, fmt.Errorf("no species in the table")
	}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	var list []Species
	for n, row := range rows[1:] {
		var bad error
		word := func(name string) string {
			i, ok := column[name]
			if !ok {
				bad = fmt.Errorf("column %q is missing", name)
				return ""
			}
			return row[i]
		}
		number := func(name string) float64 {
			text := word(name)
			if text == "" {
				return 0
			}
			v, err := strconv.ParseFloat(text, 64)
			if err != nil || !(v > 0) || v > 1e9 {
				bad = fmt.Errorf("line %d: %s %q is no positive number", n+2, name, text)
			}
			return v
		}
		s := Species{
			ID: word("id"), Name: word("name"), Group: Group(word("group")), FoundAs: word("found_as"),
			GravityGreen: number("sg_green"), Gravity12: number("sg_12"),
			ElasticityMPa: number("moe_mpa_12"), ElasticityMpsi: number("moe_mpsi_12"),
			RuptureMPa: number("mor_kpa_12") / 1000, RupturePsi: number("mor_psi_12"),
			HardnessN: number("side_hardness_n_12"), HardnessLbf: number("side_hardness_lbf_12"),
			ShrinkRadialPct: number("shrink_radial_pct"), ShrinkTangentialPct: number("shrink_tangential_pct"),
			RadialCoef: number("cr"), TangentialCoef: number("ct"), FibreSaturationPct: number("fsp_pct"),
			ShrinkFromMemory: word("shrink_status") != "read", CoefFromMemory: word("coef_status") != "read",
			Source: word("source"), Note: word("note"),
		}
		if bad != nil {
			return nil, bad
		}
		if s.ID == "" || s.Source == "" || s.Gravity12 == 0 || s.FibreSaturationPct == 0 ||
			(s.Group != Softwood && s.Group != Hardwood) {
			return nil, fmt.Errorf("line %d: a species needs id, group, specific gravity, fibre saturation and source", n+2)
		}
		if slices.ContainsFunc(list, func(t Species) bool { return t.ID == s.ID }) {
			return nil, fmt.Errorf("line %d: species %q stands twice", n+2, s.ID)
		}
		s.complete()
		list = append(list, s)
	}
	return list, nil
}

// complete fills shrinkage from the coefficients or the coefficients from the
// shrinkage where only one of the two is known.
func (s *Species) complete() {
	f := s.FibreSaturationPct
	if s.RadialCoef == 0 && s.ShrinkRadialPct > 0 {
		s.RadialCoef, s.CoefDerived = CoefFromShrinkage(s.ShrinkRadialPct, f), true
	}
	if s.TangentialCoef == 0 && s.ShrinkTangentialPct > 0 {
		s.TangentialCoef, s.CoefDerived = CoefFromShrinkage(s.ShrinkTangentialPct, f), true
	}
	if s.ShrinkRadialPct == 0 && s.RadialCoef > 0 {
		s.ShrinkRadialPct = ShrinkageFromCoef(s.RadialCoef, f)
	}
	if s.ShrinkTangentialPct == 0 && s.TangentialCoef > 0 {
		s.ShrinkTangentialPct = ShrinkageFromCoef(s.TangentialCoef, f)
	}
}
