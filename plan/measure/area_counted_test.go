package measure

import (
	"math/big"
	"testing"
)

func TestSquareNanometresIsExactBothWays(t *testing.T) {
	for _, text := range []string{"0", "1", "-1", "18446744073709551615", "18446744073709551616", "-18446744073709551617", "645160000000000000000"} {
		n, ok := new(big.Int).SetString(text, 10)
		if !ok {
			t.Fatal(text)
		}
		if got := SquareNanometres(n).nm2.big(); got.Cmp(n) != 0 {
			t.Errorf("%s came back as %s", n, got)
		}
	}
	if got, want := SquareNanometres(new(big.Int).Mul(big.NewInt(int64(Inch)), big.NewInt(int64(Foot)))), AreaOf(Inch, Foot); got != want {
		t.Errorf("an inch by a foot = %v, want %v", got, want)
	}
}
