package cutting

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestKnapsack holds tables against what every number of every piece adds up to.
func TestKnapsack(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 3000 {
		n := 1 + r.IntN(4)
		sizes, worth, count := make([]int64, n), make([]int64, n), make([]int, n)
		for i := range n {
			sizes[i], worth[i], count[i] = 1+r.Int64N(30), r.Int64N(30), r.IntN(10)
		}
		slices.SortFunc(sizes, func(a, b int64) int { return cmp.Compare(b, a) })
		if r.IntN(3) == 0 { // the fullest
			copy(worth, sizes)
		}
		length := 20 + r.Int64N(100)
		var k knapsack
		k.begin(sizes)
		k.solve(worth, count, length)
		all := []filling{{}}
		for i := n - 1; i >= 0; i-- {
			for _, f := range all {
				for c := int64(1); c <= int64(count[i]); c++ {
					if g := (filling{f.length + c*sizes[i], f.worth + c*worth[i]}); g.length <= length {
						all = append(all, g)
					}
				}
			}
			slices.SortFunc(all, func(a, b filling) int {
				return cmp.Or(cmp.Compare(a.length, b.length), cmp.Compare(b.worth, a.worth))
			})
			var want []filling
			for _, f := range all {
				if len(want) == 0 || f.worth > want[len(want)-1].worth {
					want = append(want, f)
				}
			}
			if !slices.Equal(k.fillings[i], want) {
				t.Fatalf("pieces %v worth %v, as many as %v, in %d: from piece %d on %v, expected %v", sizes, worth, count, length, i, k.fillings[i], want)
			}
			all = want
		}
	}
}
