package costindex

import (
	"cmp"
	"math/big"
	"slices"

	"github.com/govalues/decimal"
)

// ShareOut is exact shares in units of the last decimal, so that they add up to
// their sum rounded half up: each is cut off, and what is left over goes, a unit
// each, to the largest remainders, the first of equal ones.
func ShareOut(exact []*big.Rat, decimals int) ([]decimal.Decimal, error) {
	sum := new(big.Rat)
	for _, share := range exact {
		sum.Add(sum, share)
	}
	return shareTotal(units(sum, decimals), exact, decimals)
}

// units is r in whole units of 10^-decimals, half up, away from zero.
func units(r *big.Rat, decimals int) *big.Int {
	n := new(big.Int).Abs(r.Num())
	n.Mul(n, tenTo(decimals)).Lsh(n, 1).Add(n, r.Denom())
	n.Quo(n, new(big.Int).Lsh(r.Denom(), 1))
	if r.Sign() < 0 {
		n.Neg(n)
	}
	return n
}

// shareTotal is ShareOut for a total that was rounded already, in units. It need
// not be the shares' own sum to the last unit: it is where a difference of two
// rounded totals is shared.
func shareTotal(total *big.Int, exact []*big.Rat, decimals int) ([]decimal.Decimal, error) {
	n := len(exact)
	shares, rests, order := make([]*big.Int, n), make([]*big.Rat, n), make([]int, n)
	left := new(big.Int).Set(total)
	for i, share := range exact {
		scaled := new(big.Rat).Mul(share, new(big.Rat).SetInt(tenTo(decimals)))
		shares[i] = new(big.Int).Div(scaled.Num(), scaled.Denom()) // the floor: denominators are above 0
		rests[i] = scaled.Sub(scaled, new(big.Rat).SetInt(shares[i]))
		left.Sub(left, shares[i])
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return rests[b].Cmp(rests[a]) })
	if left.Sign() < 0 { // a unit too many: the smallest remainders give
		slices.Reverse(order)
	}
	unit := big.NewInt(int64(cmp.Compare(left.Sign(), 0)))
	for turn := 0; left.Sign() != 0 && n > 0; turn++ {
		i := order[turn%n]
		shares[i].Add(shares[i], unit)
		left.Sub(left, unit)
	}
	out := make([]decimal.Decimal, n)
	for i, share := range shares {
		var err error
		if out[i], err = decimalOf(new(big.Rat).SetFrac(share, tenTo(decimals)), decimals); err != nil {
			return nil, err
		}
	}
	return out, nil
}
