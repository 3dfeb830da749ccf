package cutting

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// With no limit on waste the pool is every pattern that leaves no room for
// another piece in demand and does not fit the shorter stick.
func TestPoolIsEveryFullPattern(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	for range 200 {
		j := &job{sticks: []stick{{length: 40, price: 4}, {length: 25, price: 3}}}
		for size := int64(24); size > 3; size -= 1 + r.Int64N(12) {
			j.sizes = append(j.sizes, size)
			j.demand = append(j.demand, 1+r.IntN(3))
			j.pieces += j.demand[len(j.demand)-1]
		}
		if !j.weigh(1) {
			t.Fatal("the job does not fit")
		}
		s := newSolver(j, 0)
		s.solve(DefaultNodeBudget)
		m := newMaster(s)
		m.fillings(j.demand)
		got, ok := m.pool(math.MaxInt64/2, 1_000_000)
		if !ok {
			t.Fatal("too many patterns")
		}
		var keys, want []string
		for _, p := range got {
			keys = append(keys, fmt.Sprint(p))
		}
		var walk func(p pattern, i int)
		walk = func(p pattern, i int) {
			room := j.sticks[p.stick].length - j.length(p)
			if room < 0 {
				return
			}
			if i < len(j.sizes) {
				walk(p, i+1)
				for n := 1; n <= j.demand[i]; n++ {
					walk(pattern{p.stick, append(slices.Clone(p.cuts), cut{i, n})}, i+1)
				}
				return
			}
			rest := slices.Clone(j.demand)
			line{p, 1}.takeFrom(rest)
			for i, n := range rest {
				if n > 0 && j.sizes[i] <= room {
					return
				}
			}
			if p.stick == 1 || j.length(p) > 25 {
				want = append(want, fmt.Sprint(p))
			}
		}
		for s := range j.sticks {
			walk(pattern{stick: s}, 0)
		}
		slices.Sort(keys)
		slices.Sort(want)
		if !slices.Equal(keys, want) {
			t.Fatalf("sizes %v, demand %v: %d patterns, expected %d", j.sizes, j.demand, len(keys), len(want))
		}
	}
}
