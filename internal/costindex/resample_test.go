package costindex_test

import (
	"fmt"
	"math/big"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/civil"
	"wattle/internal/costindex"
	"wattle/internal/money"
)

// series reads steps such as "2026-01-01 3.5 1.25" (a value by part) and
// "2026-02-10 ?post,rail" (a gap, and what is missing).
func series(to string, steps ...string) costindex.Series {
	s := costindex.Series{To: civil.Must(to)}
	for _, text := range steps {
		words := strings.Fields(text)
		step := costindex.Step{From: civil.Must(words[0])}
		if missing, gap := strings.CutPrefix(words[1], "?"); gap {
			step.Missing = strings.Split(missing, ",")
		} else {
			step.Parts = decs(strings.Join(words[1:], " "))
			s.Parts = []string{"posts", "rails", "boards"}[:len(step.Parts)]
		}
		s.Steps = append(s.Steps, step)
	}
	return s
}

func printed(samples []costindex.Sample) string {
	var text strings.Builder
	for _, s := range samples {
		fmt.Fprintf(&text, "%v..%v", s.From, s.To)
		if s.Whole {
			text.WriteString(" whole")
		}
		fmt.Fprintf(&text, " mean %v last %v known %d/%d", s.Mean, s.Last, s.DaysKnown, s.Days)
		if len(s.Missing) > 0 {
			fmt.Fprintf(&text, " missing %v", s.Missing)
		}
		text.WriteString("\n")
	}
	return text.String()
}

func TestResample(t *testing.T) {
	for _, c := range []struct {
		name  string
		s     costindex.Series
		every costindex.Every
		want  string
	}{
		{"months: the mean is by days, the ends are cut", series("2026-03-10", "2026-01-11 3 1", "2026-02-15 4 1", "2026-03-01 4 2"), costindex.Month, `
2026-01-11..2026-01-31 mean [3 1] last [3 1] known 21/21
2026-02-01..2026-02-28 whole mean [3.5 1] last [4 1] known 28/28
2026-03-01..2026-03-10 mean [4 2] last [4 2] known 10/10
`},
		{"a gap is stated and not filled", series("2026-03-31", "2026-01-01 3", "2026-01-22 ?rail,post", "2026-02-20 ?rail", "2026-03-11 5"), costindex.Month, `
2026-01-01..2026-01-31 whole mean [3] last [] known 21/31 missing [post rail]
2026-02-01..2026-02-28 whole mean [] last [] known 0/28 missing [post rail]
2026-03-01..2026-03-31 whole mean [5] last [5] known 21/31 missing [rail]
`},
		{"weeks begin on Monday, over a new year", series("2026-01-06", "2025-12-28 1", "2026-01-01 2"), costindex.Week, `
2025-12-28..2025-12-28 mean [1] last [1] known 1/1
2025-12-29..2026-01-04 whole mean [1.5714] last [2] known 7/7
2026-01-05..2026-01-06 mean [2] last [2] known 2/2
`},
		{"days", series("2028-03-01", "2028-02-28 1", "2028-03-01 2"), costindex.Day, `
2028-02-28..2028-02-28 whole mean [1] last [1] known 1/1
2028-02-29..2028-02-29 whole mean [1] last [1] known 1/1
2028-03-01..2028-03-01 whole mean [2] last [2] known 1/1
`},
		// 1/3 and 1/3 and 1/3: thirds cut off leave a unit over, which the first gets.
		{"parts add up to the whole", series("2026-01-03", "2026-01-01 1 1 1", "2026-01-02 0 0 0"), costindex.Month, `
2026-01-01..2026-01-03 mean [0.3334 0.3333 0.3333] last [0 0 0] known 3/3
`},
	} {
		samples, err := c.s.Resample(c.every)
		if err != nil || printed(samples) != c.want[1:] {
			t.Errorf("%s: %v\ngot\n%swant%s", c.name, err, printed(samples), c.want)
		}
	}
}

func TestResampleRefusals(t *testing.T) {
	s := series("2026-02-01", "2026-01-01 3 1", "2026-01-01 4 1", "2026-03-01 ?post")
	s.Steps[1].Parts = decs("4")
	s.Steps[2].Parts = decs("1 2")
	_, err := s.Resample(costindex.Every(7))
	want := `the request has 5 thing(s) to put right
  steps[1].from: 2026-01-01 is not after the step before
  steps[1].parts: 1 values for 2 parts
  steps[2].from: 2026-03-01 is after the last day, 2026-02-01
  steps[2].parts: a step without a price of post has no value
  every: span 7 is none; expected day, week or month`
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	if _, err := (costindex.Series{}).Resample(costindex.Day); err == nil {
		t.Error("samples of nothing")
	}
}

func drawSeries(t *rapid.T) costindex.Series {
	s := costindex.Series{Parts: []string{"posts", "rails", "boards"}[:rapid.IntRange(1, 3).Draw(t, "parts")]}
	day := civil.Must("2025-12-20").AddDays(rapid.IntRange(0, 40).Draw(t, "first"))
	for range rapid.IntRange(1, 12).Draw(t, "steps") {
		step := costindex.Step{From: day}
		if rapid.IntRange(0, 4).Draw(t, "gap") == 0 {
			step.Missing = []string{rapid.SampledFrom([]string{"post", "rail"}).Draw(t, "missing")}
		} else {
			for range s.Parts {
				step.Parts = append(step.Parts, decimal.MustNew(rapid.Int64Range(0, 1_000_000).Draw(t, "value"), 4))
			}
		}
		s.Steps = append(s.Steps, step)
		day = day.AddDays(rapid.IntRange(1, 60).Draw(t, "days"))
	}
	s.To = day.AddDays(-1)
	return s
}

// Samples cover the series day by day, without holes; known days are those of the
// days' samples; a mean's parts add up to the mean of the whole, rounded once.
func TestResampleLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSeries(t)
		days, err := s.Resample(costindex.Day)
		if err != nil {
			t.Fatal(err)
		}
		if len(days) != s.Steps[0].From.DaysTo(s.To)+1 {
			t.Fatalf("%d days", len(days))
		}
		every := rapid.SampledFrom([]costindex.Every{costindex.Week, costindex.Month}).Draw(t, "every")
		samples, err := s.Resample(every)
		if err != nil {
			t.Fatal(err)
		}
		for _, sample := range samples {
			known, sum := 0, new(big.Rat)
			for range sample.Days {
				if total, ok := costindex.Total(days[0].Last); ok {
					known++
					sum.Add(sum, money.Rat(total))
				}
				if last := days[0]; last.To == sample.To && fmt.Sprint(last.Last) != fmt.Sprint(sample.Last) {
					t.Fatalf("the last value of %v is %v, on that day %v", sample, sample.Last, last.Last)
				}
				days = days[1:]
			}
			mean, ok := costindex.Total(sample.Mean)
			if known != sample.DaysKnown || ok != (known > 0) || (known < sample.Days) != (len(sample.Missing) > 0) {
				t.Fatalf("%v: %d days known", sample, known)
			}
			if ok {
				want, _, err := money.FromRat(sum.Quo(sum, big.NewRat(int64(known), 1)), costindex.MeanDecimals)
				if err != nil || mean.Cmp(want) != 0 {
					t.Fatalf("%v: the mean is %v, its parts add up to %v", sample, want, mean)
				}
			}
		}
		if len(days) != 0 {
			t.Fatalf("%d days are in no sample", len(days))
		}
	})
}

func BenchmarkResample(b *testing.B) {
	s := costindex.Series{Parts: []string{"posts", "rails", "boards", "concrete", "hardware", "gates", "labour"}}
	day := civil.Must("2022-01-01")
	for i := range 120 {
		step := costindex.Step{From: day.AddDays(i * 15)}
		for part := range s.Parts {
			step.Parts = append(step.Parts, decimal.MustNew(int64(10_000+i*37%400+part*1000), 4))
		}
		s.Steps = append(s.Steps, step)
	}
	s.To = day.AddDays(5*365 - 1)
	for _, every := range []costindex.Every{costindex.Day, costindex.Week, costindex.Month} {
		b.Run(every.String(), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := s.Resample(every); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
