package measure

import (
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/rational"
)

// What a solid says without multiplying pi out is what the fraction itself says.
func TestSolidIsItsFraction(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		grain := rapid.SampledFrom([]Length{Inch, Sixteenth, Millimetre, Nanometre}).Draw(t, "grain")
		length := func(name string) Length { return grain * Length(rapid.Int64Range(0, 2000).Draw(t, name)) }
		wide := length("wide")
		s := Cylinder(wide, length("deep")).Add(Cone(wide, length("crown"))).Sub(Box(length("a"), length("b"), length("c")))

		exact := s.Ft3()
		if s.Sign() != exact.Sign() {
			t.Errorf("sign %d of %v", s.Sign(), exact)
		}
		if got, want := s.Volume(), VolumeFromFt3(exact); got != want {
			t.Errorf("%v, want %v", got, want)
		}
		all := exact.Mul(rational.TenTo(6))
		if n, whole := s.Millionths(); n.Cmp(all.Floor()) != 0 || whole != all.IsInt() {
			t.Errorf("%v millionths, exactly: %v; want %v", n, whole, all)
		}
	})
}

// The two parts of a sum may come to a whole millionth where neither is one.
func TestSolidOfWholeMillionths(t *testing.T) {
	tenth := rational.Of(1, 10_000_000)
	for _, c := range []struct {
		flat  rational.Number
		n     int
		exact bool
	}{
		{pi.Neg().Add(tenth.Mul(rational.Int(20))), 2, true},
		{pi.Neg().Add(tenth.Mul(rational.Int(19))), 1, false},
		{pi.Neg(), 0, true},
		{pi.Neg().Sub(tenth), -1, false},
	} {
		s := Solid{flat: c.flat, round: rational.Int(1)}
		if n, exact := s.Millionths(); n.Cmp(rational.Int(c.n)) != 0 || exact != c.exact {
			t.Errorf("%v: %v millionths, exactly: %v", s.Ft3(), n, exact)
		}
	}
}
