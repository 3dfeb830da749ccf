package paper

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"wattle/internal/money"
	"wattle/internal/quote"
	"wattle/internal/render"
	"wattle/internal/site"
)

var (
	update = flag.Bool("update", false, "rewrite the golden texts")
	folder = flag.String("papers", "", "a folder that papers are written to, to be looked at")
)

var sites = map[string]func() site.Site{"10": tenBays, "600": sixHundredBays}

func mustMake(t testing.TB, k Kind, in Input) Result {
	t.Helper()
	out, err := Make(k, in)
	if err != nil {
		t.Fatalf("%s: %v", k, err)
	}
	return out
}

// Every paper, of few bays and of many, on both papers, in all measures: each
// page has its head and its number, and nothing stands outside its margins or
// over something else.
func TestPages(t *testing.T) {
	for name, st := range sites {
		for _, paper := range Papers() {
			for _, m := range render.AllMeasures() {
				tpl := harrow()
				tpl.Paper, tpl.Measures = paper, m
				in := input(t, st(), tpl)
				for _, k := range Kinds() {
					t.Run(fmt.Sprintf("%s/%s/%s/%s", k, name, paper, m), func(t *testing.T) {
						t.Parallel() // papers of one input at once
						out := mustMake(t, k, in)
						if len(out.Cautions) > 0 {
							t.Errorf("%v", out.Cautions)
						}
						if *folder != "" {
							path := filepath.Join(*folder, strings.Join([]string{string(k), name, paper, string(m)}, "-")+".pdf")
							if err := os.WriteFile(path, out.PDF, 0o600); err != nil {
								t.Fatal(err)
							}
						}
						checkPages(t, k, in, out)
					})
				}
			}
		}
	}
}

func checkPages(t *testing.T, k Kind, in Input, out Result) {
	t.Helper()
	pages := readPages(t, out.PDF)
	if len(pages) != out.Pages {
		t.Fatalf("%d pages, and %d are told", len(pages), out.Pages)
	}
	size := sizes[in.Template.WithDefaults().Paper]
	for i, p := range pages {
		upright := p.width == size[0] && p.height == size[1]
		if across := p.width == size[1] && p.height == size[0]; !upright && !across {
			t.Errorf("page %d is %v by %v", i+1, p.width, p.height)
		}
		text := p.text()
		if !strings.Contains(text, fmt.Sprintf("page %d of %d", i+1, len(pages))) {
			t.Errorf("page %d has no number:\n%.300s", i+1, text)
		}
		if !strings.Contains(text, in.Template.Title) {
			t.Errorf("page %d has no head:\n%.300s", i+1, text)
		}
		checkPlaces(t, i+1, p)
	}
}

// checkPlaces: no character lies outside the margins, and none on another of its
// line.
func checkPlaces(t *testing.T, number int, p readPage) {
	t.Helper()
	const least = 18 // a quarter of an inch: what printers leave free
	for i, x := range p.texts {
		if x.X < least || x.X+x.W > p.width-least || x.Y < least || x.Y+x.FontSize > p.height-least+2 {
			t.Errorf("page %d: %q at %.1f, %.1f is outside", number, x.S, x.X, x.Y)
			return
		}
		if i == 0 || strings.TrimSpace(x.S) == "" {
			continue
		}
		for _, y := range p.texts[max(0, i-400):i] {
			if strings.TrimSpace(y.S) != "" && x.Y == y.Y && x.X < y.X+y.W-0.4 && y.X < x.X+x.W-0.4 {
				t.Errorf("page %d: %q stands on %q at %.1f, %.1f", number, x.S, y.S, x.X, x.Y)
				return
			}
		}
	}
}

// What the texts of the papers are, for people to read.
func TestGoldenTexts(t *testing.T) {
	in := input(t, tenBays(), harrow())
	for _, k := range Kinds() {
		var b strings.Builder
		for i, p := range readPages(t, mustMake(t, k, in).PDF) {
			if k == Proposal && i == 2 { // the plan; the golden files of internal/render have it
				continue
			}
			b.WriteString(p.text() + "\n\f\n")
		}
		path := filepath.Join("testdata", string(k)+".txt")
		if *update {
			if err := os.WriteFile(path, []byte(b.String()), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil || string(want) != b.String() {
			t.Errorf("%s differs, %v; run with -update and read the diff:\n%s", path, err, b.String())
		}
	}
}

// The totals on a proposal are the quote's, and nothing on it or on a letter
// tells what the job costs.
func TestCustomersSeePricesAlone(t *testing.T) {
	in := input(t, sixHundredBays(), harrow())
	sums, l := in.Quote.Totals, mustLocale(t, "en-US")
	for k, figures := range map[Kind][]string{
		Proposal:    {l.amount(sums.Net, "USD"), l.amount(sums.Tax, "USD"), l.amount(sums.Total, "USD"), l.amount(sums.Fees, "USD"), l.amount(sums.Discount.Neg(), "USD"), "April 15, 2026"},
		PriceLetter: {l.amount(sums.Total, "USD"), l.amount(in.Repricing.Is.Total, "USD"), l.amount(in.Repricing.Is.Net, "USD"), "October 16, 2026"},
	} {
		var all strings.Builder
		for _, p := range readPages(t, mustMake(t, k, in).PDF) {
			all.WriteString(p.text() + "\n")
		}
		for _, figure := range figures {
			if !strings.Contains(all.String(), figure) {
				t.Errorf("%s does not tell %s", k, figure)
			}
		}
		hidden := []string{l.amount(sums.Cost, "USD"), l.amount(sums.Material, "USD"), l.amount(sums.Labour, "USD"), l.amount(sums.Overhead, "USD"), l.amount(sums.Profit, "USD"),
			"Millbrook", "Ash Lane", "margin", "overhead", "profit"}
		for _, line := range in.Quote.Lines {
			if line.Kind != "fee" && line.Kind != "discount" {
				hidden = append(hidden, l.unitPrice(line.Cost, "USD"))
			}
		}
		for _, figure := range hidden {
			if regexp.MustCompile(`(^|[^\d,.])` + regexp.QuoteMeta(figure) + `($|[^\d])`).MatchString(all.String()) {
				t.Errorf("%s tells %s", k, figure)
			}
		}
	}
}

// Of tax on the cost of material the percentage would tell that cost.
func TestTaxOnCostIsNotReckoned(t *testing.T) {
	in := input(t, tenBays(), harrow())
	in.Request.Pricing.Tax.Basis = "material-cost"
	text := readPages(t, mustMake(t, Proposal, in).PDF)[1].text()
	if strings.Contains(text, "6.5 %") || strings.Contains(text, "taxable") || !strings.Contains(text, "Tax  165.55") {
		t.Errorf("%s", text)
	}
}

// An order list has every bought line once, its suppliers' sums add up to what
// is bought, and the delivery's weight is told.
func TestOrderList(t *testing.T) {
	in := input(t, tenBays(), harrow())
	text := readPages(t, mustMake(t, OrderList, in).PDF)[0].text()
	var c money.Calc
	whole := c.Sum()
	for _, l := range in.Quote.Lines {
		if l.Supplier == "" {
			if l.Item != "" && strings.Contains(text, l.Item+" ") {
				t.Errorf("%s is ordered, and nobody sells it", l.Item)
			}
			continue
		}
		if strings.HasPrefix(l.Item, "rate-") {
			continue
		}
		whole = c.Add(whole, l.Cost)
		if strings.Count(text, "\n"+l.Item+"  ") != 1 {
			t.Errorf("%s is not there once:\n%s", l.Item, text)
		}
	}
	l := mustLocale(t, "en-US")
	for _, words := range []string{"Millbrook Timber", "Ash Lane Hardware", "All orders together " + l.unitPrice(whole, "USD") + " USD", in.Quote.Takeoff.Delivery.Pounds.String()[:1], "packs of 5"} {
		if !strings.Contains(text, words) {
			t.Errorf("no %q in:\n%s", words, text)
		}
	}
}

// Six hundred bays: their crew sheet goes over pages, of which every one repeats
// the run's heads and has its posts once.
func TestLongCrewSheet(t *testing.T) {
	in := input(t, sixHundredBays(), harrow())
	pages := readPages(t, mustMake(t, CrewSheet, in).PDF)
	if n := len(in.Quote.Layout.Bays); n < 600 || len(pages) < 15 {
		t.Fatalf("%d bays on %d pages", n, len(pages))
	}
	posts := map[string]int{}
	for i, p := range pages {
		text := p.text()
		if !strings.Contains(text, "Run field ") || !strings.Contains(text, "dia. x depth") {
			t.Errorf("page %d has no heads:\n%.200s", i+1, text)
		}
		for _, m := range regexp.MustCompile(`(?m)^(P\d+)  `).FindAllStringSubmatch(text, -1) {
			posts[m[1]]++
		}
	}
	if len(posts) != len(in.Quote.Layout.Posts) {
		t.Errorf("%d posts of %d", len(posts), len(in.Quote.Layout.Posts))
	}
	for name, n := range posts {
		if n != 1 {
			t.Errorf("%s is listed %d times", name, n)
		}
	}
}

const printHashes = "WATTLE_TEST_PRINT_HASHES"

// hashes are those of every paper, a line each.
func hashes(t testing.TB) string {
	tpl := harrow()
	tpl.Logo, tpl.Measures = pngLogo(t, 90, 60), render.BothMeasures
	in := input(t, tenBays(), tpl)
	in.Customer.Name = "Pat \u5f35 \u05e9\u05dc\u05d5\u05dd Example"
	var b strings.Builder
	for _, k := range Kinds() {
		sum := sha256.Sum256(mustMake(t, k, in).PDF)
		fmt.Fprintf(&b, "%s %s\n", k, hex.EncodeToString(sum[:]))
	}
	return b.String()
}

// The same input gives the same bytes, in this process and in others.
func TestSameBytes(t *testing.T) {
	want := hashes(t)
	if os.Getenv(printHashes) != "" {
		fmt.Print("HASHES\n" + want + "END\n")
		return
	}
	for range 3 {
		if got := hashes(t); got != want {
			t.Fatalf("other bytes in one process:\n%s%s", want, got)
		}
	}
	for range 3 {
		cmd := exec.CommandContext(t.Context(), os.Args[0], "-test.run", "^TestSameBytes$")
		cmd.Env = append(os.Environ(), printHashes+"=1")
		out, err := cmd.Output()
		if err != nil || !bytes.Contains(out, []byte("HASHES\n"+want+"END\n")) {
			t.Fatalf("other bytes in another process: %v\n%s%s", err, want, out)
		}
	}
}

// A part that is built from other stock now is one line, whatever its items are.
func TestLetterGoesByParts(t *testing.T) {
	in := input(t, tenBays(), harrow())
	again := *in.Repricing
	again.Lines = slices.Clone(again.Lines)
	gone, come := again.Lines[0], again.Lines[0]
	gone.B, come.A = quote.Line{}, quote.Line{}
	come.Item, come.Description = "other", "Other stock"
	again.Lines = append(again.Lines[1:], gone, come)
	in.Repricing = &again
	text := readPages(t, mustMake(t, PriceLetter, in).PDF)[0].text()
	if want := readPages(t, mustMake(t, PriceLetter, input(t, tenBays(), harrow())).PDF)[0].text(); text != want {
		t.Errorf("got\n%s\nwant\n%s", text, want)
	}
}

// A letter needs prices to compare with.
func TestLetterOfNothing(t *testing.T) {
	in := input(t, tenBays(), harrow())
	in.Repricing = nil
	if _, err := Make(PriceLetter, in); err == nil || !strings.Contains(err.Error(), "prices") {
		t.Errorf("%v", err)
	}
	if _, err := Make("poster", in); err == nil {
		t.Error("a poster was made")
	}
}
