package measure

import "wattle/internal/rational"

// Solid is the volume of a body in cubic feet, exactly: flat + pi x round. As two
// parts it is added up of small fractions; a fraction with pi in it is a large one,
// and seldom needed.
type Solid struct{ flat, round rational.Number }

// Box is a times b times c.
func Box(a, b, c Length) Solid { return Solid{flat: BoxFt3(a, b, c)} }

// Cylinder is one of diameter d and height h: pi/4 d^2 h.
func Cylinder(d, h Length) Solid { return Solid{round: BoxFt3(d, d, h).Quo(rational.Int(4))} }

// Cone is one of diameter d and height h: pi/12 d^2 h.
func Cone(d, h Length) Solid { return Solid{round: BoxFt3(d, d, h).Quo(rational.Int(12))} }

// Add is s + t.
func (s Solid) Add(t Solid) Solid { return Solid{s.flat.Add(t.flat), s.round.Add(t.round)} }

// Sub is s - t.
func (s Solid) Sub(t Solid) Solid { return Solid{s.flat.Sub(t.flat), s.round.Sub(t.round)} }

// Ft3 is the volume in cubic feet, exact for the fixed pi.
func (s Solid) Ft3() rational.Number { return s.round.Mul(pi).Add(s.flat) }

// pi in millionths, 3141592.65358979323846: its whole ones, and what is left.
var piWhole, piRest = rational.Int(3_141_592), rational.Of(65_358_979_323_846, 100_000_000_000_000)

// Millionths are the whole millionths of a cubic foot, rounded down, and whether
// nothing is left of another. Pi goes in by its whole millionths and by the rest of
// one, so that words still hold what is added up.
func (s Solid) Millionths() (n rational.Number, exact bool) {
	a := s.flat.Mul(rational.TenTo(6)).Add(s.round.Mul(piWhole))
	b := s.round.Mul(piRest)
	n = a.Floor().Add(b.Floor())
	a, b = a.Sub(a.Floor()), b.Sub(b.Floor())
	switch c := a.Cmp(rational.Int(1).Sub(b)); {
	case c > 0:
		return n.Add(rational.Int(1)), false
	case c == 0:
		return n.Add(rational.Int(1)), true
	default:
		return n, a.Sign() == 0 && b.Sign() == 0
	}
}

// Sign is -1, 0 or 1.
func (s Solid) Sign() int {
	n, exact := s.Millionths()
	if n.Sign() == 0 && !exact {
		return 1
	}
	return n.Sign()
}

// Volume is the solid to the nearest ten-thousandth, halves up, as VolumeFromFt3
// gives it: what is left of a millionth does not matter to that.
func (s Solid) Volume() Volume {
	n, _ := s.Millionths()
	return VolumeFromFt3(n.Quo(rational.TenTo(6)))
}
