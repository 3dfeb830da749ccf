package paper

import (
	"fmt"
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/measure"
	"wattle/internal/quote"
	"wattle/internal/render"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

func dec(s string) decimal.Decimal { return decimal.MustParse(s) }

func at(east, north int) measure.Point {
	return measure.Point{East: measure.Length(east) * measure.Foot, North: measure.Length(north) * measure.Foot}
}

// tenBays is a yard of two sides with a gate.
func tenBays() site.Site {
	return site.Site{Runs: []site.Run{{
		ID: "back yard", Vertices: []measure.Point{at(0, 0), at(0, 30), at(46, 30)}, Face: site.Left,
		Gates: []site.Gate{{ID: "walk", Station: 8 * measure.Foot, Width: 42 * measure.Inch, Leaves: 1, Hinge: site.HingeStart, Swing: site.Right}},
	}}}
}

// sixHundredBays is a campus of six runs, most of them with gates.
func sixHundredBays() site.Site {
	var st site.Site
	for i := range 6 {
		y := i * 90
		r := site.Run{ID: fmt.Sprintf("field %c, along the service road", 'A'+i), Face: site.Left,
			Vertices: []measure.Point{at(0, y), at(640, y), at(640, y+60), at(520, y+80)}}
		if i%2 == 0 {
			r.Gates = []site.Gate{
				{ID: fmt.Sprintf("drive %d", i+1), Station: 200 * measure.Foot, Width: 12 * measure.Foot, Leaves: 2, Swing: site.Right},
				{ID: fmt.Sprintf("walk %d", i+1), Station: 400 * measure.Foot, Width: 4 * measure.Foot, Leaves: 1, Hinge: site.HingeStart, Swing: site.Right},
			}
		}
		st.Runs = append(st.Runs, r)
	}
	return st
}

// ask is a priced request; each item costs some dollars and cents of its own.
func ask(t testing.TB, st site.Site, s spec.Spec, dollars int) (quote.Request, *quote.Quote) {
	t.Helper()
	r := quote.Request{
		Company: "harrow", Customer: "C-1042", ExternalRef: "yard-2026-017", Currency: "USD",
		AsOf: civil.Must("2026-03-16"), ValidUntil: civil.Must("2026-04-15"),
		Head: book.Head{Revision: 3}, RulesVersion: quote.RulesVersion, Site: st, Spec: s.WithDefaults(),
		Custom: []quote.CustomLine{
			{Description: "Permit", Kind: quote.Fee, Amount: dec("85.50")},
			{Description: "Neighbour discount", Kind: quote.Discount, Amount: dec("100")},
		},
	}
	r.Pricing.OverheadPercent, r.Pricing.ProfitPercent = dec("12"), dec("21")
	r.Pricing.Tax.Percent, r.Pricing.Tax.Kinds = dec("6.5"), []quote.Kind{quote.Material}
	r.Pricing = r.Pricing.WithDefaults()
	l, err := quote.Plan(r)
	if err != nil {
		t.Fatal(err)
	}
	r.Prices = prices(r, takeoff.Candidates(l, r.Spec), dollars)
	q, err := quote.Build(r)
	if err != nil {
		t.Fatal(err)
	}
	return r, q
}

var unitsOf = map[string]string{"concrete-80lb": "bag", "gravel": "ft3", "nail-8d-ring": "lb", "nail-16d": "lb",
	"crew-hour": "hour", "rate-fence": "hour/ft", "rate-gate": "hour/leaf"}

func prices(r quote.Request, items []string, dollars int) []book.Resolved {
	var all []book.Resolved
	for i, item := range items {
		e := book.Entry{Item: item, Office: book.MainOffice, Supplier: []string{"Millbrook Timber", "Ash Lane Hardware"}[i%2], Effective: r.AsOf,
			Revision: 1, State: book.Priced, Currency: "USD", Unit: "each", Pack: dec("1")}
		if u := unitsOf[item]; u != "" {
			e.Unit = u
		}
		if strings.HasPrefix(item, "nail") {
			e.Pack = dec("5")
		}
		price := dec(fmt.Sprintf("%d.%d5", dollars+i%5, i%10))
		switch {
		case strings.HasPrefix(item, "rate-"):
			price = dec("0.12")
		case item == "crew-hour":
			e.Supplier, price = "", dec("96")
		}
		e.Breaks = []book.Break{{MinQuantity: decimal.Zero, Price: price}}
		all = append(all, book.Resolved{Item: item, Offers: []book.Entry{e}})
	}
	return all
}

func cedar() spec.Spec {
	return spec.Spec{Name: "Six-foot cedar privacy, butted boards", Height: 6 * measure.Foot}
}

func harrow() Template {
	return Template{Title: "Harrow & Daughters Fence", Address: []string{"12 Kiln Road", "Harrow's Ford, OH 45000", "office@harrow.example"}}
}

// input is a job with everything a paper may have.
func input(t testing.TB, st site.Site, tpl Template) Input {
	t.Helper()
	r, q := ask(t, st, cedar(), 6)
	in := Input{
		Ref: "0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41", Made: civil.Must("2026-03-16"), Fingerprint: [32]byte{1, 2, 3, 255}, Request: r, Quote: q,
		Customer: Customer{Version: 2, Name: "Pat Example", Lines: []string{"7 Orchard Row", "Harrow's Ford, OH 45001"}, Email: "pat@mail.example", Telephone: "+1 555 0100"},
		Template: tpl, NewLastDay: civil.Must("2026-10-16"),
	}
	for i, name := range []string{"Cedar, butted", "Cedar, board on board", "Chain link, galvanised, with a name that takes several lines in its column", "Metal panels", "Split rail"} {
		o := Option{Ref: fmt.Sprintf("0199c1f2-7a10-7c3e-8b1d-00000000000%d", i), Name: name, Fence: render.Infill(r.Spec, tpl.Measures), ValidUntil: r.ValidUntil, This: i == 0, Acceptable: i != 3}
		o.Net, o.Tax, o.Total = q.Totals.Net, q.Totals.Tax, q.Totals.Total
		if i > 0 {
			o.Net = dec(fmt.Sprintf("%d999.95", i))
			o.Total = dec(fmt.Sprintf("%d3100.05", i))
		}
		in.Options = append(in.Options, o)
	}
	again := reprice(t, r, q)
	in.Repricing = &again
	return in
}

// reprice is what the job comes to half a year later.
func reprice(t testing.TB, r quote.Request, q *quote.Quote) quote.Repricing {
	t.Helper()
	now := r.Renewed(civil.Must("2026-09-16"))
	now.Head = book.Head{Revision: 4}
	l, err := quote.Plan(now)
	if err != nil {
		t.Fatal(err)
	}
	job := now.Job(l).Gather()
	now.Prices = prices(now, job.Candidates(), 7)
	out, err := quote.Reprice(r, q, now, job)
	if err != nil {
		t.Fatal(err)
	}
	return out
}
