package cutting

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/measure"
)

// The bound from the number of pieces says no more than the linear program does,
// so what it cuts short ends in the plan that the program leads to.
func TestCountBoundChangesNoPlan(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	shown := 0
	for range 3000 {
		request := rails(r)
		prices, _ := newTariff(request.Stocks)
		j, ok := newJob(&request, prices)
		if !ok {
			t.Fatalf("no job of %v", request)
		}
		long := newSolver(j, 0)
		long.work = new(int64(DefaultNodeBudget) * nodeWork)
		long.maxNodes = DefaultNodeBudget
		long.complete(long.demand, nil)
		long.prove(long.lengthBound())
		if long.done() {
			continue
		}
		short := newSolver(j, 0)
		short.solve(DefaultNodeBudget)
		if long.proveByCount(); long.done() {
			shown++
			long.bound = long.lengthBound()
		}
		m := newMaster(long)
		m.generate()
		if !long.done() {
			m.round()
		}
		if !long.done() {
			long.exact(m)
		}
		if long.done() {
			long.breakTie(m)
		}
		m.release()
		if long.done() && long.countBound() > long.bestWeight {
			t.Fatalf("a bound of %d over the plan of %d for %v", long.countBound(), long.bestWeight, request)
		}
		if long.done() != short.done() || long.bestWeight != short.bestWeight || !slices.EqualFunc(long.best, short.best, func(a, b line) bool {
			return a.stick == b.stick && a.times == b.times && slices.Equal(a.cuts, b.cuts)
		}) {
			t.Fatalf("%v is cut as %v, by the linear program as %v", request, short.best, long.best)
		}
	}
	if shown < 300 {
		t.Errorf("only %d of the jobs are shown by the number of pieces", shown)
	}
}

// rails is a job of a fence's rails: one to four lengths that hardly differ, from
// up to three stocks, one job in four without prices.
func rails(r *rand.Rand) Request {
	out := Request{Kerf: measure.Inch / 8}
	unpriced := r.IntN(4) == 0
	for _, l := range [][]int64{{8}, {16}, {8, 16}, {8, 10, 12}, {8, 12, 16}}[r.IntN(5)] {
		s := Stock{Length: measure.Length(l) * measure.Foot}
		if !unpriced {
			s.Price = decimal.MustNew(l*(60+r.Int64N(20)), 2)
		}
		out.Stocks = append(out.Stocks, s)
	}
	for range 1 + r.IntN(4) {
		out.Pieces = append(out.Pieces, Piece{measure.Length(70*16+r.Int64N(26*16)) * measure.Sixteenth, 1 + r.IntN(300)})
	}
	return out
}
