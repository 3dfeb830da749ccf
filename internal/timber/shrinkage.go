package timber

import "math/big"

// WidthShrinkage is the percentage of its green width that lumber of most
// softwoods has lost once it is down to moisture m, and ThicknessShrinkage that
// of its thickness: 2.806 and 2.347 at 15 % [WOOD-4]. They are for lumber as it
// is sawn, its growth rings at any angle, so they are less than Shrinkage; they
// are meant for 8 % to 19 %, and not for redwood and the cedars, which shrink
// less (FPL-RP-489). From about 28 % up, where they would turn negative, they
// are 0.
func WidthShrinkage(m Moisture) *big.Rat { return shrinkage(6031, 215, m) }

// ThicknessShrinkage is described at WidthShrinkage.
func ThicknessShrinkage(m Moisture) *big.Rat { return shrinkage(5062, 181, m) }

// shrinkage is a - b m percent, a and b in thousandths, and never below 0.
func shrinkage(a, b int64, m Moisture) *big.Rat {
	lost := new(big.Rat).Mul(big.NewRat(b, 1000), big.NewRat(int64(m), int64(Percent)))
	percent := lost.Sub(big.NewRat(a, 1000), lost)
	if percent.Sign() < 0 {
		return new(big.Rat)
	}
	return percent
}
