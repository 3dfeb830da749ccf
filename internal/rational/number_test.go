package rational_test

import (
	"fmt"
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/rational"
)

// terms are numerators and denominators where words run over, and some between.
var terms = rapid.OneOf(rapid.SampledFrom([]int64{0, 1, -1, 2, 3, 10, math.MaxInt64, math.MinInt64, math.MaxInt64 - 1, math.MinInt64 + 1, 1 << 31, 1 << 32, 304_800_000}),
	rapid.Int64(), rapid.Int64Range(-1000, 1000))

// number draws a fraction, and the same as a big.Rat.
func number(t *rapid.T, label string) (rational.Number, *big.Rat) {
	n, d := terms.Draw(t, label+" over"), terms.Filter(func(d int64) bool { return d != 0 }).Draw(t, label+" under")
	a, r := rational.Of(n, d), big.NewRat(n, d)
	if rapid.Bool().Draw(t, label+" squared") {
		a, r = a.Mul(a), new(big.Rat).Mul(r, r)
	}
	return a, r
}

// TestAgreesWithBig holds every result against math/big, and that it is in lowest
// terms however it was reached.
func TestAgreesWithBig(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, x := number(t, "a")
		b, y := number(t, "b")
		same := func(what string, got rational.Number, want *big.Rat) {
			t.Helper()
			if got.Big().Cmp(want) != 0 || got.String() != want.RatString() {
				t.Fatalf("%s of %v and %v is %v, want %v", what, x, y, got, want.RatString())
			}
			if n, ok := got.Int64(); ok != (want.IsInt() && want.Num().IsInt64()) || ok && n != want.Num().Int64() {
				t.Fatalf("%s of %v and %v as a word is %d, %v; want %v", what, x, y, n, ok, want.RatString())
			}
			if got.Sign() != want.Sign() || got.IsInt() != want.IsInt() {
				t.Fatalf("%s of %v and %v has sign %d and is whole: %v", what, x, y, got.Sign(), got.IsInt())
			}
		}
		floor := func(r *big.Rat) *big.Rat { return new(big.Rat).SetInt(new(big.Int).Div(r.Num(), r.Denom())) }
		minus := func(r *big.Rat) *big.Rat { return new(big.Rat).Neg(r) }
		same("a", a, x)
		same("sum", a.Add(b), new(big.Rat).Add(x, y))
		same("difference", a.Sub(b), new(big.Rat).Sub(x, y))
		same("product", a.Mul(b), new(big.Rat).Mul(x, y))
		same("negative", a.Neg(), minus(x))
		same("floor", a.Floor(), floor(x))
		same("ceiling", a.Ceil(), minus(floor(minus(x))))
		same("of big", rational.FromBig(x), x)
		if y.Sign() != 0 {
			same("quotient", a.Quo(b), new(big.Rat).Quo(x, y))
		}
		places := rapid.IntRange(0, 20).Draw(t, "places")
		scale := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil))
		up := new(big.Rat).Mul(x, scale)
		up = floor(up.Add(up, big.NewRat(1, 2)))
		same("half up", a.HalfUp(places), up.Quo(up, scale))
		if got, want := a.Cmp(b), x.Cmp(y); got != want {
			t.Fatalf("%v compared with %v is %d, want %d", x, y, got, want)
		}
		if n, whole, ok := a.Millionths(); ok {
			millionths := new(big.Rat).Mul(x, big.NewRat(1_000_000, 1))
			if want := floor(millionths); new(big.Int).SetUint64(n).Cmp(want.Num()) != 0 || whole != millionths.IsInt() {
				t.Fatalf("%v in millionths is %d, to the end: %v; want %v", x, n, whole, want)
			}
		}
	})
}

func TestChangesNothingOfOthers(t *testing.T) {
	r := big.NewRat(math.MinInt64, 3)
	a := rational.FromBig(r)
	a.Big().SetInt64(1)
	r.SetInt64(1)
	if want := "-9223372036854775808/3"; a.String() != want {
		t.Errorf("%v, want %s", a, want)
	}
}

func TestNothingIsDividedByZero(t *testing.T) {
	for name, divide := range map[string]func(){
		"ratio":    func() { rational.Of(1, 0) },
		"quotient": func() { rational.Int(1).Quo(rational.Number{}) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s over 0 did not panic", name)
				}
			}()
			divide()
		}()
	}
}

// TestMakesNoRoom holds what the package is for.
func TestMakesNoRoom(t *testing.T) {
	a, b := rational.Of(7, 48), rational.Of(-5, 36)
	if n := testing.AllocsPerRun(100, func() {
		a.Add(b).Mul(a).Quo(b).Sub(a).HalfUp(4).Cmp(b)
	}); n != 0 {
		t.Errorf("small fractions made room %v times", n)
	}
}

func ExampleNumber() {
	board := rational.Of(11, 2) // 5-1/2 in
	gap := rational.Of(1, 8)
	pitch := board.Add(gap)
	fmt.Println(pitch, rational.Int(96).Quo(pitch), rational.Int(96).Quo(pitch).Ceil())
	// Output: 45/8 256/15 18
}
