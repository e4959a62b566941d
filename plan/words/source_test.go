package words_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode"
)

// template is the fixed text of an expression that makes a string: literals as
// they are, whatever else as %s.
type template struct{ text, place string }

// scanner gathers the templates of one package.
type scanner struct {
	files  *token.FileSet
	consts map[string]string
	out    []template
}

// templates reads the source of every package below the folders of the root.
func templates(t *testing.T, root string, folders ...string) []template {
	t.Helper()
	dirs := map[string][]string{}
	for _, f := range folders {
		err := filepath.WalkDir(filepath.Join(root, f), func(path string, d os.DirEntry, err error) error {
			if err == nil && !d.IsDir() && strings.HasSuffix(path, ".go") && !strings.HasSuffix(path, "_test.go") {
				dirs[filepath.Dir(path)] = append(dirs[filepath.Dir(path)], path)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	var out []template
	for _, paths := range dirs {
		s := &scanner{files: token.NewFileSet(), consts: map[string]string{}}
		var parsed []*ast.File
		for _, path := range paths {
			f, err := parser.ParseFile(s.files, path, nil, parser.SkipObjectResolution)
			if err != nil {
				t.Fatal(err)
			}
			parsed = append(parsed, f)
			s.constants(f)
		}
		for _, f := range parsed {
			ast.Inspect(f, s.visit)
		}
		for _, x := range s.out {
			x.place, _ = filepath.Rel(root, x.place)
			out = append(out, x)
		}
	}
	return out
}

// constants notes the string constants of a file by name.
func (s *scanner) constants(f *ast.File) {
	ast.Inspect(f, func(n ast.Node) bool {
		if v, ok := n.(*ast.ValueSpec); ok {
			for i, name := range v.Names {
				if i < len(v.Values) {
					if text, ok := literal(v.Values[i]); ok {
						s.consts[name.Name] = text
					}
				}
			}
		}
		return true
	})
}

func literal(e ast.Expr) (string, bool) {
	b, ok := e.(*ast.BasicLit)
	if !ok || b.Kind != token.STRING {
		return "", false
	}
	text, err := strconv.Unquote(b.Value)
	return text, err == nil
}

func (s *scanner) visit(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.ImportSpec:
		return false
	case *ast.Field: // struct tags are no text
		if n.Tag != nil {
			n.Tag = nil
		}
	case *ast.BinaryExpr:
		if n.Op != token.ADD {
			return true
		}
		if text, ok := s.joined(n); ok {
			s.note(n, text)
			for _, leaf := range leaves(n) {
				if _, ok := literal(leaf); !ok {
					ast.Inspect(leaf, s.visit)
				}
			}
			return false
		}
	case *ast.BasicLit:
		if text, ok := literal(n); ok {
			s.note(n, verb.ReplaceAllStringFunc(text, hole))
		}
	}
	return true
}

// leaves are the terms of a sum.
func leaves(e ast.Expr) []ast.Expr {
	switch e := e.(type) {
	case *ast.ParenExpr:
		return leaves(e.X)
	case *ast.BinaryExpr:
		if e.Op == token.ADD {
			return append(leaves(e.X), leaves(e.Y)...)
		}
	}
	return []ast.Expr{e}
}

// joined is the template of a sum of strings; ok is false where none of its
// terms is a literal.
func (s *scanner) joined(e ast.Expr) (text string, ok bool) {
	for _, leaf := range leaves(e) {
		if part, is := literal(leaf); is {
			text, ok = text+verb.ReplaceAllStringFunc(part, hole), true
			continue
		}
		if name, is := leaf.(*ast.Ident); is && s.consts[name.Name] != "" {
			text, ok = text+s.consts[name.Name], true
			continue
		}
		text += "%s"
	}
	return text, ok
}

var verb = regexp.MustCompile(`%(?:\[\d+\])?[-+#0]*\d*(?:\.\d+)?[a-zA-Z%]`)

// hole writes every verb alike.
func hole(v string) string {
	switch v[len(v)-1] {
	case '%':
		return "%"
	case 'q':
		return `"%s"`
	}
	return "%s"
}

func (s *scanner) note(n ast.Node, text string) {
	if strings.IndexFunc(strings.ReplaceAll(text, "%s", ""), unicode.IsLetter) < 0 {
		return
	}
	p := s.files.Position(n.Pos())
	s.out = append(s.out, template{text, p.Filename + ":" + strconv.Itoa(p.Line)})
}
