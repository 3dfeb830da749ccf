package quote

import (
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/money"
	"wattle/internal/takeoff"
)

// totalsOf prices custom lines alone, over no fence.
func totalsOf(t *testing.T, p Pricing, lines ...CustomLine) Quote {
	t.Helper()
	r := Request{Currency: money.USD, Custom: lines, Pricing: p.WithDefaults()}
	q := Quote{Takeoff: &takeoff.Takeoff{}}
	var c money.Calc
	q.price(&c, r, newShop(r, nil))
	q.total(&c, r)
	if err := c.Err(); err != nil {
		t.Fatal(err)
	}
	return q
}

func line(kind Kind, amount string) CustomLine {
	return CustomLine{Description: string(kind), Kind: kind, Amount: dec(amount)}
}

func same(t *testing.T, what string, got decimal.Decimal, want string) {
	t.Helper()
	if got.Cmp(dec(want)) != 0 {
		t.Errorf("%s: %s, expected %s", what, got, want)
	}
}

func TestMarkupIsNotMargin(t *testing.T) {
	// TAX-6, businessecon.org: cost 100, markup 40 % -> price 140, margin
	// 28.57 %; markup 50 % -> margin 33.3 %.
	q := totalsOf(t, Pricing{Profit: Markup, ProfitPercent: dec("40")}, line(Material, "100"))
	same(t, "40 % markup", q.Totals.Net, "140")
	q = totalsOf(t, Pricing{Profit: Margin, ProfitPercent: dec("28.57")}, line(Material, "100"))
	same(t, "28.57 % margin", q.Totals.Net, "140.00")
	q = totalsOf(t, Pricing{Profit: Margin, ProfitPercent: dec("33.333333")}, line(Material, "100"))
	same(t, "33.3 % margin", q.Totals.Net, "150.00")
}

func TestTaxRoundingRuleDecides(t *testing.T) {
	// TAX-4, computed: four lines of 17.50 at 7 %.
	four := []CustomLine{line(Material, "17.50"), line(Material, "17.50"), line(Material, "17.50"), line(Material, "17.50")}
	for _, c := range []struct {
		rule    money.Rounding
		perLine bool
		want    string
	}{
		{money.HalfEven, true, "4.88"},
		{money.HalfUp, false, "4.90"},
		{money.HalfUp, true, "4.92"},
	} {
		q := totalsOf(t, Pricing{Tax: Tax{Percent: dec("7"), Kinds: []Kind{Material}, Rounding: c.rule, PerLine: c.perLine}}, four...)
		same(t, string(c.rule), q.Totals.Tax, c.want)
		same(t, "net", q.Totals.Net, "70")
	}
	// TAX-1, Streamlined Sales and Use Tax Agreement s. 324: 10.99 x 6.25 % = 0.686875 -> 0.69.
	q := totalsOf(t, Pricing{Tax: Tax{Percent: dec("6.25"), Kinds: []Kind{Material}, Rounding: money.HalfUpThird}}, line(Material, "10.99"))
	same(t, "TAX-1", q.Totals.Tax, "0.69")
}

func TestDiscountFallsProRataOnTheTaxablePart(t *testing.T) {
	// 300 of taxable material and 100 of untaxed labour, 40 off: 30 of it falls
	// on the material, so 270 is taxed.
	q := totalsOf(t, Pricing{Tax: Tax{Percent: dec("10"), Kinds: []Kind{Material}}},
		line(Material, "300"), line(LabourKind, "100"), line(Discount, "40"))
	same(t, "taxable", q.Totals.Taxable, "270")
	same(t, "tax", q.Totals.Tax, "27")
	same(t, "net", q.Totals.Net, "360")
	same(t, "total", q.Totals.Total, "387")
}

func TestTaxOnMaterialCost(t *testing.T) {
	q := totalsOf(t, Pricing{ProfitPercent: dec("50"), Tax: Tax{Percent: dec("8"), Basis: OnMaterialCost}},
		line(Material, "200"), line(LabourKind, "100"))
	same(t, "taxable", q.Totals.Taxable, "200")
	same(t, "tax", q.Totals.Tax, "16")
	same(t, "total", q.Totals.Total, "466") // 300 x 1.5 + 16
}

func TestFeesCarryNoOverheadAndNoProfit(t *testing.T) {
	q := totalsOf(t, Pricing{OverheadPercent: dec("10"), ProfitPercent: dec("20")}, line(Material, "100"), line(Fee, "85"))
	same(t, "overhead", q.Totals.Overhead, "10")
	same(t, "profit", q.Totals.Profit, "22")
	same(t, "net", q.Totals.Net, "217")
}

// The printed column adds up, and the lines' shares add up to the price,
// whatever the lines.
func TestTotalsAddUp(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var lines []CustomLine
		for range rapid.IntRange(1, 8).Draw(rt, "lines") {
			kind := rapid.SampledFrom([]Kind{Material, LabourKind, Equipment, Subcontract, Fee}).Draw(rt, "kind")
			cents := rapid.Int64Range(1, 5_000_00).Draw(rt, "cents")
			lines = append(lines, CustomLine{Description: "x", Kind: kind, Amount: decimal.MustNew(cents, 2)})
		}
		lines = append(lines, line(Material, "5000"), CustomLine{Description: "d", Kind: Discount, Amount: decimal.MustNew(rapid.Int64Range(1, 500000).Draw(rt, "off"), 2)})
		p := Pricing{
			OverheadPercent: decimal.MustNew(rapid.Int64Range(0, 4000).Draw(rt, "overhead"), 2),
			Profit:          rapid.SampledFrom([]Profit{Markup, Margin}).Draw(rt, "profit"),
			ProfitPercent:   decimal.MustNew(rapid.Int64Range(0, 6000).Draw(rt, "percent"), 2),
			Tax: Tax{
				Percent: decimal.MustNew(rapid.Int64Range(0, 1200).Draw(rt, "tax"), 2), Kinds: []Kind{Material, Equipment},
				Rounding: rapid.SampledFrom(money.Roundings()).Draw(rt, "rounding"), PerLine: rapid.Bool().Draw(rt, "per line"),
			},
		}
		q := totalsOf(t, p, lines...)
		var c money.Calc
		tot := q.Totals
		shares, taxes := decimal.Zero, decimal.Zero
		for _, l := range q.Lines {
			shares, taxes = c.Add(shares, l.Price), c.Add(taxes, l.Tax)
		}
		if shares.Cmp(tot.Net) != 0 {
			rt.Fatalf("line prices add up to %s, net is %s", shares, tot.Net)
		}
		if got := c.Sum(tot.Cost, tot.Overhead, tot.Profit, tot.Fees, tot.Discount.Neg()); got.Cmp(tot.Net) != 0 {
			rt.Fatalf("the column adds up to %s, net is %s", got, tot.Net)
		}
		if c.Add(tot.Net, tot.Tax).Cmp(tot.Total) != 0 {
			rt.Fatalf("net %s + tax %s is not total %s", tot.Net, tot.Tax, tot.Total)
		}
		if p.Tax.PerLine && taxes.Cmp(tot.Tax) != 0 {
			rt.Fatalf("line taxes add up to %s, tax is %s", taxes, tot.Tax)
		}
		if tot.Taxable.Cmp(tot.Net) > 0 || tot.Taxable.IsNeg() {
			rt.Fatalf("taxable %s of net %s", tot.Taxable, tot.Net)
		}
	})
}

func TestAllocateSharesToTheLastCent(t *testing.T) {
	parts := allocate(dec("100.00"), []decimal.Decimal{dec("1"), dec("1"), dec("1")}, money.USD)
	for i, want := range []string{"33.34", "33.33", "33.33"} {
		same(t, "part", parts[i], want)
	}
	if got := allocate(dec("7"), nil, money.USD); len(got) != 0 {
		t.Errorf("no weights: %v", got)
	}
	same(t, "only zero weights", allocate(dec("7"), []decimal.Decimal{decimal.Zero, decimal.Zero}, money.USD)[0], "7")
}
