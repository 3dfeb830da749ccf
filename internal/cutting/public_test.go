package cutting

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/govalues/decimal"

	"wattle/internal/measure"
)

// public is a published instance with its proven optimum, in sticks of one
// length [BPPLIB: Delorme, Iori, Martello, Optimization Letters 12 (2018)].
type public struct {
	name    string
	request Request
	optimum int64
}

func publicInstances(t testing.TB) []public {
	t.Helper()
	f, err := os.Open("../../../shared/reference/cutting-stock.tsv")
	if err != nil {
		t.Skip("the public instances are not beside this checkout: ", err)
	}
	defer func() { _ = f.Close() }()
	number := func(s string) int64 {
		n, err := strconv.ParseInt(s, 10, 64)
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	var all []public
	for lines := bufio.NewScanner(f); lines.Scan(); {
		if strings.HasPrefix(lines.Text(), "#") {
			continue
		}
		c := strings.Split(lines.Text(), "\t")
		p := public{name: c[0], optimum: number(c[2])}
		p.request.Stocks = []Stock{{"stock", measure.Length(number(c[1])), decimal.One}}
		for _, piece := range strings.Fields(c[3]) {
			l, n, _ := strings.Cut(piece, ":")
			p.request.Pieces = append(p.request.Pieces, Piece{measure.Length(number(l)), int(number(n))})
		}
		all = append(all, p)
	}
	if len(all) < 100 {
		t.Fatalf("only %d instances", len(all))
	}
	return all
}

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

func (a *tally) report(b testing.TB) {
	slices.Sort(a.times)
	at := func(percent int) time.Duration { return a.times[(len(a.times)-1)*percent/100] }
	within, _ := slices.BinarySearch(a.times, 100*time.Millisecond)
	b.Logf("%s/%s, %s: %d plans, %.2f %% proven optimal; p50 %v, p95 %v, max %v; %.2f %% within 100 ms",
		runtime.GOOS, runtime.GOARCH, runtime.Version(), a.plans, 100*float64(a.proven)/float64(a.plans),
		at(50), at(95), at(100), 100*float64(within)/float64(a.plans))
}

// Each answer's bound is valid, none is more than one stick over the optimum,
// and nearly all are proven. The ordinary run takes every fifth instance.
func TestPublicInstances(t *testing.T) {
	var sum tally
	for i, in := range publicInstances(t) {
		if i%5 != 0 {
			continue
		}
		p, err := Solve(in.request)
		if err != nil {
			t.Fatal(in.name, err)
		}
		cost, _, _ := p.Cost.Int64(0)
		bound, _, _ := p.LowerBound.Int64(0)
		if cost < in.optimum || bound > in.optimum || cost > in.optimum+1 {
			t.Errorf("%s: %d sticks, bound %d, optimum %d", in.name, cost, bound, in.optimum)
		}
		sum.add(p, 0)
	}
	if 100*sum.proven < 95*sum.plans {
		t.Errorf("%d of %d proven, expected 95 %%", sum.proven, sum.plans)
	}
}

// BenchmarkPublicInstances prints the distribution over all of them.
func BenchmarkPublicInstances(b *testing.B) {
	all := publicInstances(b)
	for b.Loop() {
		var sum tally
		for _, in := range all {
			start := time.Now()
			p, err := Solve(in.request)
			if err != nil {
				b.Fatal(err)
			}
			sum.add(p, time.Since(start))
		}
		sum.report(b)
	}
}

// generated is a job of a yard's kind: 3 to 30 lengths, 1 to 4 stock lengths
// of 8 to 20 ft whose price per foot grows with length.
func generated(r *rand.Rand) Request {
	out := Request{Kerf: measure.Inch / 8}
	longest := measure.Length(0)
	for range 1 + r.IntN(4) {
		l := measure.Length(8+2*r.IntN(7)) * measure.Foot
		cents := int64(l/measure.Foot) * (70 + r.Int64N(30))
		out.Stocks = append(out.Stocks, Stock{fmt.Sprint(l), l, decimal.MustNew(cents, 2)})
		longest = max(longest, l)
	}
	for range 3 + r.IntN(28) {
		l := 2*measure.Foot + measure.Length(r.Int64N(int64((longest-2*measure.Foot)/measure.Sixteenth)))*measure.Sixteenth
		out.Pieces = append(out.Pieces, Piece{l, 1 + r.IntN(12)})
	}
	return out
}

// BenchmarkJobs prints the share proven and the times over generated jobs.
func BenchmarkJobs(b *testing.B) {
	for b.Loop() {
		r := rand.New(rand.NewPCG(1, 2))
		var sum tally
		for range 300 {
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
