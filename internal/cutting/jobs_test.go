package cutting

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/govalues/decimal"

	"wattle/internal/measure"
)

// tally is how a set of plans turned out.
type tally struct {
	plans, proven int
	times         []time.Duration
}

func (a *tally) add(p *Plan, took time.Duration) {
	a.plans++
	if p.Proven {
		a.proven++
	}
	a.times = append(a.times, took)
}

func (a *tally) report(b *testing.B) {
	slices.Sort(a.times)
	at := func(percent int) float64 {
		return float64(a.times[(len(a.times)-1)*percent/100].Microseconds()) / 1000
	}
	within, _ := slices.BinarySearch(a.times, 100*time.Millisecond)
	share := func(n int) float64 { return 100 * float64(n) / float64(a.plans) }
	b.ReportMetric(float64(a.plans), "plans")
	b.ReportMetric(share(a.proven), "proven-%")
	b.ReportMetric(share(within), "within-100ms-%")
	b.ReportMetric(at(50), "p50-ms")
	b.ReportMetric(at(95), "p95-ms")
	b.ReportMetric(at(100), "max-ms")
}

// generated is a job of a yard's kind: 3 to 30 lengths to 1/16 in, few or many
// of each, from 1 to 4 stock lengths of 6 to 20 ft whose price per foot
// differs, one job in four without prices.
func generated(r *rand.Rand) Request {
	out := Request{Kerf: measure.Inch / 8}
	stock := []int64{6, 8, 10, 12, 14, 16, 20}
	r.Shuffle(len(stock), func(a, b int) { stock[a], stock[b] = stock[b], stock[a] })
	unpriced := r.IntN(4) == 0
	premium := r.Int64N(2) // longer sticks cost more per foot, or not
	longest := measure.Length(0)
	for _, l := range stock[:1+r.IntN(4)] {
		s := Stock{Item: fmt.Sprint(l), Length: measure.Length(l) * measure.Foot}
		if !unpriced {
			s.Price = decimal.MustNew(l*(60+r.Int64N(20)+l*premium), 2)
		}
		out.Stocks = append(out.Stocks, s)
		longest = max(longest, s.Length)
	}
	shortest := []measure.Length{16 * measure.Inch, 40 * measure.Inch}[r.IntN(2)]
	many := []int{1, 3, 10, 30}[r.IntN(4)]
	for range 3 + r.IntN(28) {
		steps := (min(longest, 10*measure.Foot) - shortest) / measure.Sixteenth
		out.Pieces = append(out.Pieces, Piece{shortest + measure.Length(r.Int64N(int64(steps)))*measure.Sixteenth, 1 + r.IntN(many)})
	}
	return out
}

// BenchmarkJobs prints the share proven and the times over generated jobs.
func BenchmarkJobs(b *testing.B) {
	for b.Loop() {
		r := rand.New(rand.NewPCG(1, 2))
		var sum tally
		for range 1000 {
			request := generated(r)
			start := time.Now()
			p, err := Solve(request)
			if err != nil {
				b.Fatal(err)
			}
			check(b, request, p)
			sum.add(p, time.Since(start))
		}
		sum.report(b)
	}
}

// A yard's job is nearly always proven.
func TestGeneratedJobsAreProven(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	var sum tally
	for range 150 {
		request := generated(r)
		p := must(t, request)
		sum.add(p, 0)
	}
	if 100*sum.proven < 98*sum.plans {
		t.Errorf("%d of %d proven, expected 98 %%", sum.proven, sum.plans)
	}
}

// BenchmarkTwentyBays is the cut plan of a small job: rails over 20 bays, three
// to a bay, those at the ends a little longer.
func BenchmarkTwentyBays(b *testing.B) {
	pieces := []Piece{{measure.Must("94.25 in"), 6}, {measure.Must("93.375 in"), 54}}
	stocks := []Stock{{"8 ft", 8 * measure.Foot, price("5.98")}, {"16 ft", 16 * measure.Foot, price("12.98")}}
	for b.Loop() {
		if _, err := Solve(Request{Pieces: pieces, Stocks: stocks, Kerf: measure.Inch / 8}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkYard is the cut plan of a yard of 20 bays with two gates: rails, and
// the parts of the leaves, from stock without prices.
func BenchmarkYard(b *testing.B) {
	r := Request{
		Pieces: []Piece{
			{1_816_100_000, 3}, {1_841_500_000, 3}, {2_185_987_500, 3}, {2_116_137_500, 6}, {2_160_587_500, 3}, {2_008_187_500, 3}, {1_963_737_500, 6},
			{2_033_587_500, 3}, {2_338_387_500, 3}, {2_268_537_500, 6}, {2_312_987_500, 3}, {2_271_712_500, 6}, {2_227_262_500, 12}, {1_473_200_000, 6},
			{1_016_000_000, 3}, {1_895_475_000, 1}, {1_320_800_000, 6}, {2_101_850_000, 2},
		},
		Stocks: []Stock{{Item: "8 ft", Length: 8 * measure.Foot}, {Item: "12 ft", Length: 12 * measure.Foot}, {Item: "16 ft", Length: 16 * measure.Foot}},
		Kerf:   measure.Inch / 8,
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Solve(r); err != nil {
			b.Fatal(err)
		}
	}
}
