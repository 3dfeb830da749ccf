package quote

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/money"
)

// storedQuote is a document read back.
type storedQuote struct {
	name    string
	request Request
	quote   *Quote
}

// storedQuotes are the corpus: quotes of every rules version and family.
func storedQuotes(t testing.TB) []storedQuote {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(corpus, "*.json"))
	if err != nil || len(files) < 20 {
		t.Fatalf("%d documents in the corpus, %v", len(files), err)
	}
	var all []storedQuote
	for _, file := range files {
		document, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		r, q, err := ParseDocument(document)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, storedQuote{strings.TrimSuffix(filepath.Base(file), ".json"), r, q})
	}
	return all
}

type fataler interface {
	Helper()
	Fatal(...any)
}

// reprice prices a stored quote again. What newer rules need beyond its own
// items costs what market asks, then and now.
func reprice(t fataler, s storedQuote, now []book.Resolved) Repricing {
	t.Helper()
	out, err := tryReprice(t, s, now)
	if err != nil {
		t.Fatal(s.name, err)
	}
	return out
}

func tryReprice(t fataler, s storedQuote, now []book.Resolved) (Repricing, error) {
	t.Helper()
	r := s.request.Renewed(civil.Must("2027-09-16"))
	r.Head.Revision = s.request.Head.Revision + 1
	l, err := Plan(r)
	if err != nil {
		t.Fatal(s.name, err)
	}
	job := r.Job(l).Gather()
	more := market(s.request.Unresolved(job), "1")
	for _, w := range job.Wanted() {
		for i := range more {
			if more[i].Item == w.Item {
				more[i].Offers[0].Unit = string(w.Unit)
			}
		}
	}
	was := s.request
	was.Prices = slices.Concat(was.Prices, more)
	r.Prices = slices.Concat(now, more)
	return Reprice(was, s.quote, r, job)
}

// repriced is prices with each offer changed.
func repriced(prices []book.Resolved, change func(item string, e *book.Entry)) []book.Resolved {
	out := slices.Clone(prices)
	for i := range out {
		out[i].Offers = slices.Clone(out[i].Offers)
		for j := range out[i].Offers {
			e := &out[i].Offers[j]
			e.Breaks = slices.Clone(e.Breaks)
			change(out[i].Item, e)
		}
	}
	return out
}

func times(e *book.Entry, percent int64) {
	for i := range e.Breaks {
		by, _ := decimal.New(percent, 2)
		price, _ := e.Breaks[i].Price.Mul(by)
		e.Breaks[i].Price = price.Round(4)
	}
}

// drawPrices moves some prices, and with packs some packs, and adds price breaks
// and further suppliers.
func drawPrices(t *rapid.T, prices []book.Resolved, packs bool) []book.Resolved {
	out := repriced(prices, func(item string, e *book.Entry) {
		times(e, rapid.SampledFrom([]int64{100, 100, 100, 60, 95, 104, 110, 170}).Draw(t, item))
		if strings.HasPrefix(item, "rate-") || strings.HasPrefix(item, "factor-") {
			return
		}
		if rapid.IntRange(0, 3).Draw(t, item+" has a break") == 0 {
			low, _ := e.Breaks[0].Price.Mul(dec("0.9"))
			e.Breaks = append(e.Breaks[:1:1], book.Break{MinQuantity: dec("20"), Price: low.Round(4)})
		}
		if packs && !strings.HasSuffix(item, "-hour") && rapid.IntRange(0, 3).Draw(t, item+" has a pack") == 0 {
			e.Pack = dec(rapid.SampledFrom([]string{"5", "12", "25"}).Draw(t, item+" pack"))
		}
	})
	for i, p := range out {
		if packs && len(p.Offers) == 1 && rapid.IntRange(0, 4).Draw(t, p.Item+" has another supplier") == 0 {
			other := repriced([]book.Resolved{p}, func(item string, e *book.Entry) {
				e.Supplier, e.Pack = "otley", dec("10")
				times(e, rapid.Int64Range(90, 110).Draw(t, item+" elsewhere"))
			})
			out[i].Offers = append(out[i].Offers, other[0].Offers...)
		}
	}
	return out
}

// The effects of every line add up to its change, those of the cost to the
// change of the cost, and both tell the same story but for the rounding of the
// kinds; whatever the rules of then were and whatever moved.
func TestEffectsAddUp(t *testing.T) {
	all := storedQuotes(t)
	rapid.Check(t, func(t *rapid.T) {
		s := all[rapid.IntRange(0, len(all)-1).Draw(t, "quote")]
		p := reprice(t, s, drawPrices(t, s.request.Prices, true))
		var c money.Calc
		var lines Effects
		for _, l := range p.Lines {
			if got := l.By.Sum(&c); got.Cmp(l.Cost) != 0 {
				t.Fatalf("%s, %s: %v are %s, the change is %s", s.name, l.Item, l.By, got, l.Cost)
			}
			if diff := c.Sub(l.B.Cost, l.A.Cost); diff.Cmp(l.Cost) != 0 {
				t.Fatalf("%s: from %s to %s is %s, not %s", l.Item, l.A.Cost, l.B.Cost, diff, l.Cost)
			}
			lines.Rules, lines.Price = c.Add(lines.Rules, l.By.Rules), c.Add(lines.Price, l.By.Price)
			lines.Substitution, lines.Quantity = c.Add(lines.Substitution, l.By.Substitution), c.Add(lines.Quantity, l.By.Quantity)
		}
		if got := p.By.Sum(&c); got.Cmp(p.Cost) != 0 || c.Sub(p.Is.Cost, p.Was.Cost).Cmp(p.Cost) != 0 {
			t.Fatalf("%s: %v are %s, the change is %s from %s to %s", s.name, p.By, got, p.Cost, p.Was.Cost, p.Is.Cost)
		}
		for _, e := range [][2]decimal.Decimal{
			{lines.Rules, p.By.Rules}, {lines.Price, p.By.Price}, {lines.Substitution, p.By.Substitution}, {lines.Quantity, p.By.Quantity},
		} {
			// Four kinds, each rounded by at most half a cent on both sides.
			if off := c.Sub(e[0], e[1]); off.CmpAbs(dec("0.04")) > 0 {
				t.Fatalf("%s: lines give %s, the cost %s", s.name, e[0], e[1])
			}
		}
		if c.Err() != nil {
			t.Fatal(c.Err())
		}
	})
}

// At its own prices by its own rules a quote is what it was.
func TestRepricedAtItsOwnPrices(t *testing.T) {
	for _, s := range storedQuotes(t) {
		p := reprice(t, s, s.request.Prices)
		if !p.By.Price.IsZero() || !p.By.Substitution.IsZero() || !p.By.Quantity.IsZero() {
			t.Errorf("%s: %+v", s.name, p.By)
		}
		if s.request.RulesVersion != RulesVersion {
			continue
		}
		if len(p.Lines) != 0 || !p.By.IsZero() || !p.Cost.IsZero() || !p.Net.IsZero() || !p.Total.IsZero() || cmp.Diff(p.Was, p.Is, decimals) != "" {
			t.Errorf("%s: %+v of %+v", s.name, p.By, p.Lines)
		}
	}
}

// Version 3 chooses sticks by what must be ordered: where the long sticks of a
// quote of version 2 come in packs of 25, it takes short ones. That is by the
// rules, and it is the cost of the old request under them, at its own prices,
// less what was quoted.
func TestRulesEffect(t *testing.T) {
	r := ask(t, straight(ft(88)), privacy(), Pricing{})
	r.RulesVersion, r.Pricing.StaleAfterDays = landVersion, nil
	r.Prices = repriced(r.Prices, func(item string, e *book.Entry) {
		switch item {
		case "rail-2x4-8ft":
			e.Breaks[0].Price = dec("6.00")
		case "rail-2x4-12ft":
			e.Breaks[0].Price = dec("99.00")
		case "rail-2x4-16ft":
			e.Breaks[0].Price, e.Pack = dec("10.00"), dec("25")
		}
	})
	s := storedQuote{"packs", r, build(t, r)}
	p := reprice(t, s, repriced(r.Prices, func(_ string, e *book.Entry) { times(e, 150) }))
	same(t, "rules", p.By.Rules, "-34.00") // 36 x 6.00 - 25 x 10.00
	if p.RulesThen != landVersion || p.RulesNow != RulesVersion {
		t.Errorf("rules %d and %d", p.RulesThen, p.RulesNow)
	}
	newer := r
	newer.RulesVersion = RulesVersion
	was := build(t, newer).Totals.Cost
	half, _ := was.Mul(dec("0.5"))
	if p.By.Price.Cmp(half) != 0 || !p.By.Substitution.IsZero() {
		t.Errorf("half as dear again of %s: %+v", was, p.By)
	}
}

// What newer rules need and had no price then costs what it costs now, by the
// rules.
func TestRulesEffectOfWhatHadNoPrice(t *testing.T) {
	r := ask(t, straight(ft(24)), privacy(), Pricing{})
	s := storedQuote{"bare", r, build(t, r)}
	now := r.Renewed(civil.Must("2027-09-16"))
	now.Head = r.Head
	now.Prices = repriced(r.Prices, func(_ string, e *book.Entry) { times(e, 110) })
	was := r
	was.Prices = gone(r.Prices, "gravel")
	l, err := Plan(now)
	if err != nil {
		t.Fatal(err)
	}
	p, err := Reprice(was, s.quote, now, now.Job(l).Gather())
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range p.Lines {
		if line.Item == "gravel" && (line.By.Rules.Cmp(line.Cost) != 0 || line.Cost.IsZero()) || line.Item != "gravel" && !line.By.Rules.IsZero() {
			t.Errorf("%s: %+v", line.Item, line.By)
		}
	}
}

// A dearer item never makes the price effect of a line negative, whatever packs
// and suppliers it has; and where only prices move, of items in packs that stay,
// nothing is put down to rules or quantities.
func TestDearerItems(t *testing.T) {
	all := slices.DeleteFunc(storedQuotes(t), func(s storedQuote) bool { return s.request.RulesVersion != RulesVersion })
	rapid.Check(t, func(t *rapid.T) {
		s := all[rapid.IntRange(0, len(all)-1).Draw(t, "quote")]
		several := slices.ContainsFunc(s.request.Prices, func(p book.Resolved) bool { return len(p.Offers) > 1 })
		if rapid.Bool().Draw(t, "other market") {
			several = true
			s.request.Prices = drawPrices(t, s.request.Prices, true)
			q, err := Build(s.request)
			if err != nil {
				t.Fatal(err)
			}
			s.quote = q
		}
		p := reprice(t, s, repriced(s.request.Prices, func(item string, e *book.Entry) {
			if rapid.Bool().Draw(t, item+" is dearer") && !strings.HasPrefix(item, "rate-") && !strings.HasPrefix(item, "factor-") {
				times(e, rapid.Int64Range(101, 300).Draw(t, item))
			}
		}))
		for _, l := range p.Lines {
			if l.By.Price.IsNeg() || !l.By.Rules.IsZero() || !several && !l.By.Quantity.IsZero() {
				t.Fatalf("%s, %s: %+v", s.name, l.Item, l.By)
			}
		}
		if p.By.Price.IsNeg() || !p.By.Rules.IsZero() || !several && !p.By.Quantity.IsZero() {
			t.Fatalf("%s: %+v", s.name, p.By)
		}
	})
}

// An offer that the cut plan, packs and rates do not ask about, and any other,
// moves a quote by what building it anew comes to.
func TestAtPricesIsBuild(t *testing.T) {
	all := storedQuotes(t)
	rapid.Check(t, func(t *rapid.T) {
		s := all[rapid.IntRange(0, len(all)-1).Draw(t, "quote")]
		r := s.request
		r.Prices = drawPrices(t, r.Prices, rapid.Bool().Draw(t, "packs move"))
		if rapid.Bool().Draw(t, "one moves") {
			i := rapid.IntRange(0, len(r.Prices)-1).Draw(t, "which")
			one := slices.Clone(s.request.Prices)
			one[i] = r.Prices[i]
			r.Prices = one
		}
		want, err := Build(r)
		if err != nil {
			t.Fatal(s.name, err)
		}
		got, err := AtPrices(s.request, s.quote, r.Prices)
		if err != nil {
			t.Fatal(s.name, err)
		}
		if d := cmp.Diff(want.Totals, got, decimals); d != "" {
			t.Fatal(s.name, d)
		}
	})
}

// gone takes the offers of some items away.
func gone(prices []book.Resolved, items ...string) []book.Resolved {
	out := slices.Clone(prices)
	for i := range out {
		if slices.Contains(items, out[i].Item) {
			out[i] = book.Resolved{Item: out[i].Item, Note: "withdrawn from 2026-09-01"}
		}
	}
	return out
}

func TestItemsWithoutPriceAreAllNamed(t *testing.T) {
	r := ask(t, yard(), privacy(), Pricing{})
	s := storedQuote{"yard", r, build(t, r)}
	now := gone(r.Prices, "gravel", "nail-16d")
	_, again := tryReprice(t, s, now)
	_, fast := AtPrices(s.request, s.quote, now)
	for _, err := range []error{again, fast} {
		e, ok := errors.AsType[*fault.Error](err)
		if !ok || e.Kind != fault.Refused || e.Reason != "PRICES_MISSING" || len(e.Violations) != 2 {
			t.Fatalf("%v", err)
		}
		for _, item := range []string{"gravel", "nail-16d"} {
			if want := "\n  prices[" + item + "]: withdrawn from 2026-09-01"; !strings.Contains(e.Error(), want) {
				t.Errorf("%q is not in %v", want, e)
			}
		}
	}
}

// What is wrong with the stored job by today's rules is no fault of the request.
func TestNotRepriceable(t *testing.T) {
	r := ask(t, straight(ft(24)), privacy(), Pricing{})
	r.Custom = []CustomLine{{Description: "spring offer", Kind: Discount, Amount: dec("100")}}
	s := storedQuote{"discounted", r, build(t, r)}
	_, err := tryReprice(t, s, repriced(r.Prices, func(_ string, e *book.Entry) { times(e, 1) }))
	e, ok := errors.AsType[*fault.Error](err)
	if !ok || e.Kind != fault.Refused || e.Reason != "NOT_REPRICEABLE" || len(e.Violations) != 1 || e.Violations[0].Field != "custom_lines" {
		t.Errorf("%v", err)
	}
}

// Rails of 88 ft by hand: 12 bays of 7 ft 4 in at 3 rails, in pairs from 16 ft
// sticks or one by one from 8 ft ones. Where the long stick gets
// dearer than two short ones, what the same purchase would cost is by price, what
// the short ones save is by stock, and a new pack of boards is by quantity.
func TestRepriceByHand(t *testing.T) {
	r := ask(t, straight(ft(88)), privacy(), Pricing{})
	set := func(p *book.Resolved, price string) { p.Offers[0].Breaks = []book.Break{{Price: dec(price)}} }
	for i := range r.Prices {
		switch p := &r.Prices[i]; p.Item {
		case "rail-2x4-8ft":
			set(p, "6.00")
		case "rail-2x4-12ft":
			set(p, "99.00")
		case "rail-2x4-16ft":
			set(p, "10.00")
		}
	}
	s := storedQuote{"rails", r, build(t, r)}
	lineOf := func(q *Quote, item string) Line {
		for _, l := range q.Lines {
			if l.Item == item {
				return l
			}
		}
		return Line{}
	}
	long, boards := lineOf(s.quote, "rail-2x4-16ft"), lineOf(s.quote, "board-1x6-6ft")
	if long.Quantity.String() != "18" || lineOf(s.quote, "rail-2x4-8ft").Item != "" {
		t.Fatalf("the job is cut otherwise than in the story: %+v", long)
	}
	now := repriced(r.Prices, func(item string, e *book.Entry) {
		switch item {
		case "rail-2x4-16ft":
			e.Breaks[0].Price = dec("13.00")
		case "board-1x6-6ft":
			e.Pack = dec("50")
		}
	})
	p := reprice(t, s, now)
	want := map[string]Effects{
		"rail-2x4-16ft": {Price: dec("54"), Substitution: dec("-234")}, // 18 x 3.00; none at 13.00
		"rail-2x4-8ft":  {Substitution: dec("216")},                    // 36 x 6.00
	}
	packs := ceil(t, boards.Quantity, 50)
	want["board-1x6-6ft"] = Effects{Quantity: must2(must2(packs.Sub(boards.Quantity)).Mul(boards.UnitPrice))}
	for _, l := range p.Lines {
		w := want[l.Item]
		if l.By.Rules.Cmp(w.Rules) != 0 || l.By.Price.Cmp(w.Price) != 0 || l.By.Substitution.Cmp(w.Substitution) != 0 || l.By.Quantity.Cmp(w.Quantity) != 0 {
			t.Errorf("%s: %+v, want %+v", l.Item, l.By, w)
		}
		delete(want, l.Item)
	}
	if len(want) > 0 {
		t.Errorf("no line for %v", want)
	}
	same(t, "prices", p.By.Price, "54")
	same(t, "stock", p.By.Substitution, "-18")
	said := p.Sentence()
	if !strings.HasSuffix(said, " USD more on 2027-09-16 than on 2026-03-02: prices +54.00, other stock -18.00, quantities +"+money.Fixed(p.By.Quantity, 2)+".") ||
		!strings.HasPrefix(said, "The job costs "+money.Fixed(p.Cost, 2)+" USD") {
		t.Error(said)
	}
}

func ceil(t *testing.T, quantity decimal.Decimal, pack int64) decimal.Decimal {
	t.Helper()
	n, _, ok := quantity.Int64(0)
	if !ok {
		t.Fatal(quantity)
	}
	return must2(decimal.New((n+pack-1)/pack*pack, 0))
}

func must2(d decimal.Decimal, err error) decimal.Decimal {
	if err != nil {
		panic(err)
	}
	return d
}

func TestSentence(t *testing.T) {
	on := func(day string, r book.Revision) PricedAt {
		return PricedAt{AsOf: civil.Must(day), Currency: money.USD, Head: book.Head{Revision: r}}
	}
	for _, c := range []struct {
		then, now PricedAt
		cost      string
		by        Effects
		want      string
	}{
		{on("2026-03-16", 1), on("2026-09-16", 2), "-12.5", Effects{Price: dec("-10"), Rules: dec("-2.5")},
			"The job costs 12.50 USD less on 2026-09-16 than on 2026-03-16: rules -2.50, prices -10.00."},
		{on("2026-03-16", 1), on("2026-09-16", 2), "0", Effects{},
			"The job costs the same on 2026-09-16 as on 2026-03-16."},
		{on("2026-03-16", 1), on("2026-03-16", 4), "0", Effects{Price: dec("3"), Substitution: dec("-3")},
			"The job costs the same at book revision 4 as at 1: prices +3.00, other stock -3.00."},
		{on("2026-03-16", 1), on("2026-03-16", 4), "8", Effects{Quantity: dec("8")},
			"The job costs 8.00 USD more at book revision 4 than at 1: quantities +8.00."},
	} {
		p := Repricing{Then: c.then, Now: c.now, By: c.by, Comparison: Comparison{Cost: dec(c.cost)}}
		if got := p.Sentence(); got != c.want {
			t.Errorf("%s\nwant %s", got, c.want)
		}
	}
}

// BenchmarkAtPrices is the work on one open quote when a list comes in: read
// from its document, and priced where nothing it asks for moved, where its posts
// did, and where its rails did and are cut anew.
func BenchmarkAtPrices(b *testing.B) {
	r := ask(b, yard(), privacy(), Pricing{ProfitPercent: dec("25")})
	document := Document(r, build(b, r))
	move := func(prefix string) []book.Resolved {
		return repriced(r.Prices, func(item string, e *book.Entry) {
			if prefix != "" && strings.HasPrefix(item, prefix) {
				times(e, 110)
			}
		})
	}
	for _, c := range []struct{ name, prefix string }{{"nothing", ""}, {"posts", "post-"}, {"rails", "rail-"}} {
		prices := move(c.prefix)
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				request, q, err := ParseDocument(document)
				if err != nil {
					b.Fatal(err)
				}
				if _, err := AtPrices(request, q, prices); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
