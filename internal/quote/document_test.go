package quote

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/govalues/decimal"
	"github.com/gowebpki/jcs"

	"wattle/internal/book"
	"wattle/internal/fault"
)

func build(t testing.TB, r Request) *Quote {
	t.Helper()
	q, err := Build(r)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

func TestDocumentIsCanonical(t *testing.T) {
	r := ask(t, yard(), privacy(), Pricing{ProfitPercent: dec("25")})
	r.Custom = []CustomLine{{Description: "permit \"A\" \\ \u2028 \t\x01 <&> \U0001F528", Kind: Fee, Amount: dec("85.00")}}
	doc := Document(r, build(t, r))
	want, err := jcs.Transform(doc) // RFC 8785, by a general library
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(doc, want) {
		i := 0
		for i < min(len(doc), len(want)) && doc[i] == want[i] {
			i++
		}
		t.Fatalf("not canonical at byte %d:\n got %q\nwant %q", i, doc[max(0, i-40):min(len(doc), i+40)], want[max(0, i-40):min(len(want), i+40)])
	}
}

func TestDocumentReadsBack(t *testing.T) {
	r := ask(t, yard(), privacy(), Pricing{OverheadPercent: dec("12.5"), ProfitPercent: dec("25")})
	r.Custom = []CustomLine{{Description: "permit", Kind: Fee, Amount: dec("85.00")}}
	r.Spec.Items = map[string]string{"post-6x6-14ft": "ours"}
	q := build(t, r)
	doc := Document(r, q)
	r2, q2, err := ParseDocument(doc)
	if err != nil {
		t.Fatal(err)
	}
	if again := Document(r2, q2); !bytes.Equal(again, doc) {
		diff, _ := DiffDocuments(doc, again)
		t.Fatalf("written, read and written again differs: %v", diff)
	}
	// Nothing is lost on the way: the site, a struct without decimals, is equal
	// to the letter.
	if d := cmp.Diff(r.Site, r2.Site); d != "" {
		t.Error(d)
	}
}

func TestParseDocumentNamesWhatIsWrong(t *testing.T) {
	r := ask(t, straight(ft(24)), privacy(), Pricing{})
	doc := string(Document(r, build(t, r)))
	for _, c := range []struct{ old, new, want string }{
		{`"fingerprint_version":"1"`, `"fingerprint_version":"9"`, "fingerprint version 9"},
		{`"company":"harrow"`, `"company":7`, "request.company: is not a string"},
		{`"currency":"USD",`, ``, "request.currency: is missing"},
		{`"closed":false`, `"closed":"no"`, "closed: is not true or false"},
		{`{`, `[`, "not JSON"},
	} {
		_, _, err := ParseDocument([]byte(strings.Replace(doc, c.old, c.new, 1)))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s for %s: %v, expected %q", c.new, c.old, err, c.want)
		}
	}
}

func TestReplay(t *testing.T) {
	r := ask(t, yard(), privacy(), Pricing{ProfitPercent: dec("25")})
	doc := Document(r, build(t, r))
	diff, err := Replay(doc)
	if err != nil || len(diff) > 0 {
		t.Fatalf("replay: %v %v", diff, err)
	}
	forged := bytes.Replace(doc, []byte(`"labour":"`), []byte(`"labour":"1`), 1)
	diff, err = Replay(forged)
	if err != nil || len(diff) == 0 {
		t.Errorf("a forged total must be listed: %v %v", diff, err)
	}
	future := bytes.Replace(doc, fmt.Appendf(nil, `"rules_version":"%d"`, RulesVersion), []byte(`"rules_version":"99"`), 1)
	_, err = Replay(future)
	if e, ok := errors.AsType[*fault.Error](err); !ok || e.Reason != "RULES_UNSUPPORTED" {
		t.Errorf("rules of the future: %v", err)
	}
}

func TestMissingPricesAreListedAtOnce(t *testing.T) {
	r := ask(t, straight(ft(24)), privacy(), Pricing{})
	all := len(r.Prices)
	for i := range r.Prices {
		r.Prices[i].Offers, r.Prices[i].Note = nil, "unknown item"
	}
	_, err := Build(r)
	e, ok := errors.AsType[*fault.Error](err)
	if !ok || e.Kind != fault.Refused || e.Reason != "PRICES_MISSING" || len(e.Violations) != all {
		t.Fatalf("expected all %d items in one error, got %v", all, err)
	}
	r = ask(t, straight(ft(24)), privacy(), Pricing{})
	r.Currency = "CAD"
	if _, err = Build(r); err == nil || !strings.Contains(err.Error(), "is priced in USD; the quote is in CAD") {
		t.Errorf("another currency: %v", err)
	}
}

func TestBadRequestListsEverything(t *testing.T) {
	r := ask(t, straight(ft(24)), privacy(), Pricing{})
	r.Currency, r.ValidUntil = "", r.AsOf.AddDays(-1)
	r.Custom = []CustomLine{{Kind: "gift", Amount: dec("-1")}}
	r.Pricing = Pricing{OverheadPercent: dec("-1"), Profit: Margin, ProfitPercent: dec("100"), Tax: Tax{Percent: dec("7"), Basis: OnPrice, Rounding: "down"}}
	_, err := Plan(r)
	for _, field := range []string{
		"currency", "valid_until", "custom_lines[0].description", "custom_lines[0].kind", "custom_lines[0].amount",
		"pricing.overhead_percent", "pricing.profit_percent", "pricing.tax.rounding", "pricing.tax.kinds",
	} {
		if err == nil || !strings.Contains(err.Error(), "\n  "+field+": ") {
			t.Errorf("%s is not listed in: %v", field, err)
		}
	}
}

func TestADiscountOverThePriceIsRefused(t *testing.T) {
	r := ask(t, straight(ft(24)), privacy(), Pricing{Tax: Tax{Percent: dec("6.5"), Kinds: []Kind{Material}}})
	r.Custom = []CustomLine{line(Discount, "99999")}
	_, err := Build(r)
	if fault.KindOf(err) != fault.Invalid || !strings.Contains(err.Error(), "custom_lines: the discounts of 99999.00 exceed the price of ") {
		t.Errorf("a price below zero: %v", err)
	}
}

func TestADearerItemNeverMakesAQuoteCheaper(t *testing.T) {
	r := ask(t, yard(), privacy(), Pricing{ProfitPercent: dec("25")})
	before := build(t, r).Totals
	for i := range r.Prices {
		dearer := r
		dearer.Prices = market(candidates(r), "1")
		b := &dearer.Prices[i].Offers[0].Breaks[0]
		b.Price, _ = b.Price.Mul(dec("1.3"))
		if after := build(t, dearer).Totals; after.Total.Cmp(before.Total) < 0 {
			t.Errorf("%s dearer: total fell from %s to %s", r.Prices[i].Item, before.Total, after.Total)
		}
	}
}

func candidates(r Request) []string {
	items := make([]string, len(r.Prices))
	for i, p := range r.Prices {
		items[i] = p.Item
	}
	return items
}

func TestCompareSplitsPriceAndQuantity(t *testing.T) {
	r := ask(t, yard(), privacy(), Pricing{})
	a := build(t, r)
	r.Prices = market(candidates(r), "1.1")
	r.Custom = []CustomLine{{Description: "permit", Kind: Fee, Amount: dec("85")}}
	b := build(t, r)
	c, err := Compare(a, b)
	if err != nil {
		t.Fatal(err)
	}
	sum := decimal.Zero
	for _, l := range c.Lines {
		parts, _ := l.By.Price.Add(l.By.Quantity)
		parts, _ = parts.Add(l.By.Substitution)
		if parts.Cmp(l.Cost) != 0 {
			t.Errorf("%s: %s + %s is not %s", l.Item, l.By.Price, l.By.Quantity, l.Cost)
		}
		sum, _ = sum.Add(l.Cost)
	}
	if c.Total.Cmp(decimal.Zero) <= 0 || len(c.Lines) == 0 {
		t.Errorf("dearer prices: total changed by %s over %d lines", c.Total, len(c.Lines))
	}
	same(t, "a quote against itself", must(Compare(a, a)).Total, "0")
	if n := len(must(Compare(a, a)).Lines); n != 0 {
		t.Errorf("a quote against itself has %d changed lines", n)
	}
}

// Where only a price moves, and with it the sticks that rails are cut from, no
// line's change is put down to quantity.
func TestCompareTellsOfOtherStock(t *testing.T) {
	r := ask(t, straight(ft(96)), privacy(), Pricing{})
	a := build(t, r)
	for i, p := range r.Prices {
		if strings.HasPrefix(p.Item, "rail-") {
			price := dec("99") // all but the longest
			if strings.HasSuffix(p.Item, "-16ft") {
				price = dec("1")
			}
			r.Prices[i].Offers[0].Breaks[0].Price = price
		}
	}
	c := must(Compare(a, build(t, r)))
	substituted := decimal.Zero
	for _, l := range c.Lines {
		if !l.By.Quantity.IsZero() {
			t.Errorf("%s: %s by quantity", l.Item, l.By.Quantity)
		}
		substituted, _ = substituted.Add(l.By.Substitution)
	}
	if substituted.IsZero() {
		t.Error("the cut stays with the sticks it had")
	}
	// Other pieces are another job: then it is the quantity.
	longer := must(Compare(a, build(t, ask(t, straight(ft(120)), privacy(), Pricing{}))))
	for _, l := range longer.Lines {
		if !l.By.Substitution.IsZero() {
			t.Errorf("a longer fence: %s of %s by other stock", l.By.Substitution, l.Item)
		}
	}
}

func must(c Comparison, err error) Comparison {
	if err != nil {
		panic(err)
	}
	return c
}

func TestPricesDiffer(t *testing.T) {
	a := market([]string{"gravel"}, "1")
	if d := DiffPrices(a, market([]string{"gravel"}, "1")); d != nil {
		t.Errorf("equal prices: %v", d)
	}
	if d := DiffPrices(a, market([]string{"gravel"}, "2")); len(d) != 1 || !strings.Contains(d[0], "prices[0].offers[0].breaks[0].price") {
		t.Errorf("one price differs: %v", d)
	}
	if d := DiffPrices(a, []book.Resolved{}); len(d) == 0 {
		t.Error("a missing price is no difference")
	}
}

func BenchmarkBuild(b *testing.B) {
	r := ask(b, yard(), privacy(), Pricing{ProfitPercent: dec("25")})
	for b.Loop() {
		q, err := Build(r)
		if err != nil {
			b.Fatal(err)
		}
		if len(q.Lines) == 0 {
			b.Fatal("no lines")
		}
	}
}

func BenchmarkDocument(b *testing.B) {
	r := ask(b, yard(), privacy(), Pricing{ProfitPercent: dec("25")})
	q := build(b, r)
	for b.Loop() {
		b.SetBytes(int64(len(Document(r, q))))
	}
}
