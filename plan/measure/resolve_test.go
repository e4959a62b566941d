package measure

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

func TestResolve(t *testing.T) {
	defs := []Definition{
		{"leg_length", "height - top"},
		{"Height", "29"},
		{"top", `3/4"`},
		{"slats", "floor((width + gap) / (slat + gap))"},
		{"width", "16 1/2"},
		{"slat", "1 1/2"},
		{"gap", "10 mm"},
		{"half", "slats / 2"},
		{"shelves", "3 pcs"},
	}
	values, err := Resolve(defs, Inches)
	if err != nil {
		t.Fatal(err)
	}
	if len(values) != len(defs) {
		t.Errorf("%d values for %d measures", len(values), len(defs))
	}
	for name, want := range map[string]Length{
		"leg_length": 28*Inch + Inch/4, "height": 29 * Inch, "top": 3 * Inch / 4, "gap": 10 * Millimetre,
	} {
		if got, err := values[name].Length(); err != nil || got != want {
			t.Errorf("%s = %v, %v; want %s", name, values[name], err, Exact(want))
		}
	}
	// (16.5 + 0.3937) / (1.5 + 0.3937) = 8.9
	for name, want := range map[string]int{"slats": 8, "half": 4, "shelves": 3} {
		if got, err := values[name].Count(); err != nil || got != want {
			t.Errorf("%s = %v, %v; want %d", name, values[name], err, want)
		}
	}
}

func TestABareMeasureIsALength(t *testing.T) {
	// 48 / 16 would be 3 in if bare measures stayed bare.
	_, err := Resolve([]Definition{{"length", "48"}, {"width", "16"}, {"wrong", "2 / width"}}, Inches)
	if !errors.Is(err, ErrDimension) {
		t.Errorf("a number over a bare measure: %v; want %v", err, ErrDimension)
	}
	values, err := Resolve([]Definition{{"length", "48"}, {"width", "16"}, {"ratio", "length / width"}}, Inches)
	if err != nil || !values["ratio"].IsNumber() {
		t.Errorf("ratio of bare measures = %v, %v; want the number 3", values["ratio"], err)
	}
}

func TestResolveErrors(t *testing.T) {
	tests := []struct {
		name string
		defs []Definition
		err  error
		says string
	}{
		{"a circle of two", []Definition{{"height", "leg + 1"}, {"leg", "height - 1"}}, ErrCycle, "height -> leg -> height"},
		{"a circle of three entered from outside",
			[]Definition{{"rail", "b"}, {"b", "c"}, {"c", "d"}, {"d", "b"}}, ErrCycle, "b -> c -> d -> b"},
		{"a measure of itself", []Definition{{"height", "height + 1"}}, ErrCycle, "height -> height"},
		{"an unknown name", []Definition{{"length", "48"}, {"rail", "lenght - 2"}}, ErrUnknownName, "did you mean length?"},
		{"an unknown name far from any", []Definition{{"length", "48"}, {"rail", "overhang"}}, ErrUnknownName, "measure rail"},
		{"beyond the limit", []Definition{{"length", "48"}, {"far", "length * 1000000"}}, ErrOverflow, "measure far"},
		{"a bare size beyond the limit", []Definition{{"far", "1000 * 1000"}}, ErrOverflow, "measure far"},
		{"a name used twice", []Definition{{"leg", "1"}, {"LEG", "2"}}, ErrName, "used twice"},
		{"a unit for a name", []Definition{{"mm", "1"}}, ErrName, "unit or a function"},
		{"a name with a space", []Definition{{"leg length", "1"}}, ErrName, "leg length"},
		{"a name too long", []Definition{{strings.Repeat("a", maxText+1), "1"}}, ErrName, "too long"},
		{"a text too long", []Definition{{"rail", strings.Repeat("1+", maxText)}}, ErrTooLong, "measure rail"},
		{"a swapped pair of letters is nearer than other words", []Definition{{"legs", "1"}, {"leg_gap", "2"}, {"x", "lges"}}, ErrUnknownName, "did you mean legs?"},
		{"a faulty text", []Definition{{"rail", "3 +"}}, ErrSyntax, "measure rail: at the end of"},
		{"an empty text", []Definition{{"rail", ""}}, ErrEmpty, "measure rail"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			values, err := Resolve(tt.defs, Inches)
			if values != nil || !errors.Is(err, tt.err) {
				t.Fatalf("Resolve(%v) = %v, %v; want %v", tt.defs, values, err, tt.err)
			}
			if !strings.Contains(err.Error(), tt.says) {
				t.Errorf("error %q does not say %q", err, tt.says)
			}
		})
	}
}

func TestResolveEachKeepsWhatIsSound(t *testing.T) {
	values, errs := ResolveEach([]Definition{
		{"height", "29"}, {"a", "b"}, {"b", "a"}, {"rail", "hieght"}, {"leg", "height - rail"}, {"shoe", "leg"}, {"top", "a + 1"},
	}, Inches)
	if len(values) != 1 || !values["height"].IsLength() {
		t.Errorf("values = %v; want height alone", values)
	}
	var names []string
	for _, e := range errs {
		names = append(names, e.Name)
	}
	if got, want := strings.Join(names, " "), "a b rail leg shoe top"; got != want {
		t.Errorf("measures in error: %s; want %s", got, want)
	}
	for i, root := range map[int]string{3: "rail", 4: "rail", 5: "a"} {
		var place *ParseError
		if got := errs[i]; !strings.Contains(got.Error(), "depends on "+root+",") || !errors.Is(got, ErrDepends) || errors.As(got, &place) {
			t.Errorf("%s, a measure of a faulty one: %v", got.Name, got)
		}
	}
}

func TestResolveALongChain(t *testing.T) {
	const n = 5_000
	defs := make([]Definition, n)
	for i := range defs {
		defs[i] = Definition{fmt.Sprintf("a%d", i), fmt.Sprintf("a%d + 1 mm", i+1)}
	}
	defs[n-1].Text = "1 mm"
	values, err := Resolve(defs, Millimetres)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := values["a0"].Length(); err != nil || got != n*Millimetre {
		t.Errorf("a0 = %v, %v; want %v", got, err, n*Millimetre)
	}
}

func TestResolveStopsGrowingDigits(t *testing.T) {
	defs := []Definition{{"a0", "1/3 + 0 pcs"}}
	for i := range 30 {
		defs = append(defs, Definition{fmt.Sprintf("a%d", i+1), fmt.Sprintf("a%d*a%d", i, i)})
	}
	if _, err := Resolve(defs, Inches); !errors.Is(err, ErrOverflow) {
		t.Errorf("a number squared thirty times: %v; want %v", err, ErrOverflow)
	}
}

func TestNames(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"each once in the order written", `Leg + 2*rail - leg`, "leg rail"},
		{"no units", `2 ft 3 in + 5mm + 1 m`, ""},
		{"no functions", `min(leg, max(rail, 2))`, "leg rail"},
		{"letters close to a number are a unit", `2leg + 2 rail`, "rail"},
		{"a foot is a unit only behind a number", `2 foot + 2*foot + ¾ foot - feet`, "foot feet"},
		{"a unit and inches close to it", `2ft6 + 2 foot6 + 1mm_x`, "x"},
		{"texts that are not finished", `leg + (rail -`, "leg rail"},
		{"digits and underscores", `leg_2 + a1`, "leg_2 a1"},
		{"letters of any language", `höhe - Breite`, "höhe breite"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := strings.Join(Names(tt.text), " "); got != tt.want {
				t.Errorf("Names(%q) = %q, want %q", tt.text, got, tt.want)
			}
		})
	}
}

func TestRename(t *testing.T) {
	tests := []struct{ name, text, from, to, want string }{
		{"everywhere and in any case", `leg + 2*LEG - legs`, "Leg", "post", `post + 2*post - legs`},
		{"a part called foot", `2 foot + 2*Foot`, "foot", "shoe", `2 foot + 2*shoe`},
		{"not in units", `2 in - inn`, "in", "x", `2 in - inn`},
		{"nothing to do", `rail`, "leg", "post", `rail`},
		{"spaces stay", ` leg  -3/4 `, "leg", "l2", ` l2  -3/4 `},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := Rename(tt.text, tt.from, tt.to); got != tt.want {
				t.Errorf("Rename(%q, %q, %q) = %q, want %q", tt.text, tt.from, tt.to, got, tt.want)
			}
		})
	}
}
