package piece

import (
	"slices"
	"strings"

	"fyne.io/fyne/v2/lang"

	"pilewright/plan"
	"pilewright/ui/locale"
)

// mostMarks is how many marks of a stage are written out.
const mostMarks = 6

// stageTold says which stage of the assembly the view pulled apart by t shows open.
func stageTold(p *plan.Plan, t float64) string {
	seq := p.Frame.Build.Sequence
	if len(seq.Stages) == 0 {
		return locale.Say(p.Frame.Build.Blocked)
	}
	n, open := seq.OpenAt(t)
	if !open {
		if seq.Fewest {
			return lang.L("Stages: {{.stages}}; glue-ups: {{.glueups}}, proved the fewest", locale.With{"stages": len(seq.Stages), "glueups": seq.GlueUps()})
		}
		return lang.L("Stages: {{.stages}}; glue-ups: {{.glueups}}, fewer may be possible", locale.With{"stages": len(seq.Stages), "glueups": seq.GlueUps()})
	}
	st := seq.Stages[n]
	parts := slices.Clone(st.Parts)
	if len(parts) > mostMarks {
		parts = append(parts[:mostMarks:mostMarks], "…")
	}
	list := strings.Join(parts, ", ")
	if st.Dry {
		return lang.L("Stage {{.n}} of {{.of}}, without glue: {{.parts}}", locale.With{"n": n + 1, "of": len(seq.Stages), "parts": list})
	}
	return lang.L("Stage {{.n}} of {{.of}}, {{.minutes}} min, clamps: {{.clamps}}; {{.parts}}", locale.With{"n": n + 1, "of": len(seq.Stages), "minutes": st.Minutes, "clamps": st.Clamps, "parts": list})
}
