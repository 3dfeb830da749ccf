package cutting

import (
	"bufio"
	"os"
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
		for piece := range strings.FieldsSeq(c[3]) {
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

// solve holds the answer against the optimum: the bound is valid and the plan
// at most one stick over.
func (in public) solve(t testing.TB) *Plan {
	t.Helper()
	p, err := Solve(in.request)
	if err != nil {
		t.Fatal(in.name, err)
	}
	cost, _, _ := p.Cost.Int64(0)
	bound, _, _ := p.LowerBound.Int64(0)
	if cost < in.optimum || bound > in.optimum || cost > in.optimum+1 {
		t.Errorf("%s: %d sticks, bound %d, optimum %d", in.name, cost, bound, in.optimum)
	}
	return p
}

// TestPublicInstances takes every fourth instance; the benchmark takes all.
func TestPublicInstances(t *testing.T) {
	var sum tally
	for i, in := range publicInstances(t) {
		if i%4 != 0 {
			continue
		}
		p := in.solve(t)
		check(t, in.request, p)
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
			p := in.solve(b)
			sum.add(p, time.Since(start))
		}
		sum.report(b)
	}
}
