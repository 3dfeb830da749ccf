package trig_test

import (
	"math"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/trig"
)

func rat(t interface {
	Helper()
	Fatalf(string, ...any)
}, s string) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		t.Fatalf("%q is no number", s)
	}
	return r
}

// The digits are from memory.
func TestKnownDigits(t *testing.T) {
	for _, c := range []struct {
		name string
		of   func(*big.Rat) (*big.Rat, error)
		x    string
		want string
	}{
		{"Sqrt", trig.Sqrt, "0", "0.000000000"},
		{"Sqrt", trig.Sqrt, "2", "1.414213562"},
		{"Sqrt", trig.Sqrt, "3", "1.732050808"},
		{"Sqrt", trig.Sqrt, "9/4", "1.500000000"},
		{"Sqrt", trig.Sqrt, "1e-18", "0.000000001"},
		{"Sqrt", trig.Sqrt, "25e-20", "0.000000001"}, // 0.5 quanta
		{"Sqrt", trig.Sqrt, "24e-20", "0.000000000"},
		{"Sqrt", trig.Sqrt, "1e40", "100000000000000000000.000000000"},
		{"Pow32", trig.Pow32, "4", "8.000000000"},
		{"Pow32", trig.Pow32, "2", "2.828427125"},
		{"Pow32", trig.Pow32, "0", "0.000000000"},
		{"Ln", trig.Ln, "1", "0.000000000"},
		{"Ln", trig.Ln, "2", "0.693147181"},
		{"Ln", trig.Ln, "1/2", "-0.693147181"},
		{"Ln", trig.Ln, "10", "2.302585093"},
		{"Ln", trig.Ln, "1000000001/1000000000", "0.000000001"},
		{"Ln", trig.Ln, "2.718281828459045235360", "1.000000000"},
		{"Ln", trig.Ln, "1e300", "690.775527898"},
	} {
		got, err := c.of(rat(t, c.x))
		if err != nil || got.FloatString(9) != c.want {
			t.Errorf("%s(%s) = %v, %v; want %s", c.name, c.x, got, err, c.want)
		}
	}
}

func TestOutsideTheirDomain(t *testing.T) {
	for _, c := range []struct {
		name string
		of   func(*big.Rat) (*big.Rat, error)
		x    string
		want string
	}{
		{"Sqrt", trig.Sqrt, "-1/3", "the square root of -0.333333333; expected 0 or more"},
		{"Pow32", trig.Pow32, "-1", "the power 1.5 of -1.000000000; expected 0 or more"},
		{"Ln", trig.Ln, "0", "the logarithm of 0.000000000; expected more than 0"},
		{"Ln", trig.Ln, "-2", "expected more than 0"},
	} {
		if got, err := c.of(rat(t, c.x)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s(%s) = %v, %v; want an error saying %q", c.name, c.x, got, err, c.want)
		}
	}
}

func TestQuantise(t *testing.T) {
	for x, want := range map[string]string{
		"1/3": "0.333333333", "2/3": "0.666666667", "-2/3": "-0.666666667", "7": "7.000000000",
		"0.0000000005": "0.000000001", "-0.0000000005": "-0.000000001", "0.00000000049": "0.000000000",
	} {
		if got := trig.Quantise(rat(t, x)).FloatString(12); got != want+"000" {
			t.Errorf("Quantise(%s) = %s, want %s", x, got, want)
		}
	}
}

func positive(t *rapid.T, label string) *big.Rat {
	return big.NewRat(rapid.Int64Range(1, 1<<50).Draw(t, label), rapid.Int64Range(1, 1<<40).Draw(t, label+" over"))
}

// The root is the whole number of quanta nearest to the truth: half a quantum
// less squares to no more than x, half a quantum more to more than it.
func TestSqrtIsNearest(t *testing.T) {
	half := big.NewRat(1, 2_000_000_000)
	rapid.Check(t, func(t *rapid.T) {
		x := positive(t, "x")
		root, err := trig.Sqrt(x)
		if err != nil {
			t.Fatal(err)
		}
		low, high := new(big.Rat).Sub(root, half), new(big.Rat).Add(root, half)
		if low.Sign() > 0 && low.Mul(low, low).Cmp(x) > 0 || high.Mul(high, high).Cmp(x) <= 0 {
			t.Fatalf("Sqrt(%v) = %v", x, root)
		}
	})
}

// ln xy = ln x + ln y, each to half a quantum; ln grows; and the library's own
// logarithm, good to 15 digits, agrees.
func TestLnLaws(t *testing.T) {
	ln := func(t *rapid.T, x *big.Rat) *big.Rat {
		y, err := trig.Ln(x)
		if err != nil {
			t.Fatal(err)
		}
		return y
	}
	rapid.Check(t, func(t *rapid.T) {
		x, y := positive(t, "x"), positive(t, "y")
		lnX, lnY := ln(t, x), ln(t, y)
		off := new(big.Rat).Sub(ln(t, new(big.Rat).Mul(x, y)), lnX)
		off.Sub(off, lnY).Abs(off)
		if off.Cmp(big.NewRat(3, 2_000_000_000)) > 0 {
			t.Fatalf("ln %v + ln %v is %v off", x, y, off)
		}
		if x.Cmp(y) < 0 && lnX.Cmp(lnY) > 0 {
			t.Fatalf("ln %v = %v > ln %v = %v", x, lnX, y, lnY)
		}
		plain, _ := x.Float64()
		got, _ := lnX.Float64()
		if math.Abs(math.Log(plain)-got) > 0.6e-9 {
			t.Fatalf("ln %v = %v, the library says %v", x, got, math.Log(plain))
		}
	})
}

// Every result is a whole number of quanta, and Quantum is one of them.
func TestWholeQuanta(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := positive(t, "x")
		for name, of := range map[string]func(*big.Rat) (*big.Rat, error){"Sqrt": trig.Sqrt, "Pow32": trig.Pow32, "Ln": trig.Ln} {
			y, err := of(x)
			if err != nil || !new(big.Rat).Quo(y, trig.Quantum()).IsInt() {
				t.Fatalf("%s(%v) = %v, %v", name, x, y, err)
			}
		}
	})
}
