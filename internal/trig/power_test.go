package trig_test

import (
	"math"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/trig"
)

func rats(t interface {
	Helper()
	Fatalf(string, ...any)
}, texts string) (all []*big.Rat) {
	t.Helper()
	for s := range strings.FieldsSeq(texts) {
		all = append(all, rat(t, s))
	}
	return all
}

// The digits are from memory.
func TestPowerProductKnownDigits(t *testing.T) {
	for _, c := range []struct {
		bases, exponents string
		decimals         int
		want             string
	}{
		{"", "", 3, "1000"},
		{"2", "1/2", 40, "14142135623730950488016887242096980785697"},
		{"2 3", "1/2 1/2", 12, "2449489742783"},
		{"2", "10", 40, "1024" + strings.Repeat("0", 40)},
		{"10 10", "-3 1/2", 10, "31622777"},
		{"7", "0", 5, "100000"},
		{"1/1000000", "1/3", 20, "1000000000000000000"},
		{"2.71828182845904523536028747135266249775724709369995957", "1", 40, "27182818284590452353602874713526624977572"},
	} {
		got, err := trig.PowerProduct(rats(t, c.bases), rats(t, c.exponents), c.decimals)
		if err != nil || got.String() != c.want {
			t.Errorf("%s to %s = %v, %v; want %s", c.bases, c.exponents, got, err, c.want)
		}
	}
}

func TestPowerProductOutsideItsDomain(t *testing.T) {
	for _, c := range []struct {
		bases, exponents string
		decimals         int
		want             string
	}{
		{"0", "1", 3, "a power of 0.000000000; expected more than 0"},
		{"-2", "2", 3, "expected more than 0"},
		{"2 3", "1", 3, "2 bases to 1 exponents"},
		{"2", "1", 41, "at most 40 decimals"},
		{"2", "1e9", 3, "expected at most 1000 in either direction"},
		{"2", "-1e9", 3, "expected at most 1000 in either direction"},
	} {
		if got, err := trig.PowerProduct(rats(t, c.bases), rats(t, c.exponents), c.decimals); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s to %s = %v, %v; want an error saying %q", c.bases, c.exponents, got, err, c.want)
		}
	}
}

// A power of a whole exponent is the product itself, and of 1/2 the root, to every
// digit; any other agrees with the library's own, good to 14 digits.
func TestPowerProductLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := big.NewRat(rapid.Int64Range(1, 1<<20).Draw(t, "x"), rapid.Int64Range(1, 1<<20).Draw(t, "over"))
		e := big.NewRat(rapid.Int64Range(-300, 300).Draw(t, "e"), 100)
		of := func(exponent *big.Rat, decimals int) *big.Int {
			n, err := trig.PowerProduct([]*big.Rat{x}, []*big.Rat{exponent}, decimals)
			if err != nil {
				t.Fatal(err)
			}
			return n
		}
		unit := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(30), nil))
		cube := new(big.Rat).Mul(x, new(big.Rat).Mul(x, x))
		off := new(big.Rat).Sub(new(big.Rat).SetInt(of(big.NewRat(3, 1), 30)), cube.Mul(cube, unit))
		if off.Abs(off).Cmp(big.NewRat(1, 2)) > 0 {
			t.Fatalf("%v cubed is %v off", x, off)
		}
		root, err := trig.Root(x.Num(), x.Denom(), 30)
		if err != nil || root.Cmp(of(big.NewRat(1, 2), 30)) != 0 {
			t.Fatalf("the root of %v: %v, %v", x, root, err)
		}
		base, _ := x.Float64()
		power, _ := e.Float64()
		want := math.Pow(base, power)
		got, _ := new(big.Rat).SetFrac(of(e, 40), new(big.Int).Exp(big.NewInt(10), big.NewInt(40), nil)).Float64()
		if math.Abs(got/want-1) > 1e-13 {
			t.Fatalf("%v to %v = %v, the library says %v", x, e, got, want)
		}
	})
}

// The root of a quotient is the nearest unit to the truth, whether or not the
// quotient is in lowest terms.
func TestRootIsNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, by := positive(t, "x"), big.NewInt(rapid.Int64Range(1, 1000).Draw(t, "by"))
		root, err := trig.Root(new(big.Int).Mul(x.Num(), by), new(big.Int).Mul(x.Denom(), by), 9)
		plain, errPlain := trig.Sqrt(x)
		if err != nil || errPlain != nil || new(big.Rat).SetFrac(root, big.NewInt(1_000_000_000)).Cmp(plain) != 0 {
			t.Fatalf("Root(%v) = %v, %v; Sqrt %v, %v", x, root, err, plain, errPlain)
		}
	})
	for _, c := range [][2]int64{{-1, 2}, {1, -2}, {1, 0}} {
		if got, err := trig.Root(big.NewInt(c[0]), big.NewInt(c[1]), 9); err == nil {
			t.Errorf("Root(%v) = %v, want an error", c, got)
		}
	}
}
