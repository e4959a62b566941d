package sheet

import (
	"bytes"
	"context"
	"errors"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pilewright/assets"
	"pilewright/plan"
	"pilewright/plan/trade"
	"pilewright/plan/words"
)

// spanish is the shipped catalogue, for a region.
func spanish(t testing.TB, tag string) *words.Language {
	t.Helper()
	data, err := assets.Words.ReadFile("words/es.json")
	if err != nil {
		t.Fatal(err)
	}
	l, err := words.Read(data, tag)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// told is everything a plan says, before it is said in another language.
func told(p *plan.Plan) []string {
	out := []string{p.Work.Blocked, p.Cuts.Sentence, p.Frame.Build.Blocked}
	for _, f := range p.Findings {
		out = append(out, f.Text, f.Do, f.Source)
	}
	for _, s := range p.Work.Steps {
		if s.Own {
			continue
		}
		out = append(append(out, s.Title, s.Setup, string(s.Phase), s.Machine, s.WaitFor), s.Detail...)
		for _, m := range s.Methods {
			out = append(append(out, m.Setup), m.Detail...)
		}
	}
	for _, s := range p.Cuts.Short {
		out = append(out, s.Say)
	}
	for _, g := range p.GlueUps {
		out = append(append(out, g.Clamping.Say...), g.Panel.Faults...)
	}
	for _, w := range p.Ways {
		for _, o := range w.Options {
			out = append(out, o.Why)
		}
	}
	for _, l := range p.Ledger.Lines {
		out = append(out, l.Kind, l.Text, l.How)
	}
	return out
}

// unknown lists what of a plan the language has no words for.
func unknown(p *plan.Plan, l *words.Language) []string {
	in := p.In(l)
	var out []string
	for _, text := range told(p) {
		if !in.Words.Knows(text) {
			out = append(out, text)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func TestThePlanOfTheDemoIsSaidWhollyInSpanish(t *testing.T) {
	es := spanish(t, "es")
	for _, text := range unknown(theDemo(t), es) {
		t.Errorf("no Spanish for %q", text)
	}
	for _, c := range trade.Cautions {
		for _, text := range []string{trade.CautionLead, c.When, c.Text, c.Source} {
			if !es.Knows(text) {
				t.Errorf("no Spanish for the caution %q", text)
			}
		}
	}
}

// Every starting point from the demo's pile and from none, as far as first cuts.
func TestThePlanOfEveryStartingPointIsSaidWhollyInSpanish(t *testing.T) {
	es := spanish(t, "es")
	p, err := demoProject()
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range []string{"table", "bench", "stool", "shelf", "crate"} {
		t.Run(id, func(t *testing.T) {
			start, err := readStart(id)
			if err != nil {
				t.Fatal(err)
			}
			full := p.NewPiece(start, "A "+id)
			for _, q := range []*plan.Project{full, full.With(func(q *plan.Project) { q.Boards = nil })} {
				ctx, cancel := context.WithCancel(context.Background())
				made, err := plan.Make(ctx, q, quickTools(), func(*plan.Plan) { cancel() })
				cancel()
				if failed := new(plan.CheckError); errors.As(err, &failed) {
					t.Skipf("not the language's fault: %v", err)
				}
				if err != nil {
					t.Fatal(err)
				}
				for _, text := range unknown(made, es) {
					t.Errorf("no Spanish for %q", text)
				}
			}
		})
	}
}

// english are words no Spanish text holds.
var english = regexp.MustCompile(`(?i)\b(the|and|of|with|from|is|are|each|board|boards|cut|cuts|joint|glue|step|left|right|wide|thick|deep|not|by|at|page|piece|keep|waste)\b`)

func TestTheSpanishSheetHoldsNoEnglishButNames(t *testing.T) { holdsNoEnglish(t, theDemo(t)) }

// holdsNoEnglish looks for English words on the Spanish sheet and figures of a plan.
func holdsNoEnglish(t *testing.T, p *plan.Plan) {
	t.Helper()
	var names []string
	for _, x := range p.Project.Parts {
		names = append(names, x.Name)
	}
	for _, b := range p.Project.Boards {
		names = append(names, b.Place)
	}
	for _, x := range p.Project.Lots {
		names = append(names, x.Name)
	}
	for _, x := range p.Project.Expenses {
		names = append(names, x.What)
	}
	for _, x := range p.Project.Piece.Hardware {
		names = append(names, x.Name)
	}
	for _, x := range p.Project.Joints {
		names = append(names, x.Note)
	}
	names = append(names, "Potting table", "Handwork", "Wood Handbook", p.Project.Piece.Note, p.Project.Piece.Lessons)
	slices.SortFunc(names, func(a, b string) int { return len(b) - len(a) })
	var pairs []string
	for _, n := range names {
		if n != "" {
			pairs = append(pairs, strings.ToLower(n), "")
		}
	}
	ours := strings.NewReplacer(pairs...)
	d, err := lay(p, Options{Paper: "a4", Now: printed, Language: spanish(t, "es")})
	if err != nil {
		t.Fatal(err)
	}
	for i, page := range d.Pages() {
		for _, m := range page.Marks {
			if w := english.FindString(ours.Replace(strings.ToLower(m.Text))); w != "" {
				t.Errorf("page %d: %q has the English word %q", i+1, m.Text, w)
			}
		}
	}
	for _, f := range Figures(p.In(spanish(t, "es"))) {
		for _, m := range f.Picture.Marks {
			if w := english.FindString(ours.Replace(strings.ToLower(m.Text))); w != "" {
				t.Errorf("figure %s: %q has the English word %q", f.Name, m.Text, w)
			}
		}
	}
}

func TestTheLanguageChangesWordsNotThePlan(t *testing.T) {
	p := theDemo(t)
	es := p.In(spanish(t, "es-MX"))
	if p.In(nil) != p || es.In(spanish(t, "es-MX")) != es {
		t.Error("said again in its own language, a plan is copied")
	}
	short := *p
	short.Cuts.Short = []plan.Short{{Blank: p.Blanks[0].Key, Count: 2, Say: "2 of the leg can't be cut from the pile."}}
	if said := short.In(spanish(t, "es")); Revision(said) != Revision(&short) || said.Cuts.Short[0].Say == short.Cuts.Short[0].Say {
		t.Error("another language is another revision, or the same words")
	}
	var a, b bytes.Buffer
	if err := Write(&a, p, Options{Now: printed, Language: spanish(t, "es")}); err != nil {
		t.Fatal(err)
	}
	if err := Write(&b, p, Options{Now: printed, Language: spanish(t, "es")}); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two Spanish sheets of one plan differ")
	}
	sheet := text(t, p, Options{Now: printed, Language: spanish(t, "es")})
	for _, want := range []string{Revision(p), "página 1 de ", "impresa el 2 de marzo de 2026", "planta", "perfil derecho"} {
		if !strings.Contains(sheet, want) {
			t.Errorf("the Spanish sheet lacks %q", want)
		}
	}
	for i, s := range es.Work.Steps {
		if o := p.Work.Steps[i]; s.Key != o.Key || s.Machine != o.Machine || s.Minutes != o.Minutes || o.Title == s.Title {
			t.Errorf("step %q became %q", o.Key, s.Title)
		}
	}
	if got := newBook(es, Options{}).money(p.Ledger.Sale.Price); !strings.HasPrefix(got, "$") || strings.Contains(got, ",") {
		t.Errorf("money in Mexico: %q", got)
	}
	if got := newBook(p.In(spanish(t, "es-ES")), Options{}).money(p.Ledger.Sale.Price); !strings.HasSuffix(got, ",00\u00a0$") {
		t.Errorf("money in Spain: %q", got)
	}
}

// The sheets of the demo in both languages, to be looked at.
func TestSheetsToBeLookedAt(t *testing.T) {
	dir := os.Getenv("PILEWRIGHT_SHEETS")
	if dir == "" {
		t.Skip("written to the folder named by PILEWRIGHT_SHEETS")
	}
	for name, l := range map[string]*words.Language{"en": nil, "es": spanish(t, "es")} {
		for _, paper := range []string{"letter", "a4"} {
			var out bytes.Buffer
			if err := Write(&out, theDemo(t), Options{Paper: paper, Now: printed, Language: l}); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(dir+"/"+name+"_"+paper+".pdf", out.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}
