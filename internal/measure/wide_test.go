package measure

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

func TestMulDiv(t *testing.T) {
	type result struct {
		v  int64
		ok bool
	}
	const most, least = math.MaxInt64, math.MinInt64
	for _, c := range []struct {
		a, b, d      int64
		floor, round result
	}{
		{7, 3, 2, result{10, true}, result{11, true}},
		{-7, 3, 2, result{-11, true}, result{-11, true}},
		{7, 1, 3, result{2, true}, result{2, true}},
		{-7, 1, 3, result{-3, true}, result{-2, true}},
		{7, -1, -3, result{2, true}, result{2, true}},
		{0, 5, -3, result{0, true}, result{0, true}},
		{most, most, most, result{most, true}, result{most, true}},
		{least, 1, 1, result{least, true}, result{least, true}},
		{least, least, least, result{least, true}, result{least, true}},
		{least, 1, -1, result{}, result{}},
		{most, 2, 1, result{}, result{}},
		{most, most, 1, result{}, result{}},
		{1, 1, 0, result{}, result{}},
		// 2^65 - 1 over 2 is 2^64 - 1 and a half: one more would wrap to 0
		{31, -1190112520884487201, 2, result{}, result{}},
	} {
		v, ok := MulDivFloor(c.a, c.b, c.d)
		if (result{v, ok}) != c.floor {
			t.Errorf("MulDivFloor(%d, %d, %d) = %d, %v; want %v", c.a, c.b, c.d, v, ok, c.floor)
		}
		v, ok = MulDivRound(c.a, c.b, c.d)
		if (result{v, ok}) != c.round {
			t.Errorf("MulDivRound(%d, %d, %d) = %d, %v; want %v", c.a, c.b, c.d, v, ok, c.round)
		}
	}
}

// Against big rationals, over all of int64.
func TestMulDivAgainstBig(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := rapid.Int64().Draw(t, "a"), rapid.Int64().Draw(t, "b"), rapid.Int64().Draw(t, "c")
		if c == 0 {
			return
		}
		n := new(big.Int).Mul(big.NewInt(a), big.NewInt(b))
		exact := new(big.Rat).SetFrac(n, big.NewInt(c))

		floor := new(big.Int).Div(exact.Num(), exact.Denom())
		if v, ok := MulDivFloor(a, b, c); ok != floor.IsInt64() || ok && v != floor.Int64() {
			t.Fatalf("floor: got %d, %v; want %v", v, ok, floor)
		}
		mag := new(big.Rat).Abs(exact)
		mag.Add(mag, big.NewRat(1, 2))
		round := new(big.Int).Div(mag.Num(), mag.Denom())
		if exact.Sign() < 0 {
			round.Neg(round)
		}
		if v, ok := MulDivRound(a, b, c); ok != round.IsInt64() || ok && v != round.Int64() {
			t.Fatalf("round: got %d, %v; want %v", v, ok, round)
		}
	})
}

func (w wide) big() *big.Int {
	n := new(big.Int).SetUint64(w.hi)
	return n.Lsh(n, 64).Or(n, new(big.Int).SetUint64(w.lo))
}

func TestSqrtAgainstBig(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, w wide) {
		want := new(big.Int).Sqrt(w.big())
		if got := w.sqrt(); got != want.Uint64() {
			t.Fatalf("sqrt %v = %d, want %v", w.big(), got, want)
		}
		// Nearest: r with (2r - 1)^2 < 4w < (2r + 1)^2.
		four := new(big.Int).Lsh(w.big(), 2)
		r := new(big.Int).SetUint64(w.sqrtRound())
		above := new(big.Int).Add(new(big.Int).Lsh(r, 1), big.NewInt(1))
		below := new(big.Int).Sub(new(big.Int).Lsh(r, 1), big.NewInt(1))
		if r.Sign() > 0 && below.Mul(below, below).Cmp(four) >= 0 || above.Mul(above, above).Cmp(four) <= 0 {
			t.Fatalf("nearest root of %v = %v", w.big(), r)
		}
	}
	// 2^127 is the most two squared lengths add up to.
	for _, w := range []wide{{}, {0, 1}, {0, 2}, {0, 3}, {0, math.MaxUint64}, {1, 0}, {1<<63 - 1, math.MaxUint64}, {1 << 63, 0}} {
		check(t, w)
	}
	rapid.Check(t, func(t *rapid.T) {
		check(t, wide{rapid.Uint64Range(0, 1<<63).Draw(t, "hi") >> rapid.IntRange(0, 64).Draw(t, "shift"), rapid.Uint64().Draw(t, "lo")})
		r := rapid.Uint64Range(1, 1<<63).Draw(t, "root")
		square := product(r, r)
		check(t, square)
		check(t, square.minus(wide{0, 1}))
		check(t, square.plus(wide{0, r}))
	})
}
