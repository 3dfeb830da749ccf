package cutting

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

func price(s string) decimal.Decimal { return decimal.MustParse(s) }

func must(t *testing.T, r Request) *Plan {
	t.Helper()
	p, err := Solve(r)
	if err != nil {
		t.Fatal(err)
	}
	check(t, r, p)
	return p
}

// check holds a plan against its request: every piece is cut, no stick is cut
// past its length, and the sums are the sums.
func check(t testing.TB, r Request, p *Plan) {
	t.Helper()
	want, got := map[measure.Length]int{}, map[measure.Length]int{}
	for _, piece := range r.Pieces {
		want[piece.Length] += piece.Count
	}
	sticks := make([]int, len(r.Stocks))
	for _, pattern := range p.Patterns {
		used := -r.Kerf
		for _, c := range pattern.Cuts {
			used += c + r.Kerf
			got[c] += pattern.Times
		}
		if used > r.Stocks[pattern.Stock].Length {
			t.Errorf("%v takes %s of a stick of %s", pattern.Cuts, used, r.Stocks[pattern.Stock].Length)
		}
		if !slices.IsSortedFunc(pattern.Cuts, func(a, b measure.Length) int { return int(b - a) }) {
			t.Errorf("%v is not longest first", pattern.Cuts)
		}
		sticks[pattern.Stock] += pattern.Times
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("pieces: %s", d)
	}
	if !slices.Equal(sticks, p.Sticks) {
		t.Errorf("patterns use %v sticks, the plan buys %v", sticks, p.Sticks)
	}
	if p.LowerBound.Cmp(p.Cost) > 0 || p.Proven != (p.LowerBound.Cmp(p.Cost) == 0) {
		t.Errorf("cost %s, bound %s, proven %v", p.Cost, p.LowerBound, p.Proven)
	}
	if p.Bought-p.Used != p.Waste || p.Waste < 0 {
		t.Errorf("bought %s, used %s, waste %s", p.Bought, p.Used, p.Waste)
	}
}

func feet(n measure.Length) measure.Length { return n * measure.Foot }

func TestKerfParts(t *testing.T) {
	kerf := measure.Inch / 8
	half := 47*measure.Inch + 15*measure.Sixteenth
	for _, c := range []struct {
		name  string
		piece measure.Length
		kerf  measure.Length
		want  int
	}{
		{"two pieces and one cut fill the stick", half, kerf, 1},
		{"a 64th more needs another stick", half + measure.SixtyFourth, kerf, 2},
		{"without a kerf halves fit", feet(4), 0, 1},
		{"with one they do not", feet(4), kerf, 2},
	} {
		p := must(t, Request{Pieces: []Piece{{c.piece, 2}}, Stocks: []Stock{{Length: feet(8)}}, Kerf: c.kerf})
		if p.Sticks[0] != c.want {
			t.Errorf("%s: %d sticks, expected %d", c.name, p.Sticks[0], c.want)
		}
	}
}

func TestPricesChooseTheStock(t *testing.T) {
	r := Request{Pieces: []Piece{{feet(4) - measure.Inch, 8}}, Kerf: measure.Inch / 8, Stocks: []Stock{
		{"rail-8", feet(8), price("5.98")}, {"rail-16", feet(16), price("12.40")},
	}}
	if p := must(t, r); !slices.Equal(p.Sticks, []int{4, 0}) || p.Cost.String() != "23.92" {
		t.Errorf("8 ft is cheaper by the foot: %v for %s", p.Sticks, p.Cost)
	}
	r.Stocks[1].Price = price("11.50")
	if p := must(t, r); !slices.Equal(p.Sticks, []int{0, 2}) || p.Cost.String() != "23.00" {
		t.Errorf("now 16 ft is: %v for %s", p.Sticks, p.Cost)
	}
}

func TestWithoutPricesTheLeastLengthIsBought(t *testing.T) {
	r := Request{Pieces: []Piece{{feet(7), 1}, {feet(5), 1}}, Stocks: []Stock{{Length: feet(8)}, {Length: feet(12)}, {Length: feet(16)}}}
	if p := must(t, r); !slices.Equal(p.Sticks, []int{0, 1, 0}) || p.Cost.String() != fmt.Sprint(int64(feet(12))) || p.Waste != 0 {
		t.Errorf("%v, cost %s nm, waste %s", p.Sticks, p.Cost, p.Waste)
	}
	r.Pieces = []Piece{{feet(8), 2}}
	if p := must(t, r); !slices.Equal(p.Sticks, []int{0, 0, 1}) {
		t.Errorf("one stick of 16 ft is handier than two of 8 ft: %v", p.Sticks)
	}
}

func TestFreeStockIsUsedFirst(t *testing.T) {
	p := must(t, Request{Pieces: []Piece{{feet(7), 3}, {feet(5), 4}}, Stocks: []Stock{
		{"left over", feet(6), decimal.Zero}, {"rail-8", feet(8), price("5.98")},
	}})
	if !p.Proven || !slices.Equal(p.Sticks, []int{4, 3}) || p.Cost.String() != "17.94" {
		t.Errorf("%v for %s, proven %v", p.Sticks, p.Cost, p.Proven)
	}
}

func TestOfEqualPricesTheShorterStickIsBought(t *testing.T) {
	p := must(t, Request{Pieces: []Piece{{feet(7), 2}}, Stocks: []Stock{
		{"a", feet(10), price("5.98")}, {"b", feet(8), price("5.98")},
	}})
	if !slices.Equal(p.Sticks, []int{0, 2}) {
		t.Errorf("%v", p.Sticks)
	}
}

// With hardly any search the plan is still a plan and the bound a bound.
func TestASmallBudgetStillBounds(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := small(rt)
		r.NodeBudget = 1
		p, err := Solve(r)
		if err != nil {
			rt.Fatal(err)
		}
		check(t, r, p)
		if best := cheapest(r); p.Cost.Cmp(best) < 0 || p.LowerBound.Cmp(best) > 0 {
			rt.Fatalf("cost %s, bound %s; exhaustive search finds %s", p.Cost, p.LowerBound, best)
		}
	})
}

// A site of a hundred thousand bays, and lengths on no grid at all.
func TestLargeAndOddJobs(t *testing.T) {
	stocks := []Stock{{"8", feet(8), price("5.98")}, {"12", feet(12), price("9.04")}, {"16", feet(16), price("12.40")}}
	large := Request{Kerf: measure.Inch / 8, Stocks: stocks}
	odd := Request{Kerf: 3_175_001, Stocks: stocks}
	for i := range measure.Length(30) {
		large.Pieces = append(large.Pieces, Piece{feet(4) + i*13*measure.Sixteenth, 10_000 + int(i)*7})
		odd.Pieces = append(odd.Pieces, Piece{feet(1) + i*i*1_234_567, 3 + int(i)%5})
	}
	for _, r := range []Request{large, odd} {
		p := must(t, r)
		cost, _ := p.Cost.Float64()
		bound, _ := p.LowerBound.Float64()
		if cost > 1.01*bound {
			t.Errorf("cost %s is far over the bound %s", p.Cost, p.LowerBound)
		}
	}
}

func TestNothingToCut(t *testing.T) {
	p := must(t, Request{Stocks: []Stock{{Length: feet(8)}}})
	if !p.Proven || len(p.Patterns) != 0 || !p.Cost.IsZero() {
		t.Errorf("no pieces: %+v", p)
	}
}

func TestBadRequestsListEverything(t *testing.T) {
	_, err := Solve(Request{
		Pieces: []Piece{{feet(9), 1}, {0, 1}, {feet(1), 0}},
		Stocks: []Stock{{"a", feet(8), price("-1")}, {"b", 0, price("1")}},
		Kerf:   -1, NodeBudget: -1,
	})
	e, ok := errors.AsType[*fault.Error](err)
	if !ok || e.Kind != fault.Invalid {
		t.Fatal(err)
	}
	for _, field := range []string{"pieces[0].length", "pieces[1].length", "pieces[2].count", "stocks[0].price", "stocks[1].length", "kerf", "node_budget"} {
		if !strings.Contains(err.Error(), "\n  "+field+": ") {
			t.Errorf("%s is not listed in: %v", field, err)
		}
	}
	if _, err := Solve(Request{Pieces: []Piece{{feet(1), 1}}}); err == nil {
		t.Error("no stock must be refused")
	}
	if _, err := Solve(Request{Pieces: []Piece{{feet(1), maxPieces}, {feet(2), maxPieces}}, Stocks: []Stock{{Length: feet(8)}}}); err == nil {
		t.Error("too many pieces must be refused")
	}
	if _, err := Solve(Request{Pieces: []Piece{{feet(1), 1_000_000}}, Stocks: []Stock{
		{Length: feet(8), Price: price("99999999999.99")}, {Length: feet(12), Price: price("123456789012.34")},
	}}); fault.KindOf(err) != fault.Exhausted {
		t.Errorf("a price out of all proportion: %v", err)
	}
}

// small draws a job that can be searched exhaustively.
func small(rt *rapid.T) Request {
	r := Request{Kerf: measure.Inch / 8}
	for range rapid.IntRange(1, 3).Draw(rt, "stocks") {
		r.Stocks = append(r.Stocks, Stock{
			Length: feet(measure.Length(rapid.IntRange(8, 20).Draw(rt, "stock"))),
			Price:  decimal.MustNew(rapid.Int64Range(300, 2000).Draw(rt, "cents"), 2),
		})
	}
	longest := slices.MaxFunc(r.Stocks, func(a, b Stock) int { return int(a.Length/measure.Foot - b.Length/measure.Foot) }).Length
	for range rapid.IntRange(1, 5).Draw(rt, "lengths") {
		r.Pieces = append(r.Pieces, Piece{
			measure.Length(rapid.Int64Range(int64(2*feet(1)/measure.Sixteenth), int64(longest/measure.Sixteenth)).Draw(rt, "length")) * measure.Sixteenth,
			rapid.IntRange(1, 2).Draw(rt, "count"),
		})
	}
	return r
}

// cheapest tries every way to put the pieces on sticks.
func cheapest(r Request) decimal.Decimal {
	var pieces []measure.Length
	for _, p := range r.Pieces {
		for range p.Count {
			pieces = append(pieces, p.Length)
		}
	}
	type open struct {
		left measure.Length
	}
	best := int64(math.MaxInt64)
	var place func(i int, sticks []open, cost int64)
	place = func(i int, sticks []open, cost int64) {
		if cost >= best {
			return
		}
		if i == len(pieces) {
			best = cost
			return
		}
		need := pieces[i] + r.Kerf
		for j := range sticks {
			if sticks[j].left >= need {
				sticks[j].left -= need
				place(i+1, sticks, cost)
				sticks[j].left += need
			}
		}
		for _, s := range r.Stocks {
			if s.Length+r.Kerf >= need {
				place(i+1, append(sticks, open{s.Length + r.Kerf - need}), cost+int64(s.Price.Pad(2).Coef()))
			}
		}
	}
	place(0, nil, 0)
	return decimal.MustNew(best, 2)
}

func TestSmallJobsAgainstExhaustiveSearch(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := small(rt)
		p, err := Solve(r)
		if err != nil {
			rt.Fatal(err)
		}
		check(t, r, p)
		best := cheapest(r)
		if p.Cost.Cmp(best) < 0 || p.LowerBound.Cmp(best) > 0 {
			rt.Fatalf("cost %s, bound %s; exhaustive search finds %s", p.Cost, p.LowerBound, best)
		}
		if !p.Proven || p.Cost.Cmp(best) != 0 {
			rt.Fatalf("a job this small must be proven: cost %s, bound %s, best %s", p.Cost, p.LowerBound, best)
		}
	})
}

func TestOrderOfPiecesDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := small(rt)
		a, err := Solve(r)
		if err != nil {
			rt.Fatal(err)
		}
		r.Pieces = rapid.Permutation(r.Pieces).Draw(rt, "order")
		b, err := Solve(r)
		if err != nil {
			rt.Fatal(err)
		}
		if d := cmp.Diff(fmt.Sprintf("%+v", *a), fmt.Sprintf("%+v", *b)); d != "" {
			rt.Fatal(d)
		}
	})
}

func TestADearerStockNeverMakesThePlanCheaper(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := small(rt)
		before, err := Solve(r)
		if err != nil {
			rt.Fatal(err)
		}
		r.Stocks = slices.Clone(r.Stocks)
		s := &r.Stocks[rapid.IntRange(0, len(r.Stocks)-1).Draw(rt, "dearer")]
		s.Price, _ = s.Price.Add(decimal.MustNew(rapid.Int64Range(1, 500).Draw(rt, "by"), 2))
		after, err := Solve(r)
		if err != nil {
			rt.Fatal(err)
		}
		if after.Cost.Cmp(before.Cost) < 0 {
			rt.Fatalf("cost fell from %s to %s", before.Cost, after.Cost)
		}
	})
}
