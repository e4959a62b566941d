package joinery

import "pilewright/plan/measure"

// Severity says how much a finding matters.
type Severity int

// The severities. Stop means that the joint as asked cannot be made or will fail.
const (
	Note Severity = iota
	Warn
	Stop
)

// Finding is one checked statement about a joint, a member or the piece. Its
// values belong to the code (see Codes) and are put into words by Explain.
type Finding struct {
	Code     Code
	Severity Severity
	Lengths  map[string]measure.Length
	Numbers  map[string]float64
	Words    map[string]string
	Source   string
}

// lengths is short for the values of a finding.
type lengths = map[string]measure.Length

func found(code Code, severity Severity, values lengths) Finding {
	return Finding{Code: code, Severity: severity, Lengths: values, Source: Codes[code].Source}
}

func (f Finding) number(name string, v float64) Finding {
	if f.Numbers == nil {
		f.Numbers = map[string]float64{}
	}
	f.Numbers[name] = v
	return f
}

func (f Finding) word(name, v string) Finding {
	if f.Words == nil {
		f.Words = map[string]string{}
	}
	f.Words[name] = v
	return f
}
