package words_test

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"pilewright/assets"
	"pilewright/plan/words"
)

// catalogues reads the shipped languages by name.
func catalogues(t *testing.T) map[string]words.Catalogue {
	t.Helper()
	files, err := assets.Words.ReadDir("words")
	if err != nil || len(files) == 0 {
		t.Fatalf("no language is shipped: %v", err)
	}
	out := map[string]words.Catalogue{}
	for _, f := range files {
		data, err := assets.Words.ReadFile("words/" + f.Name())
		if err != nil {
			t.Fatal(err)
		}
		if _, err := words.Read(data, "es"); err != nil {
			t.Errorf("%s: %v", f.Name(), err)
		}
		var c words.Catalogue
		if err := json.Unmarshal(data, &c); err != nil {
			t.Fatal(err)
		}
		out[f.Name()] = c
	}
	return out
}

// unsaid are the files whose texts are no sentences for the maker.
var unsaid = []string{
	"plan/demo/", "plan/plantest/", // names of the demo, which are the maker's; tests
	"plan/words/",                                                        // this package
	"plan/record.go", "plan/table.go", "plan/csvout.go", "plan/check.go", // what is stored; a failed check is for the report
	"plan/schedule/bound.go", "plan/schedule/bound.go", "plan/wood/species.go", // read when the program is built
	"plan/assembly/check.go", "plan/schedule/check.go", "plan/schedule/ics.go", // checkers, the calendar's format
	"layout/cutting/", "layout/guillotine/", "layout/rows/", // problems that the plan does not pose
	"layout/cut.go", "layout/sheetcheck.go", "layout/sheetsolve.go",
	"layout/drawing/svg/", "layout/drawing/pdf/", "layout/drawing/font/", "layout/drawing/role.go",
	"layout/sheet/csv.go", // headings of a file that programs read
}

var (
	units = regexp.MustCompile(`\b(?:nm|mm|in)\b|\d+ x \d+`)
	// glued is a hole that stands against what is before it: what fills it may be
	// nothing, or begin with a space.
	glued = regexp.MustCompile(`[^ "“(«/]%s`)
)

// codeLike reports whether a text is a key, a path, a format or a single small
// word rather than a sentence. Single words are looked at where they are said,
// see the tests of layout/sheet.
func codeLike(text string) bool {
	bare := strings.TrimSpace(units.ReplaceAllString(strings.ReplaceAll(text, "%s", ""), ""))
	if strings.Trim(bare, " x×.,;:/#()-·\n") == "" || !strings.Contains(strings.TrimSpace(text), " ") && !unicode.IsUpper(first(bare)) {
		return true
	}
	if strings.HasPrefix(text, "the composed rows break the rule") { // a failed check
		return true
	}
	return strings.Contains(text, "%s/") || strings.HasPrefix(text, "2 January") || strings.HasPrefix(text, "Monday 2") || !strings.Contains(bare, " ") && bare == strings.ToUpper(bare)
}

func first(s string) rune {
	r, _ := utf8.DecodeRuneInString(s)
	return r
}

// said reports whether a text of the source stands in the catalogue: a whole
// sentence as a key, first letter large or small; a stretch that is composed into
// others within a key, whatever stands in its holes.
func said(c words.Catalogue, keys, text string) bool {
	bare := strings.TrimSpace(text)
	r, n := utf8.DecodeRuneInString(bare)
	for _, key := range []string{bare, string(unicode.ToUpper(r)) + bare[n:], string(unicode.ToLower(r)) + bare[n:]} {
		if c.Sentences[key] != "" || c.Phrases[key] != "" {
			return true
		}
	}
	if bare == text && unicode.IsUpper(r) && strings.HasSuffix(text, ".") && !glued.MatchString(text) {
		return false
	}
	bare = strings.TrimLeft(bare, ";,: ")
	pattern := strings.ReplaceAll(regexp.QuoteMeta(bare), "%s", "[^\n]*?")
	return regexp.MustCompile("(?i)" + pattern).MatchString(keys)
}

func TestEverySentenceOfTheSourceHasATranslation(t *testing.T) {
	root := filepath.Join("..", "..")
	list := templates(t, root, "plan", "layout")
	if len(list) < 1500 {
		t.Fatalf("only %d texts were found", len(list))
	}
	for name, c := range catalogues(t) {
		t.Run(name, func(t *testing.T) {
			var missing []string
			var all strings.Builder
			for _, m := range []map[string]string{c.Sentences, c.Phrases} {
				for key := range m {
					all.WriteString(key + "\n")
				}
			}
			keys := all.String()
			for _, x := range list {
				if slices.ContainsFunc(unsaid, func(f string) bool { return strings.HasPrefix(x.place, f) }) || codeLike(x.text) {
					continue
				}
				if !said(c, keys, x.text) {
					missing = append(missing, fmt.Sprintf("%s: %q", x.place, x.text))
				}
			}
			slices.Sort(missing)
			if len(missing) > 0 {
				t.Errorf("%d sentences have no entry in assets/words/%s:\n%s", len(missing), name, strings.Join(missing, "\n"))
			}
		})
	}
}
