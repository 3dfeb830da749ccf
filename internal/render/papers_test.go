package render

import (
	"bytes"
	"encoding/csv"
	"io"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/quote"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// price is a break from quantity zero; it stands for a figure too.
func price(s string) book.Break {
	p, err := money.ParseDecimal(s)
	if err != nil {
		panic(err)
	}
	return book.Break{Price: p}
}

// mustQuote prices a yard at invented prices of so many dollars and 1 to 4
// decimals.
func mustQuote(t testing.TB, dollars string) (quote.Request, *quote.Quote) {
	t.Helper()
	r := quote.Request{
		Company: "Invented Fences", Customer: "C-17", ExternalRef: "JOB 4", Currency: "USD",
		AsOf: civil.Must("2031-03-01"), ValidUntil: civil.Must("2031-04-01"),
		Head: book.Head{Revision: 3}, RulesVersion: quote.RulesVersion,
		Site: mustSite(plans["yard"]), Spec: spec.Spec{Name: "Yard fence", Height: 6 * measure.Foot}.WithDefaults(),
		Custom: []quote.CustomLine{
			{Description: "Core drilling", Kind: quote.Subcontract, Amount: price("150").Price},
			{Description: "Permit", Kind: quote.Fee, Amount: price("85.50").Price},
			{Description: "Neighbour discount", Kind: quote.Discount, Amount: price("100").Price},
		},
	}
	r.Pricing.OverheadPercent, r.Pricing.ProfitPercent = price("8").Price, price("20").Price
	r.Pricing.Tax.Percent, r.Pricing.Tax.Kinds = price("6.5").Price, []quote.Kind{quote.Material}
	r.Pricing = r.Pricing.WithDefaults()
	l, err := quote.Plan(r)
	if err != nil {
		t.Fatal(err)
	}
	units := map[string]string{"concrete-80lb": "bag", "gravel": "ft3", "nail-8d-ring": "lb", "nail-16d": "lb",
		"crew-hour": "hour", "rate-fence": "hour/ft", "rate-gate": "hour/leaf"}
	for i, item := range takeoff.Candidates(l, r.Spec) {
		e := book.Entry{Item: item, Office: book.MainOffice, Supplier: "yard", Effective: r.AsOf, Revision: 1, State: book.Priced, Currency: "USD", Unit: "each"}
		if u := units[item]; u != "" {
			e.Unit = u
		}
		e.Pack = price("1").Price
		e.Breaks = []book.Break{price(dollars + "." + strings.Repeat("1", i%4+1))}
		if strings.HasPrefix(item, "rate-") {
			e.Breaks[0] = price("0.12")
		}
		r.Prices = append(r.Prices, book.Resolved{Item: item, Offers: []book.Entry{e}})
	}
	q, err := quote.Build(r)
	if err != nil {
		t.Fatal(err)
	}
	return r, q
}

func TestPapers(t *testing.T) {
	r, q := mustQuote(t, "7")
	_, dearer := mustQuote(t, "9")
	change, err := quote.Compare(q, dearer)
	if err != nil {
		t.Fatal(err)
	}
	h := QuoteHeader{ID: "Q-1", CreatedAt: "2031-03-01 10:00 UTC", Fingerprint: [32]byte{1, 2, 3, 255}}
	for name, write := range map[string]func(io.Writer) error{
		"layout.txt":     func(w io.Writer) error { return LayoutText(w, r.Site, q.Layout) },
		"layout.csv":     func(w io.Writer) error { return LayoutCSV(w, r.Site, q.Layout) },
		"takeoff.txt":    func(w io.Writer) error { return TakeoffText(w, q.Takeoff) },
		"takeoff.csv":    func(w io.Writer) error { return TakeoffCSV(w, q.Takeoff) },
		"cuts.txt":       func(w io.Writer) error { return CutListText(w, q.Takeoff) },
		"quote.txt":      func(w io.Writer) error { return QuoteText(w, h, r, q) },
		"why.txt":        func(w io.Writer) error { return WhyText(w, line(t, q.Takeoff, takeoff.Boards)) },
		"comparison.txt": func(w io.Writer) error { return ComparisonText(w, change, r.Currency, "Q-1", "Q-2") },
	} {
		t.Run(name, func(t *testing.T) {
			var b bytes.Buffer
			if err := write(&b); err != nil {
				t.Fatal(err)
			}
			golden(t, name, b.Bytes())
			if strings.HasSuffix(name, ".csv") {
				if _, err := csv.NewReader(&b).ReadAll(); err != nil {
					t.Error(err)
				}
				return
			}
			for l := range strings.Lines(b.String()) {
				if strings.HasPrefix(l, "* ") && utf8.RuneCountInString(l) > width+1 {
					t.Errorf("a caution is wider than %d: %s", width, l)
				}
				if strings.TrimRight(l, " \n") != strings.TrimRight(l, "\n") {
					t.Errorf("spaces end %q", l)
				}
			}
			if err := write(&full{}); err == nil {
				t.Error("a writer that fails is not noticed")
			}
		})
	}
}

// full is a disk without room.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, io.ErrShortWrite }

func line(t *testing.T, k *takeoff.Takeoff, c takeoff.Category) takeoff.Line {
	t.Helper()
	for _, l := range k.Lines {
		if l.Category == c {
			return l
		}
	}
	t.Fatalf("no line of %s", c)
	return takeoff.Line{}
}

// The totals as printed add up, and so do the lines.
func TestPrintedTotalsAddUp(t *testing.T) {
	r, q := mustQuote(t, "7")
	var b bytes.Buffer
	if err := QuoteText(&b, QuoteHeader{ID: "Q"}, r, q); err != nil {
		t.Fatal(err)
	}
	_, lines, _ := strings.Cut(b.String(), "\nLines\n")
	lines, totals, _ := strings.Cut(lines, "\nTotals\n")
	var calc money.Calc
	zero := calc.Sum()
	var costs, discount = zero, zero
	for l := range strings.Lines(lines) {
		fields := strings.Fields(l)
		if !strings.HasPrefix(l, "  ") || len(fields) < 4 || fields[len(fields)-1] == "amount" {
			continue
		}
		d, err := money.ParseDecimal(strings.ReplaceAll(fields[len(fields)-1], ",", ""))
		if err != nil {
			t.Fatal(err)
		}
		if d.IsNeg() {
			discount = calc.Add(discount, d)
		} else {
			costs = calc.Add(costs, d)
		}
	}
	running := zero
	for l := range strings.Lines(totals) {
		fields := strings.Fields(l)
		if len(fields) < 2 {
			continue
		}
		d, err := money.ParseDecimal(strings.ReplaceAll(fields[len(fields)-1], ",", ""))
		if err != nil {
			continue // the note below, and the figures per foot
		}
		switch fields[0] {
		case "Material", "+":
			running = calc.Add(running, d)
		case "-":
			running = calc.Sub(running, d)
		case "=":
			if !running.Equal(d) {
				t.Errorf("%s: adds up to %s", strings.TrimSpace(l), running)
			}
		}
	}
	if !running.Equal(q.Totals.Total) {
		t.Errorf("the total is %s, printed figures add up to %s", q.Totals.Total, running)
	}
	// Exact lines against rounded sums: within half a cent for each of the two.
	want := calc.Add(q.Totals.Cost, q.Totals.Fees)
	off, _ := calc.Sub(costs, want).Float64()
	if math.Abs(off) > 0.01 || !discount.Neg().Equal(q.Totals.Discount) {
		t.Errorf("lines add up to %s and %s off, want %s and %s", costs, discount, want, q.Totals.Discount)
	}
}

func TestCellsAreInert(t *testing.T) {
	k := &takeoff.Takeoff{Lines: []takeoff.Line{{Item: "=cmd", Description: "a, \"b\"\nc", Category: takeoff.Boards}}}
	var b bytes.Buffer
	if err := TakeoffCSV(&b, k); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil || len(rows) != 2 || rows[1][0] != "'=cmd" || rows[1][1] != "a, \"b\"\nc" {
		t.Errorf("%q, %v", rows, err)
	}
}

func TestMoneyOnPaper(t *testing.T) {
	for plain, want := range map[string]string{"0.00": "0.00", "999": "999", "1234": "1,234", "-1234567.5": "-1,234,567.5", "123456": "123,456"} {
		if got := amount(plain); got != want {
			t.Errorf("%s is shown as %s, want %s", plain, got, want)
		}
	}
	for plain, want := range map[string]string{"0.00": "0.00", "-0.00": "0.00", "5": "+5", "-5": "-5"} {
		if got := change(plain); got != want {
			t.Errorf("a change of %s is shown as %s, want %s", plain, got, want)
		}
	}
}

func TestWrapped(t *testing.T) {
	for _, c := range []struct {
		text  string
		limit int
		want  string
	}{
		{"", 5, ""},
		{"one two three", 7, "one two|three"},
		{"a\x1b[31m\nb", 20, "a [31m b"},
		{"abcdefgh ij", 3, "abc|def|gh|ij"},
	} {
		if got := strings.Join(wrapped(c.text, c.limit), "|"); got != c.want {
			t.Errorf("%q in %d is %q, want %q", c.text, c.limit, got, c.want)
		}
	}
}

// Empty results are written, not crashed on.
func TestEmpty(t *testing.T) {
	r := quote.Request{}
	q := &quote.Quote{Layout: &layout.Layout{}, Takeoff: &takeoff.Takeoff{}}
	for _, err := range []error{
		PlanSVG(io.Discard, r.Site, q.Layout, PlanOptions{}),
		LayoutText(io.Discard, r.Site, q.Layout), LayoutCSV(io.Discard, r.Site, q.Layout),
		TakeoffText(io.Discard, q.Takeoff), TakeoffCSV(io.Discard, q.Takeoff), CutListText(io.Discard, q.Takeoff),
		QuoteText(io.Discard, QuoteHeader{}, r, q), WhyText(io.Discard, takeoff.Line{}),
		ComparisonText(io.Discard, quote.Comparison{}, "USD", "a", "b"),
	} {
		if err != nil {
			t.Error(err)
		}
	}
}
