package measure

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"
)

// node is a piece of arithmetic that is worked out directly, without text.
type node struct {
	text  string // a leaf as written
	op    byte   // + - * / or n for a leading minus; 0 for a leaf
	a, b  *node
	value *big.Rat // nanometres of a length, or a plain number
	long  bool     // is a length
}

var treeNames = map[string]Length{"length": 48 * Inch, "leg_2": 38 * Millimetre, "gap": Inch / 64}

// leaf makes a written size, a named measure or a count.
func leaf(rng *rand.Rand, long bool) *node {
	n, d := int64(1+rng.IntN(60)), int64(1)<<(1+rng.IntN(6))
	part := 1 + 2*rng.Int64N(d/2)
	inches := func(whole, part, d int64) *big.Rat {
		r := big.NewRat(whole*d+part, d)
		return r.Mul(r, big.NewRat(int64(Inch), 1))
	}
	if !long {
		return &node{text: fmt.Sprintf("%d pcs", n), value: big.NewRat(n, 1)}
	}
	switch rng.IntN(7) {
	case 0:
		return &node{text: fmt.Sprintf(`%d %d/%d"`, n, part, d), value: inches(n, part, d), long: true}
	case 1:
		return &node{text: fmt.Sprintf(`%d/%d in`, part, d), value: inches(0, part, d), long: true}
	case 2:
		return &node{text: fmt.Sprintf(`%d' %d %d/%d"`, n, n%12, part, d), value: inches(12*n+n%12, part, d), long: true}
	case 3:
		return &node{text: fmt.Sprintf(`%d.%dmm`, n, part%10), value: big.NewRat((10*n+part%10)*int64(Millimetre)/10, 1), long: true}
	case 4:
		return &node{text: fmt.Sprintf(`%d½"`, n), value: inches(n, 1, 2), long: true}
	case 5:
		return &node{text: fmt.Sprintf(`%d cm`, n), value: big.NewRat(n*int64(Centimetre), 1), long: true}
	}
	name := []string{"length", "leg_2", "gap"}[rng.IntN(3)]
	return &node{text: strings.ToUpper(name), value: big.NewRat(int64(treeNames[name]), 1), long: true}
}

// tree makes arithmetic of the wished dimension; nil where it would divide by
// zero.
func tree(rng *rand.Rand, depth int, long bool) *node {
	if depth == 0 || rng.IntN(5) == 0 {
		return leaf(rng, long)
	}
	n := &node{op: "+-*/n"[rng.IntN(5)], long: long, value: new(big.Rat)}
	left, right := long, long
	switch n.op {
	case '*':
		if right = false; long && rng.IntN(2) == 0 {
			left, right = false, true
		}
	case '/':
		if right = false; !long && rng.IntN(2) == 0 {
			left, right = true, true
		}
	}
	if n.a = tree(rng, depth-1, left); n.a == nil {
		return nil
	}
	if n.op == 'n' {
		n.value.Neg(n.a.value)
		return n
	}
	if n.b = tree(rng, depth-1, right); n.b == nil {
		return nil
	}
	switch n.op {
	case '+':
		n.value.Add(n.a.value, n.b.value)
	case '-':
		n.value.Sub(n.a.value, n.b.value)
	case '*':
		n.value.Mul(n.a.value, n.b.value)
	case '/':
		if n.b.value.Sign() == 0 {
			return nil
		}
		n.value.Quo(n.a.value, n.b.value)
	}
	return n
}

// write prints with the fewest brackets that keep the meaning, and some more.
func (n *node) write(rng *rand.Rand) string {
	if n.op == 0 {
		return n.text
	}
	bind := map[byte]int{'+': 1, '-': 1, '*': 2, '/': 2, 'n': 3, 0: 4}
	side := func(c *node, least int) string {
		text := c.write(rng)
		if bind[c.op] < least || rng.IntN(8) == 0 {
			return "( " + text + ")"
		}
		return text
	}
	if n.op == 'n' {
		return "-" + side(n.a, 3)
	}
	right := bind[n.op]
	if n.op == '-' || n.op == '/' || n.op == '*' {
		right++ // a product behind a product would divide again
	}
	b := side(n.b, right)
	if n.op == '/' && strings.HasSuffix(b, " in") {
		b = "(" + b + ")" // x / 3/4 in is refused as ambiguous
	}
	return side(n.a, bind[n.op]) + " " + string(n.op) + " " + b
}

// Eval agrees with arithmetic that never was text.
func TestEvalAgreesWithTrees(t *testing.T) {
	rng := rand.New(rand.NewPCG(27, 28))
	lookup := func(name string) (Value, bool) {
		l, ok := treeNames[name]
		return LengthValue(l), ok
	}
	tried := 0
	for range 20_000 {
		n := tree(rng, 1+rng.IntN(4), rng.IntN(3) > 0)
		if n == nil {
			continue
		}
		text := n.write(rng)
		if len(text) > maxText || n.long && new(big.Rat).Abs(n.value).Cmp(limitRat) > 0 {
			continue
		}
		tried++
		v, err := Eval(text, Inches, lookup)
		if err != nil {
			t.Fatalf("Eval(%q): %v", text, err)
		}
		if v.number().Cmp(n.value) != 0 || v.IsLength() != n.long {
			t.Fatalf("Eval(%q) = %v, want %v", text, v.number(), n.value)
		}
	}
	if tried < 10_000 {
		t.Errorf("only %d trees tried", tried)
	}
}

func BenchmarkResolve(b *testing.B) {
	defs := []Definition{{"length", "48"}, {"slat", "2 3/4 in"}, {"gap", "3/8 in"}}
	for i := range 30 {
		defs = append(defs, Definition{fmt.Sprintf("m%d", i), "(length - 2*1 1/2 in - floor((length + gap)/(slat + gap))*slat) / 3"})
	}
	for b.Loop() {
		if _, err := Resolve(defs, Inches); err != nil {
			b.Fatal(err)
		}
	}
}
