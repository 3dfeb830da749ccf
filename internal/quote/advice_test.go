package quote

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

func TestChoices(t *testing.T) {
	v := &fault.List{}
	all := Search{From: ft(7), To: ft(8), Methods: []spec.Method{spec.Feathered, spec.Even}}.WithDefaults(spec.Spec{}).Choices(v, []measure.Length{ft(8), ft(12)})
	var first []string
	for _, c := range all[:6] {
		first = append(first, c.String())
	}
	want := []string{
		"bays to 7 ft, feathered, rails of 8 ft", "bays to 7 ft, feathered, rails of 12 ft", "bays to 7 ft, feathered, rails of 8 ft and 12 ft",
		"bays to 7 ft, even, rails of 8 ft", "bays to 7 ft, even, rails of 12 ft", "bays to 7 ft, even, rails of 8 ft and 12 ft",
	}
	if v.Len() > 0 || len(all) != 3*2*3 || !slices.Equal(first, want) {
		t.Errorf("%d choices, the first %q, %v", len(all), first, v.Err())
	}
	// A step that does not meet the widest bay stops short of it; one length is one choice of stock.
	all = Search{From: ft(6), To: ft(8), Step: measure.Must("9 in"), Methods: []spec.Method{spec.Even}}.Choices(v, []measure.Length{ft(8)})
	if len(all) != 3 || all[2].MaxBay != measure.Must("7 ft 6 in") {
		t.Errorf("by 9 in: %v", all)
	}
	// A fence without rails to cut has none to choose.
	all = Search{From: ft(6), To: ft(6), Methods: []spec.Method{spec.Even}}.WithDefaults(spec.Spec{}).Choices(v, nil)
	if len(all) != 1 || all[0].String() != "bays to 6 ft, even" {
		t.Errorf("without rails: %v", all)
	}
}

// A search is refused with all that is wrong; at the limit it is not.
func TestSearchLimits(t *testing.T) {
	for name, c := range map[string]struct {
		search Search
		stocks int
		want   string
	}{
		"at the limit":   {Search{Step: 1 * measure.Inch, To: ft(6) + 24*measure.Inch, Methods: []spec.Method{spec.Even}}, 19, ""},
		"one stick more": {Search{Step: 1 * measure.Inch, To: ft(6) + 24*measure.Inch, Methods: []spec.Method{spec.Even}}, 20, "bay_step: 25 widest bays by 1 methods and 21 choices of rails.stock are 525 candidates; expected at most 500"},
		"beyond count":   {Search{From: 1, To: measure.MaxLength, Step: 1}, 50, "are 76500000000000000 candidates"},
		"backwards":      {Search{From: ft(9)}, 1, "bay_to: expected at least bay_from, 9 ft, found 8 ft"},
		"negative":       {Search{From: -1, To: -2, Step: -3}, 1, "bay_step: expected a length over zero"},
	} {
		v := &fault.List{}
		stock := make([]measure.Length, c.stocks)
		for i := range stock {
			stock[i] = ft(measure.Length(i + 1))
		}
		all := c.search.WithDefaults(spec.Spec{}).Choices(v, stock)
		err := v.Err()
		if c.want == "" {
			if err != nil || len(all) != MostCandidates {
				t.Errorf("%s: %d choices, %v", name, len(all), err)
			}
			continue
		}
		if err == nil || !strings.Contains(err.Error(), c.want) || all != nil {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}

func TestChoiceIn(t *testing.T) {
	given := spec.Spec{Layout: spec.Layout{MaxBay: ft(5), Feather: 3, ShortEnd: spec.Both}, Rails: spec.Rails{Stock: []measure.Length{ft(8)}, Count: 4}}
	even := Choice{ft(7), spec.Even, []measure.Length{ft(16)}}.In(given)
	if even.Layout.MaxBay != ft(7) || even.Layout.Feather != 3 || even.Layout.ShortEnd != "" || even.Rails.Stock[0] != ft(16) || even.Rails.Count != 4 {
		t.Errorf("even: %+v", even)
	}
	if feathered := (Choice{ft(7), spec.Feathered, nil}).In(given); feathered.Layout.ShortEnd != spec.Both {
		t.Errorf("feathered: %+v", feathered.Layout)
	}
	if given.Rails.Stock[0] != ft(8) {
		t.Error("the spec as given was written to")
	}
}

// trial costs some cents.
func trial(cents int64, posts int, bay measure.Length, m spec.Method, stock ...measure.Length) Trial {
	cost := decimal.MustNew(cents, 2)
	return Trial{Candidate: Candidate{Choice{bay, m, stock}, Figures{Posts: posts, Totals: Totals{Cost: cost, Net: cost, Total: cost}}}}
}

// Of equals: fewer posts, the wider bay, the method's order, fewer sticks.
func TestTies(t *testing.T) {
	want := []Trial{
		trial(100, 9, ft(6), spec.Feathered, ft(8), ft(12)),
		trial(101, 5, ft(7), spec.Feathered, ft(8), ft(12)),
		trial(101, 6, ft(8), spec.Feathered, ft(8), ft(12)),
		trial(101, 6, ft(7), spec.Even, ft(8), ft(12)),
		trial(101, 6, ft(7), spec.Remainder, ft(8), ft(12)),
		trial(101, 6, ft(7), spec.Feathered, ft(8)),
		trial(101, 6, ft(7), spec.Feathered, ft(12)),
		trial(101, 6, ft(7), spec.Feathered, ft(8), ft(12)),
	}
	rapid.Check(t, func(t *rapid.T) {
		mixed := rapid.Permutation(want).Draw(t, "order")
		got, err := Advise(PricedAt{}, mixed, len(mixed))
		if err != nil {
			t.Fatal(err)
		}
		for i, c := range got.Table {
			if c.String() != want[i].String() || c.Posts != want[i].Posts {
				t.Errorf("place %d: %s with %d posts", i, c.Choice, c.Posts)
			}
		}
	})
}

// Whatever was tried: the best is one that passes, none that passes is cheaper,
// the runner-up is the next, and every candidate is listed, left over or refused.
func TestAdviceLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 30).Draw(t, "n")
		trials := make([]Trial, n)
		passes := 0
		for i := range trials {
			trials[i] = trial(rapid.Int64Range(0, 5).Draw(t, "cents"), rapid.IntRange(2, 4).Draw(t, "posts"),
				ft(measure.Length(rapid.IntRange(6, 8).Draw(t, "bay"))), rapid.SampledFrom(Methods()).Draw(t, "method"), ft(8))
			switch rapid.IntRange(0, 3).Draw(t, "fate") {
			case 0:
				trials[i].Err = Broken(rapid.SampledFrom([]string{"a", "b"}).Draw(t, "code"), "spec.holes", "it breaks")
			case 1:
				trials[i].Err = fault.New(fault.Refused, "PRICES_MISSING", "no prices")
			default:
				passes++
			}
		}
		table := rapid.IntRange(0, 40).Draw(t, "table")
		out, err := Advise(PricedAt{}, trials, table)
		if passes == 0 {
			if e, ok := errors.AsType[*fault.Error](err); !ok || e.Kind != fault.Refused || len(e.Violations) == 0 {
				t.Fatalf("nothing passes: %v", err)
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		refused := 0
		for _, r := range out.Refusals {
			refused += r.Count
		}
		if out.Tried != n || out.Refused != n-passes || refused != n-passes || len(out.Table) != min(table, passes) || (out.RunnerUp == nil) != (passes == 1) {
			t.Fatalf("%d of %d pass: %+v", passes, n, out)
		}
		for _, tr := range trials {
			if tr.Err == nil && tr.Totals.Cost.Cmp(out.Best.Totals.Cost) < 0 {
				t.Fatalf("%s is cheaper than the best, %s", tr.Totals.Cost, out.Best.Totals.Cost)
			}
		}
		if out.RunnerUp != nil && out.ToRunnerUp.Cost.Cmp(decimal.Zero) < 0 {
			t.Fatalf("the runner-up is cheaper by %s", out.ToRunnerUp.Cost)
		}
	})
}

// One fence at one cost is one candidate, that of the widest bay; the runner-up
// is another. The spec as given is told with what the best saves.
func TestOneFenceIsOneCandidate(t *testing.T) {
	fence := func(n byte, given bool, tr Trial) Trial {
		tr.Fence[0], tr.Given = n, given
		return tr
	}
	trials := []Trial{
		fence(1, false, trial(100, 6, ft(7), spec.Even)), fence(1, false, trial(100, 6, ft(8), spec.Even)), fence(1, false, trial(100, 6, ft(8), spec.Feathered)),
		fence(2, false, trial(100, 6, ft(7), spec.Remainder)),
		fence(3, true, trial(140, 7, ft(6), spec.Even)),
	}
	out, err := Advise(PricedAt{}, trials, 10)
	if err != nil {
		t.Fatal(err)
	}
	var listed []string
	for _, c := range out.Table {
		listed = append(listed, c.String())
	}
	if want := []string{"bays to 8 ft, even", "bays to 7 ft, remainder", "bays to 6 ft, even"}; !slices.Equal(listed, want) || out.RunnerUp.String() != want[1] || out.Tried != 5 {
		t.Errorf("listed %q, the runner-up %s, tried %d", listed, out.RunnerUp, out.Tried)
	}
	if out.Given == nil || out.Given.String() != "bays to 6 ft, even" || out.ToGiven.Cost.String() != "0.40" {
		t.Errorf("as given: %+v, %+v", out.Given, out.ToGiven)
	}
	trials[4].Err = Broken("narrow", "spec.layout", "It is narrow.")
	if out, err = Advise(PricedAt{}, trials, 10); err != nil || out.Given != nil || out.ToGiven != nil {
		t.Errorf("one that does not pass saves nothing: %+v, %v", out.Given, err)
	}
}

// The window without a word follows the fence.
func TestSearchFollowsTheFence(t *testing.T) {
	for _, c := range []struct {
		family   spec.Family
		own      measure.Length
		given    Search
		from, to measure.Length
	}{
		{spec.VerticalBoards, ft(5), Search{}, ft(6), ft(8)},
		{spec.ChainLink, ft(10), Search{}, ft(8), ft(10)},
		{spec.ChainLink, ft(6), Search{}, ft(6), ft(6)},
		{spec.Wire, measure.Must("16.5 ft"), Search{}, ft(8), measure.Must("16.5 ft")},
		{spec.HorizontalBoards, ft(6), Search{}, ft(4), ft(6)},
		{spec.Panels, measure.Must("6 ft 2 in"), Search{}, measure.Must("6 ft 2 in"), measure.Must("6 ft 2 in")},
		{spec.SplitRail, ft(10), Search{}, ft(10), ft(10)},
		{spec.SplitRail, ft(10), Search{To: ft(9)}, ft(9), ft(9)},
		{spec.ChainLink, ft(10), Search{From: ft(5), To: ft(12)}, ft(5), ft(12)},
	} {
		got := c.given.WithDefaults(spec.Spec{Family: c.family, Layout: spec.Layout{MaxBay: c.own}})
		if got.From != c.from || got.To != c.to || got.Step <= 0 || len(got.Methods) != 3 {
			t.Errorf("%s of %s, %+v: %+v", c.family, c.own, c.given, got)
		}
	}
}

func TestRefusals(t *testing.T) {
	missing := func(items ...string) *fault.Error {
		e := fault.New(fault.Refused, "PRICES_MISSING", "no prices")
		for _, item := range items {
			e.Violations = append(e.Violations, fault.Violation{Field: "prices[" + item + "]", Description: "unknown item"})
		}
		return e
	}
	errs := []*fault.Error{Broken("narrow", "spec.layout", "Run a: narrow."), missing("x"), missing("x", "y"), missing("x"), nil, Broken("narrow", "spec.layout", "Run b: narrow."), missing("x")}
	var trials []Trial
	for i, e := range errs {
		tr := trial(int64(i), 2, ft(6)+measure.Length(i)*measure.Inch, spec.Even, ft(8))
		tr.Err = e
		trials = append(trials, tr)
	}
	out, err := Advise(PricedAt{}, trials, 10)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, r := range out.Refusals {
		got = append(got, fmt.Sprintf("%d %s %s %s", r.Count, r.Reason, r.First.MaxBay.Imperial(), r.Violations[0].Description))
	}
	want := []string{"3 PRICES_MISSING 6 ft 1 in unknown item", "2 narrow 6 ft Run a: narrow.", "1 PRICES_MISSING 6 ft 2 in unknown item"}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}

	// Nothing passes: each reason once, with the candidate it is about.
	_, err = Advise(PricedAt{}, []Trial{trials[0], trials[1], trials[3], trials[5]}, 10)
	wantError := "none of the 4 candidates passes\n" +
		"  spec.layout: Run a: narrow. (bays to 6 ft, even, rails of 8 ft)\n" +
		"  prices[x]: unknown item (bays to 6 ft 1 in, even, rails of 8 ft)"
	if err == nil || err.Error() != wantError {
		t.Errorf("%v, want %s", err, wantError)
	}
	if _, err := Advise(PricedAt{}, nil, 10); fault.KindOf(err) != fault.Refused {
		t.Errorf("nothing was tried: %v", err)
	}
	// One and the same thing is wrong with all of them.
	v := &fault.List{}
	v.Add("site.runs", "none")
	wrong, _ := errors.AsType[*fault.Error](v.Err())
	alike := []Trial{{Err: wrong}, {Err: wrong}}
	if _, err := Advise(PricedAt{}, alike, 10); err == nil || err.Error() != v.Err().Error() {
		t.Errorf("one error for all: %v", err)
	}
}
