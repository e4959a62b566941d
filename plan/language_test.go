package plan_test

import (
	"os"
	"slices"
	"strings"
	"testing"

	"pilewright/assets"
	"pilewright/plan"
	"pilewright/plan/joinery"
	"pilewright/plan/measure"
	"pilewright/plan/trade"
	"pilewright/plan/words"
)

func spanish(t testing.TB) *words.Language {
	t.Helper()
	data, err := assets.Words.ReadFile("words/es.json")
	if err != nil {
		t.Fatal(err)
	}
	l, err := words.Read(data, "es")
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// Sentences that quote what a hostile file put there hold no end of anything; of
// the others every word must be known.
func TestWhatIsFoundInAnyProjectIsKnownInSpanish(t *testing.T) {
	es := spanish(t)
	n := uint64(60)
	if os.Getenv("PILEWRIGHT_FULL") != "" {
		n = 2_000
	}
	codes := map[string]bool{}
	missing := map[string]bool{}
	for seed := range n {
		made := checkMake(t, project(t, 1000+seed))
		in := made.In(es)
		say := func(text string) {
			if strings.ContainsAny(text, "“%\x00ÄÖÜ<�") || strings.Contains(text, "long long") || strings.Contains(text, "=1+1") || strings.Contains(text, "…") || strings.Contains(text, `\x`) || strings.Contains(text, "put in order") {
				return
			}
			if !in.Words.Knows(text) {
				missing[text] = true
			}
		}
		for i, f := range made.Findings {
			codes[f.Code] = true
			say(f.Text)
			say(f.Do)
			say(f.Source)
			if in.Findings[i].Code != f.Code || in.Findings[i].Subject.Part != f.Subject.Part {
				t.Errorf("the finding %s became %s", f.Code, in.Findings[i].Code)
			}
		}
		for _, s := range made.Work.Steps {
			say(s.Title)
			say(s.Setup)
			for _, d := range s.Detail {
				say(d)
			}
		}
		say(made.Cuts.Sentence)
	}
	if len(codes) < 25 {
		t.Errorf("only %d kinds of findings were provoked: the generator tests nothing", len(codes))
	}
	var list []string
	for text := range missing {
		list = append(list, text)
	}
	slices.Sort(list)
	for _, text := range list {
		t.Errorf("no Spanish for %q", text)
	}
}

func TestEveryFindingOfAJointIsKnownInSpanish(t *testing.T) {
	es := spanish(t)
	show := func(l measure.Length) string { return measure.Exact(l + measure.Inch) }
	for code, rule := range joinery.Codes {
		f := joinery.Finding{Code: code, Source: rule.Source, Words: map[string]string{"kind": string(joinery.Housing), "axis": "x", "move": "x", "first": "A1", "second": "B2", "member": "A1", "way": "same", "assumption": "No species is given: reckoned as lodgepole pine, the weakest of the common framing species."},
			Lengths: map[string]measure.Length{"moves": measure.Millimetre, "later": measure.Millimetre, "sag": measure.Millimetre}, Numbers: map[string]float64{"newtons": 500, "passes": 2, "percent": 30, "kg": 5, "degrees": 8, "gauge": 8}}
		x := joinery.Explain(f, show)
		for _, text := range []string{x.What, x.Do, x.Source} {
			if !es.Knows(text) {
				t.Errorf("%s: no Spanish for %q", code, text)
			}
		}
	}
	for _, c := range trade.Cautions {
		if es.Say(c.Text) == c.Text || es.Say(c.When) == c.When {
			t.Errorf("the caution %s is in English", c.Code)
		}
	}
}

func TestTheMakersNamesAreLeftAlone(t *testing.T) {
	p := demoProject(t)
	p = p.With(func(q *plan.Project) {
		q.Parts = slices.Clone(q.Parts)
		for i := range q.Parts {
			if q.Parts[i].Name == "leg" {
				q.Parts[i].Name = "oak" // a word the catalogue knows
			}
		}
	})
	made := checkMake(t, p).In(spanish(t))
	found := false
	for _, s := range made.Work.Steps {
		if strings.Contains(s.Title, "roble") {
			t.Errorf("a part's name was translated: %q", s.Title)
		}
		found = found || strings.HasPrefix(s.Title, "Encolar oak")
	}
	if !found {
		t.Error("no step glues up the oak")
	}
}

// A starting point in Spanish makes the same piece, its names in Spanish.
func TestEveryStartingPointIsMadeInSpanish(t *testing.T) {
	es := spanish(t)
	p := demoProject(t)
	for _, id := range startIDs(t) {
		t.Run(id, func(t *testing.T) {
			start := readStart(t, id)
			said := start.In(es)
			for i, x := range said.Parts {
				if x.Name == start.Parts[i].Name {
					t.Errorf("the part %q has no Spanish name", x.Name)
				}
			}
			for i, m := range said.Measures {
				if o := start.Measures[i]; m.Note == o.Note && o.Note != "" || m.Name != o.Name {
					t.Errorf("the measure %s is noted %q", m.Name, m.Note)
				}
			}
			for i, j := range said.Joints {
				if o := start.Joints[i]; j.Note == o.Note && o.Note != "" {
					t.Errorf("the note %q has no Spanish", j.Note)
				}
			}
			if said.Name == start.Name || said.Note == start.Note {
				t.Errorf("%q, %q has no Spanish", said.Name, said.Note)
			}
			a, b := checkMake(t, p.NewPiece(start, "x")), checkMake(t, p.NewPiece(said, "x"))
			if len(a.Copies) != len(b.Copies) || len(a.Frame.Joints) != len(b.Frame.Joints) || len(a.Findings) != len(b.Findings) {
				t.Errorf("%d copies, %d joints and %d findings became %d, %d and %d", len(a.Copies), len(a.Frame.Joints), len(a.Findings), len(b.Copies), len(b.Frame.Joints), len(b.Findings))
			}
			own := start
			own.Number = 7
			if own.In(es).Name != start.Name {
				t.Error("a maker's own starting point was renamed")
			}
		})
	}
}
