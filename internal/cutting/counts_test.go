package cutting

import (
	"math/rand/v2"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/measure"
)

// Jobs small enough for exhaustive search have so few patterns that the search
// over the numbers of sticks seldom branches. In half of these hardly any are
// few enough.
func TestNumbersOfSticksAgainstExhaustiveSearch(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	branched := 0
	for i := range 3000 {
		request := Request{Kerf: measure.Inch / 8}
		for range 2 + r.IntN(3) {
			l := 6 + r.Int64N(15)
			request.Stocks = append(request.Stocks, Stock{Length: feet(measure.Length(l)), Price: decimal.MustNew(l*(55+r.Int64N(30)), 2)})
		}
		for range 3 + r.IntN(4) {
			request.Pieces = append(request.Pieces, Piece{20*measure.Inch + measure.Length(r.Int64N(50*16))*measure.Sixteenth, 1 + r.IntN(2)})
		}
		prices, _ := newTariff(request.Stocks)
		j, _ := newJob(&request, prices)
		s := newSolver(j, 0)
		if i%2 == 0 {
			s.fewPatterns = r.IntN(8)
		}
		s.solve(DefaultNodeBudget)
		cost, err := prices.amount(s.bestPrice)
		if err != nil {
			t.Fatal(err)
		}
		if best := cheapest(request); !s.done() || cost.Cmp(best) != 0 {
			t.Fatalf("job %d: cost %s, proven %v; exhaustive search finds %s", i, cost, s.done(), best)
		}
		if s.nodes > 5 {
			branched++
		}
	}
	t.Logf("%d of 3000 branched", branched)
	if branched < 100 {
		t.Errorf("only %d jobs branched", branched)
	}
}
