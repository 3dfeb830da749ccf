package estimating_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/quote"
	"wattle/internal/site"
	"wattle/internal/spec"
)

func advise(s *estimating.Service, change func(*estimating.Advise)) (quote.Advice, error) {
	in := estimating.Advise{Base: base(), Site: fixed(yard()), Spec: tall(6, nil)}
	if change != nil {
		change(&in)
	}
	return s.Advise(scoped(), in)
}

// The advice is the cheapest of all that pass: every candidate is quoted on its
// own, and none that passes is cheaper. All come off one price query.
func TestAdviceIsTheCheapestQuote(t *testing.T) {
	s, prices := opened(t)
	advice, err := advise(s, func(in *estimating.Advise) { in.Table = 100 })
	if err != nil {
		t.Fatal(err)
	}
	if prices.resolved != 1 {
		t.Errorf("%d price queries, expected 1", prices.resolved)
	}
	// 5 widest bays, 3 methods, 8, 12 and 16 ft rails and all of them.
	if advice.Tried != 60 || len(advice.Table) > advice.Tried-advice.Refused || len(advice.Table) < 20 || advice.Table[0].String() != advice.Best.String() {
		t.Errorf("tried %d, refused %d, listed %d, the first %s, the best %s", advice.Tried, advice.Refused, len(advice.Table), advice.Table[0].Choice, advice.Best.Choice)
	}
	if advice.Given == nil || advice.Given.String() != "bays to 8 ft, even, rails of 8 ft, 12 ft and 16 ft" || advice.ToGiven.Cost.Sign() < 0 {
		t.Errorf("as given: %v, %+v", advice.Given, advice.ToGiven)
	}
	sameFigures(t, "as given", advice.Given.Figures, quoted(t, s, "given", yard(), tall(6, nil)))
	fences := map[[32]byte]string{}
	for i, c := range advice.Table {
		q := quoted(t, s, fmt.Sprint("candidate-", i), yard(), c.In(tall(6, nil)))
		sameFigures(t, c.String(), c.Figures, q)
		fence, err := quote.FenceKey(q)
		if fences[fence] != "" || err != nil {
			t.Errorf("%s is the fence of %s, %v", c.Choice, fences[fence], err)
		}
		fences[fence] = c.String()
		if c.Totals.Cost.Cmp(advice.Best.Totals.Cost) < 0 || i > 0 && c.Totals.Cost.Cmp(advice.Table[i-1].Totals.Cost) < 0 {
			t.Errorf("%s costs %s, less than what stands before it", c.Choice, c.Totals.Cost)
		}
	}
	if up := advice.RunnerUp; up.String() != advice.Table[1].String() || advice.ToRunnerUp.Cost.Sign() < 0 {
		t.Errorf("the runner-up is %s, by %+v", up.Choice, advice.ToRunnerUp)
	}
	again, err := advise(s, nil)
	if err != nil || again.Best.String() != advice.Best.String() || len(again.Table) != estimating.TableSize {
		t.Errorf("asked again: %s, %d listed, %v", again.Best.Choice, len(again.Table), err)
	}
}

// A single candidate is its own quote, and has no runner-up.
func TestAdviceOnOneCandidate(t *testing.T) {
	s, _ := opened(t)
	one := tall(6, func(sp *spec.Spec) {
		sp.Rails.Stock = []measure.Length{16 * measure.Foot}
		sp.Layout.MaxBay, sp.Layout.Method = 7*measure.Foot, spec.Remainder
	})
	advice, err := advise(s, func(in *estimating.Advise) {
		in.Spec = one
		in.Search = quote.Search{From: 7 * measure.Foot, To: 7 * measure.Foot, Methods: []spec.Method{spec.Remainder}}
	})
	if err != nil {
		t.Fatal(err)
	}
	if advice.Tried != 1 || advice.RunnerUp != nil || advice.ToRunnerUp != nil || len(advice.Table) != 1 {
		t.Errorf("one candidate: %+v", advice)
	}
	sameFigures(t, "the only candidate", advice.Best.Figures, quoted(t, s, "one", yard(), one))
	// The spec that comes with it asks for the same quote, defaults and all.
	sameFigures(t, "its spec", advice.Best.Figures, quoted(t, s, "echo", yard(), advice.Best.Spec))
}

// Candidates that cannot be laid out, priced or passed are left out, counted
// and explained.
func TestRefusedCandidates(t *testing.T) {
	s, _ := opened(t)
	advice, err := advise(s, func(in *estimating.Advise) {
		in.Spec.Rails.Stock = []measure.Length{8 * measure.Foot, 10 * measure.Foot} // the book has no 10 ft
		in.Spec.Layout.RailStock = 8 * measure.Foot
		in.Search.To = 9 * measure.Foot
	})
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]int{}
	sum := 0
	for _, r := range advice.Refusals {
		found[r.Reason+" "+r.Violations[0].Field] += r.Count
		sum += r.Count
	}
	// 7 bays by 3 methods by 3 stocks; two bays over 8 ft, and of the others two stocks with 10 ft.
	if advice.Tried != 63 || found["INVALID_REQUEST spec.layout.rail_stock"] != 18 || found["PRICES_MISSING prices[rail-2x4-10ft]"] != 30 || sum != advice.Refused {
		t.Errorf("tried %d, refused %d: %v", advice.Tried, advice.Refused, found)
	}
	if !slices.IsSortedFunc(advice.Refusals, func(a, b quote.Refusal) int { return b.Count - a.Count }) {
		t.Errorf("the most frequent reason is not the first: %+v", advice.Refusals)
	}
	for _, c := range advice.Table {
		if !slices.Equal(c.Stock, []measure.Length{8 * measure.Foot}) || c.MaxBay > 8*measure.Foot {
			t.Errorf("%s is listed", c.Choice)
		}
	}
	// A least bay that every share falls under: a caution of the layout.
	_, err = advise(s, func(in *estimating.Advise) {
		in.Spec.Layout.MinBay, in.Spec.Layout.MaxBay = new(measure.Must("5 ft 11 in")), 6*measure.Foot
		in.Search.To = 6 * measure.Foot
	})
	if fault.KindOf(err) != fault.Refused || !strings.Contains(err.Error(), "none of the 12 candidates passes\n  spec.layout: ") || !strings.Contains(err.Error(), "under the least bay of 5 ft 11 in") {
		t.Errorf("nothing passes: %v", err)
	}
}

// The spec as given is tried whatever the search leaves out, so that no advice is
// dearer; what it saves is told.
func TestAdviceIsNoDearerThanTheSpec(t *testing.T) {
	s, _ := opened(t)
	for name, own := range map[string]spec.Layout{
		"wider than the window":    {MaxBay: 10 * measure.Foot},
		"narrower than the window": {MaxBay: 5 * measure.Foot, Method: spec.Feathered},
		"between two steps":        {MaxBay: measure.Must("7 ft 8 in"), Method: spec.Remainder},
	} {
		sp := tall(6, func(sp *spec.Spec) { sp.Layout = own })
		advice, err := advise(s, func(in *estimating.Advise) {
			in.Spec = sp
			in.Search.Methods = []spec.Method{spec.Even}
		})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		q := quoted(t, s, name, yard(), sp)
		if advice.Given == nil || advice.Best.Totals.Cost.Cmp(q.Totals.Cost) > 0 {
			t.Fatalf("%s: the best costs %s, the spec as given %s", name, advice.Best.Totals.Cost, q.Totals.Cost)
		}
		sameFigures(t, name, advice.Given.Figures, q)
		saved, err := q.Totals.Cost.Sub(advice.Best.Totals.Cost)
		if err != nil || saved.Cmp(advice.ToGiven.Cost) != 0 || advice.Given.MaxBay != own.MaxBay || advice.Tried != 21 {
			t.Errorf("%s: saves %s, told %+v, given %s, tried %d", name, saved, advice.ToGiven, advice.Given.Choice, advice.Tried)
		}
		if name == "wider than the window" && advice.Best.MaxBay != own.MaxBay {
			t.Errorf("%s: the best is %s", name, advice.Best.Choice)
		}
	}
}

func TestBadAdvice(t *testing.T) {
	s, _ := opened(t)
	for name, c := range map[string]struct {
		change func(*estimating.Advise)
		want   []string
	}{
		"spec": {func(in *estimating.Advise) {
			in.Spec.Height, in.Spec.Posts.Size, in.Table = 0, "1x6", -1
		}, []string{"table_size", "spec.height", "spec.posts.size"}},
		"range": {func(in *estimating.Advise) {
			in.Search = quote.Search{From: 7 * measure.Foot, To: 6 * measure.Foot, Step: -1, Methods: []spec.Method{"odd", spec.Even, spec.Even}}
		}, []string{"bay_step", "bay_to", "methods[0]", "methods[2]"}},
		"too many": {func(in *estimating.Advise) { in.Search.Step = measure.Inch / 64 }, []string{"bay_step"}},
		"everything": {func(in *estimating.Advise) {
			in.Search.Step = 1
			in.Base.Currency, in.Base.Pricing.Profit = "", "guess"
			in.Spec.Height = 0
			in.Site = fixed(site.Site{Runs: []site.Run{{ID: "dot", Vertices: []measure.Point{{}, {}}}}})
		}, []string{"bay_step", "currency", "pricing.profit", "site.runs[0].vertices[1]", "spec.height"}},
		"site": {func(in *estimating.Advise) {
			in.Site = fixed(site.Site{Runs: []site.Run{{ID: "dot", Vertices: []measure.Point{{}, {}}}}})
		}, []string{"site.runs[0].vertices[1]"}},
		"stock": {func(in *estimating.Advise) {
			in.Spec.Rails.Stock = []measure.Length{12 * measure.Foot, 8 * measure.Foot}
		}, []string{"spec.rails.stock[1]"}},
	} {
		_, err := advise(s, c.change)
		got := violations(t, err)
		slices.Sort(got)
		slices.Sort(c.want)
		if fault.KindOf(err) != fault.Invalid || !slices.Equal(got, c.want) {
			t.Errorf("%s: %v\nlists %q, expected %q", name, err, got, c.want)
		}
	}
	_, err := advise(s, func(in *estimating.Advise) { in.Search.Step = measure.Inch / 64 })
	if !strings.Contains(err.Error(), "1537 widest bays by 3 methods and 4 choices of rails.stock are 18444 candidates; expected at most 500") {
		t.Errorf("too many candidates: %v", err)
	}
	gone, cancel := context.WithCancel(scoped())
	cancel()
	if _, err := s.Advise(gone, estimating.Advise{}); fault.KindOf(err) != fault.Canceled {
		t.Errorf("cancelled: %v", err)
	}
}

// dying is a site that is asked for a few times; then the caller has gone.
func TestAdviceEndsWithItsCaller(t *testing.T) {
	s, prices := opened(t)
	ctx, cancel := context.WithCancel(scoped())
	asked := 0
	in := estimating.Advise{Base: base(), Spec: tall(6, nil), Site: func(spec.Spec) (estimating.Measured, error) {
		if asked++; asked == 5 {
			cancel()
		}
		return estimating.Measured{Site: yard()}, nil
	}}
	if _, err := s.Advise(ctx, in); fault.KindOf(err) != fault.Canceled || asked != 5 || prices.resolved != 0 {
		t.Errorf("after %d candidates and %d queries: %v", asked, prices.resolved, err)
	}
}

// Each candidate has the site as its own bays lay it.
func TestAdviceLaysTheSiteForEachCandidate(t *testing.T) {
	s, _ := opened(t)
	seen := map[measure.Length]bool{}
	_, err := advise(s, func(in *estimating.Advise) {
		in.Site = func(sp spec.Spec) (estimating.Measured, error) {
			seen[sp.Layout.MaxBay] = true
			if sp.Layout.MaxBay == 7*measure.Foot {
				v := &fault.List{}
				v.Add("site.runs[0].vertices[1].arc", "does not go around")
				return estimating.Measured{}, v.Err()
			}
			return estimating.Measured{Site: yard()}, nil
		}
	})
	if err != nil || len(seen) != 6 { // as given, with no bay, and five
		t.Errorf("%v; the site was asked for with bays of %v", err, seen)
	}
}
