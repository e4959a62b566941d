package joinery

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pilewright/plan/measure"
)

var update = flag.Bool("update", false, "write the golden files")

// The words of every finding, to be read in review: regenerate with -update.
func TestWordsOfEveryFinding(t *testing.T) {
	var codes []Code
	for c := range Codes {
		codes = append(codes, c)
	}
	slices.Sort(codes)
	var b strings.Builder
	for _, c := range codes {
		for _, severity := range []Severity{Note, Warn} {
			f := found(c, severity, lengths{})
			asked := 0
			text := Explain(f.word("first", "the front rail").word("second", "the side rail").word("way", "corner").word("kind", "edge-glue").
				word("member", "the leg").word("axis", "x").word("move", "-x").word("tool", "drill").word("assumption", "Pine: reckoned as ponderosa.").
				number("newtons", 3351).number("kg", 12.3).number("degrees", 8).number("percent", 31).number("passes", 2).number("gauge", 8),
				func(measure.Length) string { asked++; return "1/4 in" })
			line := fmt.Sprintf("%s\n  %s\n  > %s\n  (%s)\n", c, text.What, text.Do, text.Source)
			if severity == Note {
				b.WriteString(line)
			} else if !strings.HasSuffix(b.String(), line) {
				b.WriteString("as a warning: " + line)
			}
		}
	}
	golden := filepath.Join("testdata", "findings.txt")
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(golden, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if string(want) != b.String() {
		t.Errorf("the words changed; read them and run with -update:\n%s", b.String())
	}
}

func TestDrawBore(t *testing.T) {
	if DrawBore("oak") != in/32 || DrawBore("spf") != in/16 {
		t.Error("softwood gives more than hardwood")
	}
}

func BenchmarkMakeStoppedTenon(b *testing.B) {
	leg, rail := legAndRail()
	tools := shop()
	for b.Loop() {
		Make(leg, rail, Spec{Kind: StoppedTenon}, tools)
	}
}
