package check

import (
	"fmt"
	"math/big"
	"sort"

	"github.com/govalues/decimal"

	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/trig"
)

// MaxEmbedment is the deepest footing that is looked for.
const MaxEmbedment = 100 * measure.Foot

// bearingDepth is the depth at which lateral bearing stops growing; it is read
// against a third of the embedment [IBC 1807.3.2.1, FT-9].
const bearingDepth = 12 * measure.Foot

// Embedment is how deep a post that only the ground holds has to stand.
type Embedment struct {
	Depth measure.Length
	// A is 2.34 P/(S1 b) in feet, S1 the lateral bearing pressure in psf that
	// it was reckoned with; both exact.
	A, S1 *big.Rat
}

// EmbedFixed is d = 0.5 A (1 + sqrt(1 + 4.36 h/A)), A = 2.34 P/(S1 b), for a
// fixed S1 in psf, to the nearest nanometre [IBC 1807.3.2.1]. load is P in
// pounds, at is h above grade, width is b: a diameter, or a square's Diagonal.
//
// It is an error where one of them is out of the range of fences, which
// Footing.Validate lists.
func EmbedFixed(load decimal.Decimal, at, width measure.Length, s1 decimal.Decimal) (Embedment, error) {
	if err := embedRange(load, at, width, s1); err != nil {
		return Embedment{}, err
	}
	a := leverArm(money.Rat(load), width, money.Rat(s1))
	// A goes under the root, so that no load is no division by zero.
	under := product(ratio("4.36"), feet(at), a)
	depth, err := trig.Sqrt(under.Add(under, product(a, a)))
	if err != nil {
		return Embedment{}, err
	}
	depth.Add(depth, a)
	return Embedment{Depth: fromFeet(product(big.NewRat(1, 2), depth)), A: a, S1: money.Rat(s1)}, nil
}

// Embed is EmbedFixed with S1 read at a third of the depth itself, but no deeper
// than 12 ft: S1 = perFoot x min(d/3, 12 ft), doubled with pole, the increase of
// 1806.3.4 for posts that half an inch of movement at grade does no harm.
//
// A deeper footing finds more bearing and needs less, so there is one depth at
// which both meet. The answer is the least whole nanometre d for which the
// formula, with S1 read at d, asks for no more than d, found by halving, so that
// no start value decides. That comparison needs no root: with A read at d, it is
// d^2 >= A (d + 1.09 h).
//
// It is an error where EmbedFixed has one, or where MaxEmbedment is not enough.
func Embed(load decimal.Decimal, at, width measure.Length, perFoot decimal.Decimal, pole bool) (Embedment, error) {
	if err := embedRange(load, at, width, perFoot); err != nil {
		return Embedment{}, err
	}
	reckon := func(depth measure.Length) Embedment {
		s1 := product(money.Rat(perFoot), feet(min(depth, 3*bearingDepth)), big.NewRat(1, 3))
		if pole {
			s1.Add(s1, s1)
		}
		return Embedment{Depth: depth, A: leverArm(money.Rat(load), width, s1), S1: s1}
	}
	reach := product(ratio("1.09"), feet(at))
	n := sort.Search(int(MaxEmbedment), func(i int) bool {
		e := reckon(measure.Length(i) + 1)
		d := feet(e.Depth)
		needed := new(big.Rat).Add(d, reach)
		return product(d, d).Cmp(needed.Mul(needed, e.A)) >= 0
	})
	if n == int(MaxEmbedment) {
		return Embedment{}, fmt.Errorf("no embedment up to %s is enough", MaxEmbedment.Imperial())
	}
	return reckon(measure.Length(n) + 1), nil
}

// Diagonal is b of a square footing or post [IBC 1807.3.2.1]: side x sqrt 2, to
// the nearest nanometre.
func Diagonal(side measure.Length) measure.Length { return measure.Hypot(side, side) }

// leverArm is A in feet.
func leverArm(load *big.Rat, width measure.Length, s1 *big.Rat) *big.Rat {
	a := product(ratio("2.34"), load)
	return a.Quo(a, product(s1, feet(width)))
}

func embedRange(load decimal.Decimal, at, width measure.Length, bearing decimal.Decimal) error {
	switch {
	case !within(load, "0", maxLoad):
		return fmt.Errorf("a load of %s lb; expected 0 to %s", load, maxLoad)
	case at < 0 || at > maxReach:
		return fmt.Errorf("a load at %s; expected 0 to %s above grade", at.Imperial(), maxReach.Imperial())
	case width < measure.Inch || width > maxReach:
		return fmt.Errorf("a footing %s wide; expected 1 in to %s", width.Imperial(), maxReach.Imperial())
	case !within(bearing, "1", maxBearing):
		return fmt.Errorf("a lateral bearing of %s; expected 1 to %s", bearing, maxBearing)
	}
	return nil
}

// What a fence can be asked to hold; beyond it something was mistyped.
const (
	maxLoad    = "100000000" // lb, as much as the largest wind on the largest face
	maxBearing = "100000"    // psf, or psf per foot
	maxReach   = 100 * measure.Foot
	maxFace    = 30 * measure.Foot
)

// within reports whether low <= d <= high.
func within(d decimal.Decimal, low, high string) bool {
	x := money.Rat(d)
	return x.Cmp(ratio(low)) >= 0 && x.Cmp(ratio(high)) <= 0
}
