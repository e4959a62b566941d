package measure

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/shopspring/decimal"
)

// Identifiers name the rows of the reference table ../shared/checks.csv.
func TestBoardFeet(t *testing.T) {
	tests := []struct {
		name    string
		l, w, t string
		want    string // to six decimals
	}{
		{"bf01: a 1x6 of 96 in, nominal", `96`, `6`, `1`, "4"},
		{"bf02: a 2x4 of 8 ft, nominal", `8'`, `4`, `2`, "5.333333"},
		{"bf03: a pallet board as measured", `40`, `3 1/2`, `5/8`, "0.607639"},
		{"bf04: one cubic metre", `1 m`, `1 m`, `1 m`, "423.776001"}, // 1 / 0.002359737216
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			v := VolumeOf(must(t, tt.l), must(t, tt.w), must(t, tt.t))
			if got := v.BoardFeet().Round(6).String(); got != tt.want {
				t.Errorf("board feet = %s, want %s", got, tt.want)
			}
		})
	}
	t.Run("bf03: the yard's tally at one inch", func(t *testing.T) {
		if got := TallyBoardFeet(40*Inch, 3*Inch+Inch/2, 5*Inch/8).Round(3).String(); got != "0.972" {
			t.Errorf("tally = %s, want 0.972", got)
		}
	})
	t.Run("bf04: one board foot in cubic metres is exact", func(t *testing.T) {
		if got := VolumeOf(12*Inch, 12*Inch, Inch).CubicMetres().String(); got != "0.002359737216" {
			t.Errorf("one board foot = %s m³", got)
		}
	})
	t.Run("bf05: strips of 1 1/4 in from 5 1/2 in", func(t *testing.T) {
		v, err := Eval(`floor((5 1/2" + 1/8") / (1 1/4" + 1/8"))`, Inches, nil)
		if n, _ := v.Count(); err != nil || n != 4 {
			t.Errorf("strips = %v, %v; want 4", v, err)
		}
		v, err = Eval(`5 1/2" - 4*1 1/4" - 3*1/8"`, Inches, nil)
		if l, _ := v.Length(); err != nil || l != Inch/8 {
			t.Errorf("left = %v, %v; want 1/8 in", v, err)
		}
	})
}

// PS 20 dressed dry sizes of TRADE.md §3: the metric column is the inch size
// to the nearest millimetre.
func TestDressedSizes(t *testing.T) {
	for text, mm := range map[string]string{
		`3/4`: "19", `1`: "25", `1-1/2`: "38", `2-1/2`: "64", `3-1/2`: "89", `4-1/2`: "114", `5-1/2`: "140",
		`6-1/2`: "165", `7-1/4`: "184", `9-1/4`: "235", `11-1/4`: "286",
	} {
		shown := Format(must(t, text), Style{Unit: Millimetres, Whole: true})
		if shown != "≈"+mm+" mm" {
			t.Errorf("%s in is shown as %q, want ≈%s mm", text, shown, mm)
		}
	}
	// lb01 to lb10: the decimal inches of the table are the fractions of the trade.
	for fraction, dec := range map[string]string{`3/4`: `0.75`, `1 1/2`: `1.5`, `7 1/4`: `7.25`, `11 1/4`: `11.25`, `5 1/2`: `5.5`, `3 1/2`: `3.5`} {
		if a, b := must(t, fraction), must(t, dec); a != b {
			t.Errorf("%s = %d, %s = %d", fraction, a, dec, b)
		}
	}
}

func must(t *testing.T, text string) Length {
	t.Helper()
	l, err := Parse(text, Inches)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestAreaUnits(t *testing.T) {
	a := AreaOf(36*Inch, 16*Inch)
	for name, c := range map[string]struct{ got, want string }{
		"square feet":        {a.SquareFeet().String(), "4"},
		"square inches":      {a.SquareInches().String(), "576"},
		"square metres":      {a.SquareMetres().String(), "0.37161216"},
		"square millimetres": {a.SquareMillimetres().String(), "371612.16"},
		"cubic inches":       {a.By(Inch / 2).CubicInches().String(), "288"},
		"cubic millimetres":  {VolumeOf(Millimetre, Millimetre, Millimetre).CubicMillimetres().String(), "1"},
	} {
		if c.got != c.want {
			t.Errorf("%s: %s, want %s", name, c.got, c.want)
		}
	}
	if a.Float() != 371612.16 || a.By(Millimetre).Float() != 371612.16 {
		t.Errorf("floats %v and %v, want 371612.16", a.Float(), a.By(Millimetre).Float())
	}
}

// Arithmetic against math/big, with the ends of the range held instead of
// wrapped.
func TestAreasAgreeWithBigIntegers(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	most := new(big.Int).Sub(new(big.Int).Lsh(big.NewInt(1), 127), big.NewInt(1))
	least := new(big.Int).Neg(new(big.Int).Lsh(big.NewInt(1), 127))
	hold := func(n *big.Int) *big.Int {
		if n.Cmp(most) > 0 {
			return most
		}
		if n.Cmp(least) < 0 {
			return least
		}
		return n
	}
	pick := func() int64 {
		switch rng.IntN(8) {
		case 0:
			return []int64{0, 1, -1, math.MaxInt64, math.MinInt64, int64(Limit), -int64(Limit)}[rng.IntN(7)]
		case 1:
			return int64(rng.Uint64())
		}
		return int64(rng.Uint64()) >> rng.IntN(63)
	}
	for range 20_000 {
		a, b, c, d := pick(), pick(), pick(), pick()
		A, B, C, D := big.NewInt(a), big.NewInt(b), big.NewInt(c), big.NewInt(d)
		ab := hold(new(big.Int).Mul(A, B))
		cd := hold(new(big.Int).Mul(C, D))
		abc := hold(new(big.Int).Mul(ab, C))
		x, y := AreaOf(Length(a), Length(b)), AreaOf(Length(c), Length(d))
		minus := new(big.Int).Neg(cd)
		for name, pair := range map[string][2]*big.Int{
			"a·b":       {x.nm2.big(), ab},
			"a·b + c·d": {x.Add(y).nm2.big(), hold(new(big.Int).Add(ab, cd))},
			"a·b - c·d": {x.Sub(y).nm2.big(), hold(new(big.Int).Add(ab, hold(minus)))},
			"a·b·c":     {VolumeOf(Length(a), Length(b), Length(c)).nm3.big(), abc},
		} {
			if pair[0].Cmp(pair[1]) != 0 {
				t.Fatalf("a=%d b=%d c=%d d=%d: %s = %s, want %s", a, b, c, d, name, pair[0], pair[1])
			}
		}
		if x.Cmp(y) != ab.Cmp(cd) || x.Sign() != ab.Sign() || (x == y) != (ab.Cmp(cd) == 0) || x.Equal(y) != (x == y) {
			t.Fatalf("a=%d b=%d c=%d d=%d: comparisons disagree", a, b, c, d)
		}
		want, _ := new(big.Float).SetInt(ab).Float64()
		if got := x.nm2.float(); math.Abs(got-want) > 1e-15*math.Abs(want) {
			t.Fatalf("float of %s = %v", ab, got)
		}
	}
}

func TestLimitsFitAVolume(t *testing.T) {
	v := VolumeOf(Limit, Limit, Limit)
	if got, want := v.CubicMetres(), decimal.New(1, 9); !got.Equal(want) {
		t.Errorf("the limit cubed = %s m³, want %s", got, want)
	}
}

func TestAreasStopAtTheEndsOfTheirRange(t *testing.T) {
	most := AreaOf(math.MaxInt64, math.MaxInt64).Times(2)
	top := most.Add(most)
	bottom := Area{}.Sub(top).Sub(top)
	for _, c := range []struct {
		name      string
		got, want Area
	}{
		{"the greatest and more", top.Add(AreaOf(1, 1)), Area{most128}},
		{"the least and less", bottom.Sub(AreaOf(1, 1)), Area{least128}},
		{"the greatest times a number", top.Times(3), Area{most128}},
		{"the greatest times a negative number", top.Times(-3), Area{least128}},
		{"nothing less the least", Area{}.Sub(Area{least128}), Area{most128}},
		{"the greatest and the least", Area{most128}.Add(Area{least128}), AreaOf(-1, 1)},
	} {
		if c.got != c.want {
			t.Errorf("%s = %v, want %v", c.name, c.got, c.want)
		}
	}
}

func TestVolumesAddAndCompare(t *testing.T) {
	board := VolumeOf(40*Inch, 3*Inch+Inch/2, 5*Inch/8)
	three := board.Add(board).Add(board)
	if three != board.Times(3) || !three.Equal(board.Times(3)) || three.Sub(board).Sub(board) != board {
		t.Errorf("three boards are %s in³, one is %s", three.CubicInches(), board.CubicInches())
	}
	if three.Cmp(board) != 1 || board.Cmp(three) != -1 || board.Cmp(board) != 0 || board.Sub(three).Sign() != -1 {
		t.Error("volumes do not compare by size")
	}
}
