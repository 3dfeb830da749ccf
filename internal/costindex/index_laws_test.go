package costindex_test

import (
	"math"
	"math/big"
	"slices"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/costindex"
	"wattle/internal/money"
)

// plainly is a formula from one period to another as books print it, in floating
// point.
func plainly(f costindex.Formula, from, to costindex.Period) float64 {
	value := func(d decimal.Decimal) float64 { x, _ := d.Float64(); return x }
	sum := func(of func(p0, q0, p1, q1 float64) float64) (s float64) {
		for i := range from.Prices {
			s += of(value(from.Prices[i]), value(from.Quantities[i]), value(to.Prices[i]), value(to.Quantities[i]))
		}
		return s
	}
	laspeyres := sum(func(_, q0, p1, _ float64) float64 { return p1 * q0 }) / sum(func(p0, q0, _, _ float64) float64 { return p0 * q0 })
	paasche := sum(func(_, _, p1, q1 float64) float64 { return p1 * q1 }) / sum(func(p0, _, _, q1 float64) float64 { return p0 * q1 })
	switch f {
	case costindex.Laspeyres:
		return laspeyres
	case costindex.Paasche:
		return paasche
	case costindex.Fisher:
		return math.Sqrt(laspeyres * paasche)
	case costindex.Walsh:
		return sum(func(_, q0, p1, q1 float64) float64 { return p1 * math.Sqrt(q0*q1) }) / sum(func(p0, q0, _, q1 float64) float64 { return p0 * math.Sqrt(q0*q1) })
	default:
		v0, v1 := sum(func(p0, q0, _, _ float64) float64 { return p0 * q0 }), sum(func(_, _, p1, q1 float64) float64 { return p1 * q1 })
		return math.Exp(sum(func(p0, q0, p1, q1 float64) float64 { return (p0*q0/v0 + p1*q1/v1) / 2 * math.Log(p1/p0) }))
	}
}

func drawGoods(t *rapid.T) costindex.Goods {
	g := costindex.Goods{}
	goods, periods := rapid.IntRange(1, 6).Draw(t, "goods"), rapid.IntRange(2, 5).Draw(t, "periods")
	for i := range goods {
		g.Names = append(g.Names, string(rune('a'+i)))
	}
	for i := range periods {
		p := costindex.Period{Label: string(rune('1' + i))}
		for range goods {
			p.Prices = append(p.Prices, decimal.MustNew(rapid.Int64Range(1, 100_000).Draw(t, "price"), rapid.IntRange(0, 4).Draw(t, "decimals")))
			p.Quantities = append(p.Quantities, decimal.MustNew(rapid.Int64Range(1, 1000).Draw(t, "quantity"), rapid.IntRange(0, 2).Draw(t, "decimals")))
		}
		g.Periods = append(g.Periods, p)
	}
	return g
}

func mustIndex(t *rapid.T, g costindex.Goods, f costindex.Formula, chained bool, base int) []decimal.Decimal {
	index, err := g.Index(f, chained, base)
	if err != nil {
		t.Fatal(err)
	}
	return index
}

func drawFormula(t *rapid.T) costindex.Formula {
	return rapid.SampledFrom(costindex.Formulas()).Draw(t, "formula")
}

// The base is 100, and each formula gives what the books' form of it gives in
// floating point.
func TestIndexAgreesWithFloatingPoint(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g, f, chained := drawGoods(t), drawFormula(t), rapid.Bool().Draw(t, "chained")
		base := rapid.IntRange(0, len(g.Periods)-1).Draw(t, "base")
		index := mustIndex(t, g, f, chained, base)
		if index[base].Cmp(dec("100")) != 0 {
			t.Fatalf("the base is %v", index[base])
		}
		want := 100.0
		for period := base + 1; period < len(g.Periods); period++ {
			if chained {
				want *= plainly(f, g.Periods[period-1], g.Periods[period])
			} else {
				want = 100 * plainly(f, g.Periods[base], g.Periods[period])
			}
			if got, _ := index[period].Float64(); !near(got, want, 1e-6+1e-12*want) {
				t.Fatalf("%v of %v: %v, by floating point %v", f, g, got, want)
			}
		}
	})
}

// Prices that stay make 100, whatever is bought.
func TestIndexIdentity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := drawGoods(t)
		for i := range g.Periods {
			g.Periods[i].Prices = g.Periods[0].Prices
		}
		for _, index := range mustIndex(t, g, drawFormula(t), rapid.Bool().Draw(t, "chained"), 0) {
			if index.Cmp(dec("100")) != 0 {
				t.Fatalf("%v is not 100", index)
			}
		}
	})
}

// Prices that all become k times as high make 100 k.
func TestIndexProportionality(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := drawGoods(t)
		var c money.Calc
		k := rapid.Int64Range(1, 50).Draw(t, "k")
		for i := range g.Periods {
			prices := slices.Clone(g.Periods[0].Prices)
			for good := range prices {
				if i > 0 {
					prices[good] = c.MulInt(prices[good], k)
				}
			}
			g.Periods[i].Prices = prices
		}
		index := mustIndex(t, g, drawFormula(t), rapid.Bool().Draw(t, "chained"), 0)
		if index[len(index)-1].Cmp(decimal.MustNew(100*k, 0)) != 0 {
			t.Fatalf("%v, want %d", index, 100*k)
		}
	})
}

// A good told in another unit (its price k times, its quantity a k-th) changes
// nothing; nor does the order of the goods.
func TestIndexUnitsAndOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g, f, chained := drawGoods(t), drawFormula(t), rapid.Bool().Draw(t, "chained")
		want := mustIndex(t, g, f, chained, 0)
		var c money.Calc
		good := rapid.IntRange(0, len(g.Names)-1).Draw(t, "good")
		order := rapid.Permutation(rangeOf(len(g.Names))).Draw(t, "order")
		other := costindex.Goods{Names: g.Names}
		for _, p := range g.Periods {
			prices, quantities := slices.Clone(p.Prices), slices.Clone(p.Quantities)
			prices[good] = c.Mul(prices[good], dec("40"))
			quantities[good] = c.Mul(quantities[good], dec("0.025"))
			q := costindex.Period{Label: p.Label}
			for _, i := range order {
				q.Prices, q.Quantities = append(q.Prices, prices[i]), append(q.Quantities, quantities[i])
			}
			other.Periods = append(other.Periods, q)
		}
		got := mustIndex(t, other, f, chained, 0)
		for i := range want {
			if got[i].Cmp(want[i]) != 0 {
				t.Fatalf("%v became %v", want, got)
			}
		}
	})
}

// Fisher backwards is one over Fisher, and Fisher of prices times Fisher of
// quantities is the ratio of values. Fisher lies between Laspeyres and Paasche. All
// to what rounding to IndexDecimals leaves.
func TestFisherReversal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := drawGoods(t)
		g.Periods = g.Periods[:2]
		there := money.Rat(mustIndex(t, g, costindex.Fisher, false, 0)[1])
		back := money.Rat(mustIndex(t, g, costindex.Fisher, false, 1)[0])
		// Each is within half of 1e-6 of the truth.
		slack := new(big.Rat).Add(there, back)
		slack.Add(slack, big.NewRat(1, 1)).Mul(slack, big.NewRat(1, 2_000_000))
		off := new(big.Rat).Sub(new(big.Rat).Mul(there, back), big.NewRat(10_000, 1))
		if off.Abs(off).Cmp(slack) > 0 {
			t.Fatalf("there %v, back %v", there, back)
		}

		turned := costindex.Goods{Names: g.Names}
		value := func(p costindex.Period) *big.Rat {
			sum := new(big.Rat)
			for i := range p.Prices {
				sum.Add(sum, new(big.Rat).Mul(money.Rat(p.Prices[i]), money.Rat(p.Quantities[i])))
			}
			return sum
		}
		for _, p := range g.Periods {
			turned.Periods = append(turned.Periods, costindex.Period{Label: p.Label, Prices: p.Quantities, Quantities: p.Prices})
		}
		quantities := money.Rat(mustIndex(t, turned, costindex.Fisher, false, 0)[1])
		slack = new(big.Rat).Add(there, quantities)
		slack.Add(slack, big.NewRat(1, 1)).Mul(slack, big.NewRat(1, 2_000_000))
		ratio := new(big.Rat).Quo(value(g.Periods[1]), value(g.Periods[0]))
		off.Sub(new(big.Rat).Mul(there, quantities), ratio.Mul(ratio, big.NewRat(10_000, 1)))
		if off.Abs(off).Cmp(slack) > 0 {
			t.Fatalf("prices %v times quantities %v is %v off", there, quantities, off)
		}

		l, p := mustIndex(t, g, costindex.Laspeyres, false, 0)[1], mustIndex(t, g, costindex.Paasche, false, 0)[1]
		if f := mustIndex(t, g, costindex.Fisher, false, 0)[1]; f.Cmp(l.Min(p)) < 0 || f.Cmp(l.Max(p)) > 0 {
			t.Fatalf("Fisher %v is not between %v and %v", f, l, p)
		}
	})
}

// Who buys less of what became dearer, relative to the rest, makes Paasche at most
// Fisher and Fisher at most Laspeyres [Bortkiewicz: the sign of the covariance of
// price and quantity relatives; from memory]. Here quantities are those of the
// base over the price relatives.
func TestPaascheIsLessWhereBuyersSubstitute(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := costindex.Goods{Periods: []costindex.Period{{Label: "0"}, {Label: "1"}}}
		for i := range rapid.IntRange(1, 6).Draw(t, "goods") {
			g.Names = append(g.Names, string(rune('a'+i)))
			ratio := rapid.SampledFrom([]int64{1, 2, 4, 5, 8, 10}).Draw(t, "price relative")
			p, q := rapid.Int64Range(1, 1000).Draw(t, "price"), rapid.Int64Range(1, 1000).Draw(t, "quantity")
			g.Periods[0].Prices = append(g.Periods[0].Prices, decimal.MustNew(p, 2))
			g.Periods[0].Quantities = append(g.Periods[0].Quantities, decimal.MustNew(q, 0))
			g.Periods[1].Prices = append(g.Periods[1].Prices, decimal.MustNew(p*ratio, 2))
			g.Periods[1].Quantities = append(g.Periods[1].Quantities, decimal.MustNew(q*1000/ratio, 3))
		}
		l, f, p := mustIndex(t, g, costindex.Laspeyres, false, 0)[1], mustIndex(t, g, costindex.Fisher, false, 0)[1], mustIndex(t, g, costindex.Paasche, false, 0)[1]
		if p.Cmp(f) > 0 || f.Cmp(l) > 0 {
			t.Fatalf("Paasche %v, Fisher %v, Laspeyres %v", p, f, l)
		}
	})
}

func rangeOf(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}
