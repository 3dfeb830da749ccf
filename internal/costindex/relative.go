package costindex

import (
	"math/big"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/money"
	"wattle/internal/trig"
)

// quotient is a fraction that is not brought to lowest terms: a chain of a
// thousand links would spend its time looking for common factors.
type quotient struct{ num, den *big.Int }

func one() quotient { return quotient{big.NewInt(1), big.NewInt(1)} }

func (q quotient) times(r quotient) quotient {
	return quotient{new(big.Int).Mul(q.num, r.num), new(big.Int).Mul(q.den, r.den)}
}

func (q quotient) over(r quotient) quotient { return q.times(quotient{r.den, r.num}) }

// hundredfold is 100 times q, or 100 times its root, to IndexDecimals, half up.
func (q quotient) hundredfold(ofRoot bool) (decimal.Decimal, error) {
	if ofRoot {
		root, err := trig.Root(q.num, q.den, IndexDecimals+2)
		if err != nil {
			return decimal.Decimal{}, err
		}
		return decimalOf(new(big.Rat).SetFrac(root, tenTo(IndexDecimals)), IndexDecimals)
	}
	// floor((2 num 10^decimals + den) / (2 den))
	n := new(big.Int).Mul(q.num, tenTo(IndexDecimals+2))
	n.Lsh(n, 1).Add(n, q.den).Quo(n, new(big.Int).Lsh(q.den, 1))
	return decimalOf(new(big.Rat).SetFrac(n, tenTo(IndexDecimals)), IndexDecimals)
}

// decimalOf is r to scale decimals, half up.
func decimalOf(r *big.Rat, scale int) (decimal.Decimal, error) {
	d, _, err := money.FromRat(r, scale)
	return d, err
}

func tenTo(n int) *big.Int { return new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(n)), nil) }

// table is goods with every price and every quantity in whole units of the last
// decimal that any of them has. Units cancel in every formula.
type table struct {
	labels             []string
	prices, quantities [][]*big.Int // by period, then by good
}

func tableOf(g Goods) table {
	t := table{}
	priceScale, quantityScale := 0, 0
	for _, p := range g.Periods {
		priceScale, quantityScale = max(priceScale, mostScale(p.Prices)), max(quantityScale, mostScale(p.Quantities))
	}
	for _, p := range g.Periods {
		t.labels = append(t.labels, p.Label)
		t.prices = append(t.prices, whole(p.Prices, priceScale))
		t.quantities = append(t.quantities, whole(p.Quantities, quantityScale))
	}
	return t
}

func mostScale(all []decimal.Decimal) (scale int) {
	for _, d := range all {
		scale = max(scale, d.Scale())
	}
	return scale
}

// whole is each number in units of 10^-scale, of which all of them are whole.
func whole(all []decimal.Decimal, scale int) []*big.Int {
	units := make([]*big.Int, len(all))
	for i, d := range all {
		units[i] = new(big.Int).SetUint64(d.Coef())
		units[i].Mul(units[i], tenTo(scale-d.Scale()))
	}
	return units
}

// linkDecimals are those to which roots and powers are worked out: as many as
// trig has.
const linkDecimals = 40

// relative is what a formula gives from one period to another; of Fisher it is the
// square, since that is exact.
func (t table) relative(f Formula, from, to int, v *fault.List) quotient {
	switch f {
	case Paasche:
		return quotient{dot(t.prices[to], t.quantities[to]), dot(t.prices[from], t.quantities[to])}
	case Fisher:
		return t.relative(Laspeyres, from, to, v).times(t.relative(Paasche, from, to, v))
	case Tornqvist:
		return t.tornqvist(from, to, v)
	case Walsh:
		return t.walsh(from, to, v)
	default:
		return quotient{dot(t.prices[to], t.quantities[from]), dot(t.prices[from], t.quantities[from])}
	}
}

func (t table) walsh(from, to int, v *fault.List) quotient {
	roots := make([]*big.Int, len(t.prices[to]))
	for good := range roots {
		both := new(big.Int).Mul(t.quantities[from][good], t.quantities[to][good])
		roots[good], _ = trig.Root(both, big.NewInt(1), linkDecimals) // quantities are 0 or more
	}
	q := quotient{dot(t.prices[to], roots), dot(t.prices[from], roots)}
	if q.den.Sign() == 0 {
		v.At("periods").Index(to).Add("quantities", "%s and %s have no good that was bought in both, so that there is no Walsh index", t.labels[from], t.labels[to])
		return one()
	}
	return q
}

func (t table) tornqvist(from, to int, v *fault.List) quotient {
	valueFrom, valueTo := dot(t.prices[from], t.quantities[from]), dot(t.prices[to], t.quantities[to])
	n := len(t.prices[to])
	ratios, weights := make([]*big.Rat, n), make([]*big.Rat, n)
	for good := range n {
		ratios[good] = new(big.Rat).SetFrac(t.prices[to][good], t.prices[from][good])
		share := func(period int, value *big.Int) *big.Rat {
			return new(big.Rat).SetFrac(new(big.Int).Mul(t.prices[period][good], t.quantities[period][good]), value)
		}
		weights[good] = share(from, valueFrom)
		weights[good].Add(weights[good], share(to, valueTo)).Mul(weights[good], big.NewRat(1, 2))
	}
	product, err := trig.PowerProduct(ratios, weights, linkDecimals)
	if err != nil || product.Sign() == 0 {
		v.At("periods").Index(to).Add("prices", "those of %s are too far from those of %s", t.labels[to], t.labels[from])
		return one()
	}
	return quotient{product, tenTo(linkDecimals)}
}

// dot is the sum of products.
func dot(a, b []*big.Int) *big.Int {
	sum, product := new(big.Int), new(big.Int)
	for i := range a {
		sum.Add(sum, product.Mul(a[i], b[i]))
	}
	return sum
}
