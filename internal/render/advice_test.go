package render

import (
	"bytes"
	"io"
	"strings"
	"testing"

	"wattle/internal/book"
	"wattle/internal/check"
	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/quote"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// Figures of our own.
var pricedAt = quote.PricedAt{AsOf: civil.Must("2031-03-01"), Currency: "USD", Head: book.Head{Revision: 3}}

func figures(cost, net, total, hours string, posts int) quote.Figures {
	return quote.Figures{Posts: posts, CrewHours: price(hours).Price, Totals: quote.Totals{Cost: price(cost).Price, Net: price(net).Price, Total: price(total).Price}}
}

func more(cost, net, total, hours string) *quote.Difference {
	return &quote.Difference{Cost: price(cost).Price, Net: price(net).Price, Total: price(total).Price, CrewHours: price(hours).Price}
}

func counts(category takeoff.Category, unit takeoff.Unit, order string, item string) takeoff.Line {
	return takeoff.Line{Item: item, Description: "A " + item, Category: category, Unit: unit, Order: price(order).Price}
}

func threeOptions() quote.Options {
	tall := fault.New(fault.Invalid, "INVALID_REQUEST", "the request has 1 thing(s) to put right")
	tall.Violations = []fault.Violation{{Field: "options[1].spec.rails.count", Description: "practice gives no number above 8 ft"}}
	dig, moved := layout.Caution{Code: "dig", Text: "Look before digging."}, layout.Caution{Code: "posts-moved", Text: "Posts are moved."}
	bends := check.Result{Title: "Post bending", Outcome: check.Fail, Text: "It bends.", Source: "a book"}
	return quote.Options{PricedAt: pricedAt, Cheapest: 2, All: []quote.Option{
		{
			Name: "cedar", Figures: figures("2400.5", "3000.62", "3120.60", "22.10", 14), PerFoot: quote.PerFoot{PriceNet: price("41.25").Price, PriceWithGates: price("38.5012").Price},
			Lines:    []takeoff.Line{counts(takeoff.Posts, takeoff.Each, "14", "post"), counts(takeoff.Labour, takeoff.Hour, "22.10", "crew-hour")},
			Cautions: []layout.Caution{dig, moved}, Checks: []check.Result{bends, {Outcome: check.Pass, Text: "It stands."}}, ToFirst: more("0", "0", "0", "0"), ToCheapest: more("400.5", "500", "520.6", "-1"),
		},
		{Name: "nine\x1bfeet", Err: tall},
		{
			Name: "pine", Figures: figures("2000", "2500.62", "2600.00", "23.1", 16), PerFoot: quote.PerFoot{PriceNet: price("34").Price, PriceWithGates: price("31.75").Price},
			Lines:    []takeoff.Line{counts(takeoff.Posts, takeoff.Each, "16", "post"), counts(takeoff.Boards, takeoff.Each, "1050", "board"), counts(takeoff.Labour, takeoff.Hour, "23.1", "crew-hour")},
			Cautions: []layout.Caution{dig, moved, moved, {Code: "rip", Text: "Boards are ripped."}}, ToFirst: more("-400.5", "-500", "-520.6", "1"), ToCheapest: more("0", "0", "0", "0"),
		},
	}}
}

func someAdvice() quote.Advice {
	candidate := func(bay measure.Length, m spec.Method, f quote.Figures, stock ...measure.Length) quote.Candidate {
		return quote.Candidate{Choice: quote.Choice{MaxBay: bay, Method: m, Stock: stock}, Figures: f}
	}
	ft := measure.Foot
	first := candidate(8*ft, spec.Even, figures("2000", "2500.62", "2600.00", "23.1", 16), 8*ft)
	next := candidate(measure.Must("7 ft 6 in"), spec.Remainder, figures("12012.3", "12514.87", "12613.8", "23.1", 17), 8*ft, 12*ft, 16*ft)
	return quote.Advice{
		PricedAt: pricedAt, Best: quote.Trial{Candidate: first, Cautions: []layout.Caution{{Text: "Look before digging."}}},
		RunnerUp: &next, ToRunnerUp: more("10012.3", "10014.25", "10013.8", "0"), Tried: 5, Refused: 3, Table: []quote.Candidate{first, next},
		Refusals: []quote.Refusal{
			{Reason: "PRICES_MISSING", Count: 2, First: quote.Choice{MaxBay: 6 * ft, Method: spec.Even, Stock: []measure.Length{10 * ft}}, Violations: []fault.Violation{{Field: "prices[rail-2x4-10ft]", Description: "unknown item"}}},
			{Reason: "holes-overlap", Count: 1, First: quote.Choice{MaxBay: 6 * ft, Method: spec.Feathered, Stock: []measure.Length{8 * ft}}, Violations: []fault.Violation{{Description: "Holes reach into one another."}}},
		},
	}
}

func TestAdvicePapers(t *testing.T) {
	for name, write := range map[string]func(io.Writer) error{
		"options.txt": func(w io.Writer) error { return OptionsText(w, threeOptions()) },
		"advice.txt":  func(w io.Writer) error { return AdviceText(w, someAdvice()) },
	} {
		t.Run(name, func(t *testing.T) {
			var b bytes.Buffer
			if err := write(&b); err != nil {
				t.Fatal(err)
			}
			golden(t, name, b.Bytes())
			for l := range strings.Lines(b.String()) {
				if strings.TrimRight(l, " \n") != strings.TrimRight(l, "\n") || strings.Contains(l, "\x1b") {
					t.Errorf("spaces or controls in %q", l)
				}
			}
			if err := write(&full{}); err == nil {
				t.Error("a writer that fails is not noticed")
			}
		})
	}
}

// Nothing to show, and only one candidate, are shown as that.
func TestLittleAdvice(t *testing.T) {
	if err := OptionsText(io.Discard, quote.Options{}); err != nil {
		t.Error(err)
	}
	if err := AdviceText(io.Discard, quote.Advice{}); err != nil {
		t.Error(err)
	}
	one := someAdvice()
	one.RunnerUp, one.ToRunnerUp, one.Refusals, one.Tried, one.Refused = nil, nil, nil, 1, 0
	var b bytes.Buffer
	if err := AdviceText(&b, one); err != nil || strings.Contains(b.String(), "Next: ") || strings.Contains(b.String(), "Left out") || !strings.Contains(b.String(), "1 candidate tried, 0 refused.") {
		t.Errorf("%v\n%s", err, b.String())
	}
}
