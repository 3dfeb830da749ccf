package cutting

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Products with all columns are those with each, to the last bit: plans depend on it.
func TestProductsWithAllColumns(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var l lp
	for range 200 {
		m := 1 + r.IntN(30)
		newLP(m, new(int64), &l) // in the memory of the one before it
		for i := range m {
			l.logical(i, 0, math.Inf(1))
		}
		for range r.IntN(60) {
			for _, i := range r.Perm(m)[:r.IntN(m+1)] {
				l.row, l.val = append(l.row, int32(i)), append(l.val, r.NormFloat64())
			}
			l.add(1, 1)
		}
		v := make([]float64, m)
		for i := range v {
			if r.IntN(3) > 0 {
				v[i] = r.NormFloat64()
			}
		}
		for j, got := range l.dots(v) {
			if want := l.dot(v, j); got != want {
				t.Fatalf("column %d of %d rows: %v, and by itself %v", j, m, got, want)
			}
		}
	}
}
