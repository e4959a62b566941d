package locale

import (
	"encoding/json"
	"flag"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pilewright/assets"
	"pilewright/plan"
)

var update = flag.Bool("update", false, "write the English keys of the code into en.json")

// root is the folder of go.mod.
func root(t *testing.T) string {
	t.Helper()
	dir, err := os.Getwd()
	for ; err == nil; dir = filepath.Dir(dir) {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
		if dir == filepath.Dir(dir) {
			break
		}
	}
	t.Fatal("no go.mod above", err)
	return ""
}

// used is a sentence the code asks for.
type used struct {
	fallback string // English; the key itself where that is the sentence
	plural   bool
	place    string
	holes    []string // of the call; nil where they are not written there
}

// sentences are the keys of every call that translates in the window's code.
func sentences(t *testing.T) map[string]used {
	t.Helper()
	out := map[string]used{}
	dir := root(t)
	err := filepath.WalkDir(filepath.Join(dir, "ui"), func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		files := token.NewFileSet()
		f, err := parser.ParseFile(files, path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		inLocale := f.Name.Name == "locale"
		ast.Inspect(f, func(n ast.Node) bool {
			c, ok := n.(*ast.CallExpr)
			if !ok || len(c.Args) == 0 {
				return true
			}
			name := calls(c, inLocale)
			if name == "" {
				return true
			}
			key, ok := literal(c.Args[0])
			rel, _ := filepath.Rel(dir, files.Position(c.Pos()).String())
			if name == "locale.Day" && len(c.Args) == 2 {
				key, ok = literal(c.Args[1])
			}
			if !ok {
				if !inLocale {
					t.Errorf("%s: %s is not given its sentence as a literal, so it can't be found for the translators", rel, name)
				}
				return true
			}
			u := used{fallback: key, plural: name == "lang.N", place: rel}
			if name == "lang.X" {
				u.fallback, _ = literal(c.Args[1])
			}
			for _, a := range c.Args[1:] {
				if lit, ok := a.(*ast.CompositeLit); ok {
					u.holes = []string{}
					for _, e := range lit.Elts {
						hole, _ := literal(e.(*ast.KeyValueExpr).Key)
						u.holes = append(u.holes, hole)
					}
				}
			}
			if want := holesOf(u.fallback); u.holes != nil && !slices.Equal(want, sorted(u.holes)) || u.holes == nil && len(want) > 0 {
				t.Errorf("%s: the sentence %q has the holes %v, the call fills %v", rel, u.fallback, want, u.holes)
			}
			out[key] = u
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range identities {
		out["word."+id] = used{fallback: id, place: "identities"}
	}
	for _, id := range starts {
		start, err := plan.OpenStart(assets.Starts, id)
		if err != nil {
			t.Fatal(err)
		}
		out["start."+id] = used{fallback: start.Name, place: "starts"}
		out["start."+id+".note"] = used{fallback: start.Note, place: "starts"}
	}
	for _, id := range units {
		out["unit."+id] = used{fallback: id, place: "units"}
	}
	for _, n := range names {
		out["date."+n] = used{fallback: strings.TrimSuffix(n, ".long"), place: "names"}
	}
	if len(out) < 500 {
		t.Fatalf("only %d sentences were found; the search is broken", len(out))
	}
	return out
}

// calls names the translating function of a call, "" for any other.
func calls(c *ast.CallExpr, inLocale bool) string {
	if id, ok := c.Fun.(*ast.Ident); ok && inLocale && id.Name == "Error" {
		return "locale.Error"
	}
	s, ok := c.Fun.(*ast.SelectorExpr)
	if !ok {
		return ""
	}
	pkg, ok := s.X.(*ast.Ident)
	if !ok {
		return ""
	}
	switch name := pkg.Name + "." + s.Sel.Name; name {
	case "lang.L", "lang.N", "lang.X", "locale.Error", "locale.Mark", "locale.Day":
		return name
	}
	return ""
}

func literal(e ast.Expr) (string, bool) {
	l, ok := e.(*ast.BasicLit)
	if !ok || l.Kind != token.STRING {
		return "", false
	}
	s, err := strconv.Unquote(l.Value)
	return s, err == nil
}

func sorted(list []string) []string {
	out := slices.Clone(list)
	slices.Sort(out)
	return slices.Compact(out)
}

var hole = regexp.MustCompile(`\{\{\.(\w+)\}\}`)

func holesOf(text string) []string {
	var out []string
	for _, m := range hole.FindAllStringSubmatch(text, -1) {
		out = append(out, m[1])
	}
	return sorted(out)
}

// translation reads a language's file: forms by key, one named other where it is
// a plain sentence.
func translation(t *testing.T, language string) map[string]map[string]string {
	t.Helper()
	data, err := assets.Translations.ReadFile(folder + "/" + language + ".json")
	if err != nil {
		t.Fatal(err)
	}
	var raw map[string]any
	if err := json.Unmarshal(data, &raw); err != nil {
		t.Fatal(language, err)
	}
	out := map[string]map[string]string{}
	for key, v := range raw {
		switch v := v.(type) {
		case string:
			out[key] = map[string]string{"other": v}
		case map[string]any:
			forms := map[string]string{}
			for form, text := range v {
				forms[form], _ = text.(string)
			}
			out[key] = forms
		}
	}
	return out
}

// toolkit are the toolkit's own sentences, which a translation says too: see Use.
var toolkit = []string{"Advanced", "Cancel", "Confirm", "Copy", "Create Folder", "Cut", "Enter filename", "Error", "Favourites", "File", "Folder", "New Folder",
	"No", "OK", "Open", "Paste", "Quit", "Redo", "Save", "Select all", "Show Hidden Files", "Undo", "Yes", "file.name", "file.parent",
	"monday", "monday.short", "tuesday", "tuesday.short", "wednesday", "wednesday.short", "thursday", "thursday.short", "friday", "friday.short", "saturday", "saturday.short", "sunday", "sunday.short"}

func TestEveryTranslationHasEverySentence(t *testing.T) {
	asked := sentences(t)
	if *update {
		writeEnglish(t, asked)
	}
	for _, language := range Languages() {
		t.Run(language, func(t *testing.T) {
			has := translation(t, language)
			for key, u := range asked {
				forms, ok := has[key]
				if !ok {
					t.Errorf("%s: %q is not translated", u.place, key)
					continue
				}
				if u.plural != (len(forms) > 1) {
					t.Errorf("%s: %q has the forms %v; plural is %v in the code", u.place, key, forms, u.plural)
				}
				for form, text := range forms {
					if want := holesOf(u.fallback); !slices.Equal(holesOf(text), want) && !(form == "one" && slices.Equal(append(holesOf(text), "n"), want)) {
						t.Errorf("%q, %s: the holes are %v, they should be %v", key, form, holesOf(text), want)
					}
					if strings.Count(text, "{{") != strings.Count(text, "}}") || strings.Count(text, "{{") != len(hole.FindAllString(text, -1)) {
						t.Errorf("%q: a hole of %q is badly written", key, text)
					}
					if text == "" {
						t.Errorf("%q says nothing", key)
					}
					if first, last := edges(u.fallback), edges(text); first != last {
						t.Errorf("%q begins and ends with blanks as %q, its translation %q as %q", key, first, text, last)
					}
				}
			}
			for key := range has {
				if _, ok := asked[key]; !ok && !slices.Contains(toolkit, key) {
					t.Errorf("%q is translated and asked for nowhere", key)
				}
			}
			for _, key := range toolkit {
				if _, ok := has[key]; !ok {
					t.Errorf("the toolkit's %q is not translated", key)
				}
			}
		})
	}
}

// edges are the blanks at a text's ends, which join sentences.
func edges(text string) string {
	return text[:len(text)-len(strings.TrimLeft(text, " \n"))] + "|" + text[len(strings.TrimRight(text, " \n")):]
}

// writeEnglish brings en.json up to the code, keeping plural forms written by hand.
func writeEnglish(t *testing.T, asked map[string]used) {
	t.Helper()
	has := translation(t, "en")
	out := map[string]any{}
	for key, u := range asked {
		if forms := has[key]; len(forms) > 1 {
			out[key] = forms
		} else {
			out[key] = u.fallback
		}
	}
	for _, key := range toolkit {
		if _, ok := out[key]; !ok {
			out[key] = has[key]["other"]
			if out[key] == "" {
				out[key] = key
			}
		}
	}
	path := filepath.Join(root(t), "assets", folder, "en.json")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	e := json.NewEncoder(f)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(out); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	t.Skip("en.json was written; run again without -update")
}

// names of days and months as Day asks for them.
var names = []string{"Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun",
	"January.long", "February.long", "March.long", "April.long", "May.long", "June.long", "July.long", "August.long", "September.long", "October.long", "November.long", "December.long",
	"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}

// silent are the functions whose texts nobody reads: names under which things
// are kept, parts of paths, layouts of numbers.
var silent = map[string]bool{"Recall": true, "Remember": true, "NewWithID": true, "RequireFromString": true, "Command": true, "CreateTemp": true,
	"LookPath": true, "HasPrefix": true, "HasSuffix": true, "TrimPrefix": true, "TrimSuffix": true, "WriteICS": true, "Set": true, "Ext": true}

// known are literals that read like words and are none: what is stored or typed
// in English whatever the language, and names of things.
var known = map[string]bool{"Pilewright": true, "Documents": true, "YYYY-MM-DD": true, "A4": true, "Ctrl+Z": true, "Ctrl+Y": true, "Ctrl+K": true, "Ctrl+": true, "Alt+": true,
	"language idioma": true, "12 in": true, "3 in": true, "3/4 in": true, "1 in": true, " mm": true, " min": true, " ml": true, " ft²": true, " in³": true, " cm³": true, " m²": true, " kg": true,
	"English": true, "Español": true, "sheet, no grain": true, "sale ": true, "piece ": true, "shop ": true, "Åg": true, "Mon": true, "Monday": true, "Jan": true, "January": true}

// A sentence that reaches a widget without being looked up is a literal with a
// blank or a capital outside every call that translates.
func TestNoSentenceIsShownUntranslated(t *testing.T) {
	dir := root(t)
	err := filepath.WalkDir(filepath.Join(dir, "ui"), func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, _ := filepath.Rel(dir, path)
		if d.IsDir() && slices.Contains([]string{"ui/command", "ui/session", "ui/locale", "ui/realwindow", "ui/desk/desktest"}, rel) {
			return filepath.SkipDir // the command line speaks English; errors of session are said by the window
		}
		if d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") || strings.HasSuffix(path, "/icon.go") {
			return nil
		}
		files := token.NewFileSet()
		f, err := parser.ParseFile(files, path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.ImportSpec:
				return false
			case *ast.CallExpr:
				if s, ok := n.Fun.(*ast.SelectorExpr); ok {
					if pkg, ok := s.X.(*ast.Ident); ok && (pkg.Name == "lang" || pkg.Name == "locale") {
						return false
					}
					if silent[s.Sel.Name] {
						return false
					}
					if s.Sel.Name == "Sprintf" && len(n.Args) > 0 {
						if text, ok := literal(n.Args[0]); ok && strings.ToLower(text) == text && isKey(text) {
							return false
						}
					}
				}
			}
			return asItStands(t, files, rel, n)
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// isKey reports whether a format is one of those that name an edit by numbers.
func isKey(format string) bool {
	return regexp.MustCompile(`^[a-z]+( %[sd])+$`).MatchString(format)
}

var wordy = regexp.MustCompile(`[\pL]{2}`)

func asItStands(t *testing.T, files *token.FileSet, rel string, n ast.Node) bool {
	l, ok := n.(*ast.BasicLit)
	if !ok || l.Kind != token.STRING {
		return true
	}
	text, err := strconv.Unquote(l.Value)
	if err != nil || known[text] || !wordy.MatchString(regexp.MustCompile(`%[a-z]`).ReplaceAllString(text, "")) {
		return true
	}
	if strings.Contains(strings.TrimSpace(text), " ") || text != strings.TrimSpace(text) || text[0] >= 'A' && text[0] <= 'Z' {
		t.Errorf("%s:%d: %q is shown as it stands, in English; say it with lang.L", rel, files.Position(l.Pos()).Line, text)
	}
	return true
}
