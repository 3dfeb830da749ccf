package actuals

import (
	"fmt"
	"math/big"
	"reflect"
	"slices"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/money"
	"wattle/internal/takeoff"
)

func cents(t *rapid.T, least, most int64, label string) *decimal.Decimal {
	return new(decimal.MustNew(rapid.Int64Range(least, most).Draw(t, label), 2))
}

// someJobs are finished jobs with lines of every kind and side.
func someJobs(t *rapid.T) []Job {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Job {
		j := Job{
			Office: rapid.SampledFrom([]string{"main", "north"}).Draw(t, "office"), Crew: rapid.SampledFrom([]string{"crew-1", "crew-2"}).Draw(t, "crew"),
			Currency: "USD", HoursOf: rapid.SampledFrom([]HoursOf{Crew, Person}).Draw(t, "hours of"),
		}
		for _, l := range []Line{
			{Kind: Material, Name: "gravel", Category: takeoff.Gravel, Unit: "ft3"},
			{Kind: Material, Name: "post-4x4-8ft", Category: takeoff.Posts, Unit: "each"},
			{Kind: Material, Name: "post-4x4-10ft", Category: takeoff.Posts, Unit: "each"},
			{Kind: Task, Name: "holes", Category: takeoff.Labour, Unit: "hour"},
			{Kind: Labour, Name: "labour-hour", Category: takeoff.Labour, Unit: "hour"},
		} {
			side := rapid.IntRange(0, 3).Draw(t, "side")
			if side&1 == 0 {
				l.Estimated = cents(t, 0, 100_000, "estimated")
			}
			if side&2 == 0 {
				l.Actual = cents(t, 0, 100_000, "actual")
			}
			if side == 3 {
				continue
			}
			if l.Kind == Task && l.Estimated != nil {
				l.Rates = []takeoff.Rate{{Item: "rate-holes", Value: *cents(t, 40, 41, "rate"), Unit: takeoff.HourPerEach}}
			}
			j.Lines = append(j.Lines, l)
		}
		return j
	}), 1, 12).Draw(t, "jobs")
}

func someBy(t *rapid.T) By {
	return By{rapid.SampledFrom(Subjects()).Draw(t, "subject"), rapid.Bool().Draw(t, "by office"), rapid.Bool().Draw(t, "by crew")}
}

func summary(t rapid.TB, jobs []Job, by By) []Group {
	t.Helper()
	groups, err := Summarize(jobs, by)
	if err != nil {
		t.Fatal(err)
	}
	return groups
}

// Groups part the whole: their sums are those of all lines that have both sides,
// and each job counts once in each group that it has a line in.
func TestGroupsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		jobs, by := someJobs(t), someBy(t)
		var estimated, actual, gotEstimated, gotActual big.Rat
		places := map[string]bool{}
		for i, j := range jobs {
			for _, l := range j.Lines {
				if !by.Subject.Covers(l.Kind) {
					continue
				}
				places[fmt.Sprint(i, by.key(j, l))] = true
				if l.Compared() {
					estimated.Add(&estimated, money.Rat(*l.Estimated))
					actual.Add(&actual, money.Rat(*l.Actual))
				}
			}
		}
		counted := int64(0)
		for _, g := range summary(t, jobs, by) {
			gotEstimated.Add(&gotEstimated, money.Rat(g.Estimated))
			gotActual.Add(&gotActual, money.Rat(g.Actual))
			counted += g.Jobs + g.EstimatedOnly + g.ActualOnly
			if (g.Jobs == 0) != g.Estimated.IsZero() {
				t.Errorf("%v: %d jobs were estimated as %s", g.Key, g.Jobs, g.Estimated)
			}
			if !slices.IsSortedFunc(g.Spread[:], decimal.Decimal.Cmp) {
				t.Errorf("%v: the spread %v is not in order", g.Key, g.Spread)
			}
			if r, known, err := g.Ratio(); err != nil || known && (r.Cmp(g.Spread[0]) < 0 || r.Cmp(g.Spread[4]) > 0) {
				t.Errorf("%v: the ratio of the sums, %v, is outside of %v (%v)", g.Key, r, g.Spread, err)
			}
		}
		if gotEstimated.Cmp(&estimated) != 0 || gotActual.Cmp(&actual) != 0 || counted != int64(len(places)) {
			t.Errorf("%s, %s, %d; want %s, %s, %d", &gotEstimated, &gotActual, counted, &estimated, &actual, len(places))
		}
	})
}

// The order of jobs is nothing, and what is grouped more finely adds up to what
// is not.
func TestOrderAndGrainAreNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		jobs, by := someJobs(t), someBy(t)
		groups := summary(t, jobs, by)
		if other := summary(t, rapid.Permutation(jobs).Draw(t, "order"), by); !reflect.DeepEqual(other, groups) {
			t.Errorf("in another order %v, want %v", other, groups)
		}
		fine := summary(t, jobs, By{by.Subject, true, true})
		coarse := map[Key]Group{}
		var c money.Calc
		for _, g := range fine {
			if !by.Office {
				g.Office = ""
			}
			if !by.Crew {
				g.Crew = ""
			}
			sum := coarse[g.Key]
			sum.Estimated, sum.Actual, sum.Jobs = c.Add(sum.Estimated, g.Estimated), c.Add(sum.Actual, g.Actual), sum.Jobs+g.Jobs
			coarse[g.Key] = sum
		}
		for _, g := range groups {
			if sum := coarse[g.Key]; sum.Estimated.Cmp(g.Estimated) != 0 || sum.Actual.Cmp(g.Actual) != 0 || sum.Jobs != g.Jobs {
				t.Errorf("%v: %v, and its parts %v", g.Key, g, sum)
			}
		}
		if len(coarse) != len(groups) {
			t.Errorf("%d groups, and %d of parts", len(groups), len(coarse))
		}
	})
}

// Work that goes as estimated gives a ratio of 1 in every place, and no factor.
func TestAsEstimatedNothingIsSuggested(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		jobs := someJobs(t)
		for _, j := range jobs {
			for i := range j.Lines {
				j.Lines[i].Actual = j.Lines[i].Estimated
			}
		}
		for _, g := range summary(t, jobs, someBy(t)) {
			factor, why, err := g.Factor(1)
			if err != nil || factor != nil || why == "" {
				t.Errorf("%v: a factor of %v (%q, %v)", g.Key, factor, why, err)
			}
			if r, known, err := g.Ratio(); err != nil || known && (r.Cmp(decimal.One) != 0 || g.Spread != [5]decimal.Decimal{r, r, r, r, r}) {
				t.Errorf("%v: ratio %v, spread %v, %v", g.Key, r, g.Spread, err)
			}
		}
	})
}

// What takes k times as long has k times the ratio, in every place of the spread.
func TestRatiosScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		jobs, by := someJobs(t), someBy(t)
		k := rapid.Int64Range(2, 9).Draw(t, "k")
		var c money.Calc
		for _, j := range jobs { // ratios of whole hundredths, so that none is rounded
			for i, l := range j.Lines {
				if l.Compared() {
					hundredths := decimal.MustNew(rapid.Int64Range(1, 300).Draw(t, "ratio"), 2)
					j.Lines[i].Estimated = new(decimal.MustNew(int64(rapid.IntRange(1, 500).Draw(t, "estimated")), 0))
					j.Lines[i].Actual = new(c.Mul(*j.Lines[i].Estimated, hundredths))
				}
			}
		}
		before := summary(t, jobs, by)
		for _, j := range jobs {
			for i, l := range j.Lines {
				if l.Actual != nil {
					j.Lines[i].Actual = new(c.MulInt(*l.Actual, k))
				}
			}
		}
		for i, g := range summary(t, jobs, by) {
			was := before[i]
			if g.Key != was.Key || g.Actual.Cmp(c.MulInt(was.Actual, k)) != 0 || g.Estimated.Cmp(was.Estimated) != 0 {
				t.Errorf("%v, and before %v", g, was)
			}
			if by.Subject == ByCategory {
				continue // lines that are added up need not have whole hundredths
			}
			for q := range g.Spread {
				if g.Spread[q].Cmp(c.MulInt(was.Spread[q], k)) != 0 {
					t.Errorf("%v: spread %v, and before %v", g.Key, g.Spread, was.Spread)
				}
			}
		}
	})
}

// Quantiles against counting: no less ratio has so large a part of all at or
// under it.
func TestSpreadIsTheNearestRank(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) decimal.Decimal { return *cents(t, 0, 30, "ratio") }), 1, 20).Draw(t, "ratios")
		s := spread(slices.Clone(all))
		atOrUnder := func(d decimal.Decimal) (n int) {
			for _, r := range all {
				if r.Cmp(d) <= 0 {
					n++
				}
			}
			return n
		}
		for i, q := range s {
			for _, r := range all {
				enough := atOrUnder(r)*4 >= i*len(all)
				if r.Cmp(q) < 0 && enough && i > 0 || r.Cmp(q) == 0 && !enough {
					t.Errorf("quantile %d/4 of %v is %s", i, all, q)
				}
			}
		}
		if s[0].Cmp(slices.MinFunc(all, decimal.Decimal.Cmp)) != 0 || s[4].Cmp(slices.MaxFunc(all, decimal.Decimal.Cmp)) != 0 {
			t.Errorf("%v is spread over %v", all, s)
		}
	})
}

func TestRatesReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rates := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) takeoff.Rate {
			return takeoff.Rate{Item: rapid.StringMatching(`[a-z]+( [a-z0-9 -]*[a-z])?`).Draw(t, "item"), Value: cents(t, 1, 1000, "value").Trim(0), Unit: takeoff.HourPerFoot}
		}), 1, 3).Draw(t, "rates")
		if got, err := ParseRates(RatesText(rates)); err != nil || !reflect.DeepEqual(got, rates) {
			t.Errorf("%v read back as %v, %v", rates, got, err)
		}
	})
	if got, err := ParseRates(""); err != nil || got != nil {
		t.Errorf("none read back as %v, %v", got, err)
	}
}
