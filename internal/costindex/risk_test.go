package costindex_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/civil"
	"wattle/internal/costindex"
	"wattle/internal/money"
)

// monthly is a history from January 2020 on.
func monthly(values ...decimal.Decimal) (history []costindex.Observation) {
	for i, value := range values {
		history = append(history, costindex.Observation{On: civil.Of(civil.Must("2020-01-01").Time().AddDate(0, i+1, -1)), Value: value})
	}
	return history
}

func mustAssess(t testing.TB, r costindex.Risk, history []costindex.Observation) costindex.Assessment {
	t.Helper()
	a, err := r.Assess(history)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// Each month costs 1 % more than the one before (powers of 1.01 to 16 digits): every
// path does the same, so every quantile is the same power.
func TestSteadyGrowth(t *testing.T) {
	var values []decimal.Decimal
	value := dec("100")
	for range 14 {
		values = append(values, value)
		value = decimal.MustParse(fmt.Sprintf("%.12f", math.Pow(1.01, float64(len(values)))*100))
	}
	a := mustAssess(t, costindex.Risk{Every: costindex.Month, Horizons: []int{30, 31, 365}, Draws: 200}, monthly(values...))
	for i, want := range []string{"1.01", "1.0201", "1.126825"} { // 1, 2 and 12 steps
		b := a.Bands[i]
		for _, got := range []decimal.Decimal{b.P5, b.P20, b.P50, b.P80, b.P95} {
			if got.Cmp(dec(want)) != 0 {
				t.Errorf("after %d days %v, want %s", b.Days, got, want)
			}
		}
	}
	// Within 5 %: five months at 1.01^4 = 1.0406 and not 1.01^5 = 1.0510, so four.
	if v, err := a.Validity(dec("5"), dec("1"), 365); err != nil || v.Days != 121 || !v.Chance.IsZero() {
		t.Errorf("valid for %v, %v; want 121 days", v, err)
	}
	// A rise of just 1 % is not more than 1 %.
	if v, err := a.Validity(dec("1"), dec("1"), 0); err != nil || v.Days != 30 {
		t.Errorf("valid for %v, %v; want 30 days", v, err)
	}
	if v, err := a.Validity(dec("0.9"), dec("1"), 0); err != nil || v.Days != 0 {
		t.Errorf("valid for %v, %v; want 0 days", v, err)
	}
	if c, err := a.Contingency(dec("20"), 60); err != nil || c.String() != "2.01" {
		t.Errorf("contingency of %v, %v; want 2.01", c, err)
	}
}

// Cost doubles or halves by turns: drawn one by one, the number of doublings is
// binomial, whose chances are known.
func TestDrawsAreBinomial(t *testing.T) {
	var values []decimal.Decimal
	for i := range 25 {
		values = append(values, decimal.MustNew(int64(100*(1+i%2)), 0))
	}
	a := mustAssess(t, costindex.Risk{Every: costindex.Month, BlockLength: 1, Draws: 100_000, Seed: 7, Horizons: []int{91}}, monthly(values...))
	for multiple, want := range map[string]float64{"0.125": 7. / 8, "0.5": 4. / 8, "2": 1. / 8, "8": 0, "0.1": 1} {
		got, _ := a.Bands[0].ProbabilityAbove(dec(multiple)).Float64()
		if !near(got, want, 0.005) {
			t.Errorf("above %s: %v, binomial %v", multiple, got, want)
		}
	}
	// Drawn two in a row, they come back after two steps, whichever came first.
	pairs := mustAssess(t, costindex.Risk{Every: costindex.Month, BlockLength: 2, Horizons: []int{60}}, monthly(values...))
	if b := pairs.Bands[0]; b.P5.String() != "1" || b.P95.String() != "1" {
		t.Errorf("in blocks of two: %v to %v", b.P5, b.P95)
	}
}

// What was drawn once is drawn again on every machine.
func TestSameDrawsEverywhere(t *testing.T) {
	values := decs("210 215.8 213.5 212.6 210.8 205.6 209.9 208.9 210.9 208.6 208.3 210 209.6 215.2 222.1 204.5 211 225.1")
	a := mustAssess(t, costindex.Risk{Every: costindex.Month, Seed: 42, Horizons: []int{30, 90, 365}}, monthly(values...))
	var got []string
	for _, b := range a.Bands {
		got = append(got, fmt.Sprint(b.Days, b.Steps, " ", b.P5, b.P20, b.P50, b.P80, b.P95, b.ProbabilityAbove(dec("1.05"))))
	}
	want := `30 1 0.920756 0.989342 0.998562 1.027619 1.066825 0.0573
90 3 0.962998 0.980483 0.997128 1.033125 1.131135 0.1732
365 12 0.938177 0.977003 1.036868 1.121652 1.21901 0.4467`
	if strings.Join(got, "\n") != want {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), want)
	}
	if a.Risk.BlockLength != 3 || a.Risk.Draws != costindex.DefaultDraws || a.Changes != 17 || a.Moves != 17 || a.Last.String() != "225.1" {
		t.Errorf("%+v, %d changes, %d moves", a.Risk, a.Changes, a.Moves)
	}
}

func TestAssessRefusals(t *testing.T) {
	long := decs("1 2 3 4 5 6 7 8 9 10 11 12 13")
	gap := monthly(long...)
	gap[4] = costindex.Observation{On: gap[4].On, Missing: []string{"Post 4x4, 8 ft", "Rail 2x4, 8 ft"}}
	gap[6].Value = dec("0")
	gap[9].On = civil.Must("2020-12-31")
	flat := make([]decimal.Decimal, 13)
	for i := range flat {
		flat[i] = dec("5")
	}
	for _, c := range []struct {
		name    string
		r       costindex.Risk
		history []costindex.Observation
		want    string
	}{
		{"one observation", costindex.Risk{Every: costindex.Month}, monthly(dec("3")), "history: 1 values by the month; at least 13 are needed, a year of changes"},
		{"none", costindex.Risk{Every: costindex.Week}, nil, "history: 0 values by the week; at least 53 are needed"},
		{"gaps", costindex.Risk{Every: costindex.Month}, gap, `4 thing(s) to put right
  history[4]: there is no value on 2020-05-31: no price of Post 4x4, 8 ft; Rail 2x4, 8 ft
  history[6]: the value on 2020-07-31 is 0; expected more than 0
  history[9]: 2020-12-31 is not one month after 2020-09-30
  history[10]: 2020-11-30 is not one month after 2020-12-31`},
		{"no change", costindex.Risk{Every: costindex.Month}, monthly(flat...), "history: no value of it differs from the one before"},
		{"blocks", costindex.Risk{Every: costindex.Month, BlockLength: 13}, monthly(long...), "block_length: 13 changes in a row; the history has 12"},
		{"parameters", costindex.Risk{Every: 9, BlockLength: -1, Draws: 99, Horizons: []int{0, 366}}, monthly(long...), `5 thing(s) to put right
  every: span 9 is none; expected day, week or month
  block_length: -1; expected 1 or more, or 0 for the usual
  draws: 99; expected 100 to 100000
  horizons[0]: 0 days; expected 1 to 365
  horizons[1]: 366 days; expected 1 to 365`},
	} {
		if _, err := c.r.Assess(c.history); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v\nwant %s", c.name, err, c.want)
		}
	}
	var none costindex.Assessment
	if _, err := none.Validity(dec("5"), dec("5"), 0); err == nil {
		t.Error("the validity of nothing")
	}
	a := mustAssess(t, costindex.Risk{Every: costindex.Month}, monthly(long...))
	if _, err := a.Validity(dec("-1"), dec("0"), 91); err == nil || !strings.Contains(err.Error(), "3 thing(s)") {
		t.Errorf("%v", err)
	}
	if _, err := a.Contingency(dec("100"), 91); err == nil || !strings.Contains(err.Error(), "2 thing(s)") {
		t.Errorf("%v", err)
	}
}

func drawHistory(t *rapid.T) []costindex.Observation {
	values := []decimal.Decimal{dec("100")}
	for range rapid.IntRange(12, 40).Draw(t, "changes") {
		values = append(values, decimal.MustNew(rapid.Int64Range(5000, 20_000).Draw(t, "value"), 2))
	}
	values[1] = dec("101")
	return monthly(values...)
}

// Quantiles are in order; money in another unit changes no multiple; a validity and
// a contingency are what the draws' chances say.
func TestRiskLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		history := drawHistory(t)
		r := costindex.Risk{
			Every: costindex.Month, BlockLength: rapid.IntRange(0, 5).Draw(t, "block"), Draws: rapid.IntRange(100, 400).Draw(t, "draws"),
			Seed: rapid.Uint64().Draw(t, "seed"), Horizons: []int{30, 60, 91, 121},
		}
		a, err := r.Assess(history)
		if err != nil {
			t.Fatal(err)
		}
		twice := make([]costindex.Observation, len(history))
		for i, o := range history {
			twice[i] = costindex.Observation{On: o.On, Value: (&money.Calc{}).MulInt(o.Value, 2)}
		}
		other, err := r.Assess(twice)
		if err != nil {
			t.Fatal(err)
		}
		for i, b := range a.Bands {
			quantiles := []decimal.Decimal{b.P5, b.P20, b.P50, b.P80, b.P95}
			for j := 1; j < len(quantiles); j++ {
				if quantiles[j-1].Cmp(quantiles[j]) > 0 {
					t.Fatalf("quantiles %v", quantiles)
				}
			}
			if o := other.Bands[i]; fmt.Sprint(quantiles) != fmt.Sprint([]decimal.Decimal{o.P5, o.P20, o.P50, o.P80, o.P95}) {
				t.Fatalf("%v and in other units %v", b, o)
			}
		}
		var c money.Calc
		multiple := func(percent decimal.Decimal) decimal.Decimal {
			return c.Add(decimal.One, c.Percent(decimal.One, percent))
		}
		within := func(b costindex.Band, percent, risk decimal.Decimal) bool {
			exact, _ := b.ProbabilityAbove(multiple(percent)).Float64()
			limit, _ := risk.Float64()
			return exact*100 <= limit+0.005 // told to 4 decimals
		}
		tolerance := decimal.MustNew(rapid.Int64Range(0, 80).Draw(t, "tolerance"), 0)
		risk := decimal.MustNew(rapid.Int64Range(1, 99).Draw(t, "risk"), 0)
		valid, err := a.Validity(tolerance, risk, 121)
		if err != nil {
			t.Fatal(err)
		}
		for _, b := range a.Bands {
			if ok := within(b, tolerance, risk); !ok && b.Days <= valid.Days {
				t.Fatalf("valid for %v, but not after %d days", valid, b.Days)
			} else if !ok {
				break
			} else if b.Days > valid.Days {
				t.Fatalf("valid for %v, but also after %d days", valid, b.Days)
			}
		}
		for _, b := range a.Bands {
			percent, err := a.Contingency(risk, b.Days)
			if err != nil || !within(b, percent, risk) {
				t.Fatalf("contingency %v, %v: above with %v", percent, err, b.ProbabilityAbove(multiple(percent)))
			}
			if less := c.Sub(percent, dec("0.01")); percent.IsPos() {
				got, _ := b.ProbabilityAbove(multiple(less)).Float64()
				limit, _ := risk.Float64()
				if got*100 < limit-0.005 {
					t.Fatalf("contingency %v, but less would do: %v", percent, got)
				}
			}
		}
	})
}

// A series becomes a history of whole months' last values; days before the first
// value and a month that is not over are no part of it.
func TestObserved(t *testing.T) {
	samples, err := series("2026-05-20", "2026-01-01 ?post", "2026-02-10 3 1", "2026-03-10 4 1", "2026-04-10 ?rail").Resample(costindex.Month)
	if err != nil {
		t.Fatal(err)
	}
	history, err := costindex.Observed(samples)
	if want := "[{2026-02-28 4 []} {2026-03-31 5 []} {2026-04-30 0 [rail]}]"; err != nil || fmt.Sprint(history) != want {
		t.Errorf("%v, %v; want %s", history, err, want)
	}
}

func BenchmarkAssess(b *testing.B) {
	history := monthly(decs("210 215.8 213.5 212.6 210.8 205.6 209.9 208.9 210.9 208.6 208.3 210 209.6 215.2 222.1 204.5 211 225.1")...)
	b.ReportAllocs()
	for b.Loop() {
		mustAssess(b, costindex.Risk{Every: costindex.Month, Draws: 10_000}, history)
	}
}
