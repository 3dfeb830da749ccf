package cutting

import (
	"math"
	"slices"
)

// lp is a linear program in the one form this package needs:
//
//	minimise cost.x  subject to  A x - s = rhs,  lo <= x <= up,
//
// where s, one logical column per row, is part of x: the columns 0..m-1. It
// starts at the logical basis and keeps an explicit inverse of the basis.
//
// It works in floating point, and nothing it says is taken on trust: bounds
// are recomputed from its duals in integers (bound.go), plans are counted in
// integers. It does decide where the search goes, so it must round alike on
// every machine: each product stands in an explicit float64(), which forbids
// the compiler to fuse it with an addition.
type lp struct {
	m int

	// Columns: entries start[j] to start[j+1] of row and val. Rows: the same entries.
	start      []int32
	row        []int32
	val        []float64
	across     [][]entry
	unordered  []int32 // columns whose entries are not in the order of the rows
	cost       []float64
	lo, up     []float64
	place      []int32 // position in the basis, or -1
	atUp       []bool  // where a column outside the basis rests
	rhs        []float64
	basis      []int32
	x          []float64 // values of the basic columns
	inverse    []float64 // of the basis, m x m, row after row
	squares    []float64 // of each row of the inverse, their sum; zero: not known
	dual       []float64
	entering   []float64 // inverse times the entering column
	nonzero    []int32   // scratch
	products   []float64 // scratch of dots
	sinceFresh int       // pivots since the inverse was last computed anew
	ray        int       // the row that made the program infeasible
	work       *int64    // left to spend; about a nanosecond each
	// scratch of revalue and refresh
	b                  []float64
	free               []bool
	placed, structural []int32
}

// entry is what column col has in a row.
type entry struct {
	col int32
	val float64
}

const (
	tolFeasible = 1e-9 // a bound is kept, a reduced cost has the right sign
	tolPivot    = 1e-8
)

type lpStatus int

const (
	lpOptimal lpStatus = iota
	lpInfeasible
	lpStuck // gave up: out of work or numerical trouble
)

// newLP makes the program without any column, in the memory of old, one that is
// not used any more. Logical columns, one for each row, are to be added before it
// is begun.
func newLP(m int, work *int64, old *lp) *lp {
	*old = lp{
		m: m, work: work, start: append(old.start[:0], 0),
		row: old.row[:0], val: old.val[:0], across: slices.Grow(old.across[:0], m)[:m], unordered: old.unordered[:0],
		cost: old.cost[:0], lo: old.lo[:0], up: old.up[:0], place: old.place[:0], atUp: old.atUp[:0],
		rhs: zeros(old.rhs, m), basis: zeros(old.basis, m), x: zeros(old.x, m), inverse: zeros(old.inverse, m*m), squares: zeros(old.squares, m),
		dual: zeros(old.dual, m), entering: zeros(old.entering, m), nonzero: old.nonzero[:0], products: old.products[:0],
		b: zeros(old.b, m), free: zeros(old.free, m), placed: zeros(old.placed, m), structural: old.structural[:0],
	}
	for i := range old.across {
		old.across[i] = old.across[i][:0]
	}
	return old
}

// zeros are n of them, in the memory of old where that is enough.
func zeros[T any](old []T, n int) []T {
	all := slices.Grow(old[:0], n)[:n]
	clear(all)
	return all
}

// logical adds the column of row i.
func (l *lp) logical(i int, cost, up float64) {
	l.row, l.val = append(l.row, int32(i)), append(l.val, -1)
	l.add(cost, up)
	l.basis[i], l.place[i] = int32(i), int32(i)
}

// add makes the entries at the end of row and val a column, which rests at its
// lower bound, zero.
func (l *lp) add(cost, up float64) {
	j, from := int32(len(l.cost)), l.start[len(l.cost)]
	rows := l.row[from:]
	for k, i := range rows {
		l.across[i] = append(l.across[i], entry{j, l.val[int(from)+k]})
	}
	if !slices.IsSorted(rows) {
		l.unordered = append(l.unordered, j)
	}
	l.start = append(l.start, int32(len(l.row)))
	l.cost = append(l.cost, cost)
	l.lo = append(l.lo, 0)
	l.up = append(l.up, up)
	l.place = append(l.place, -1)
	l.atUp = append(l.atUp, false)
}

// dot is the product of a vector over the rows with column j.
func (l *lp) dot(v []float64, j int) float64 {
	s := 0.0
	from, to := l.start[j], l.start[j+1]
	val := l.val[from:to]
	for k, i := range l.row[from:to] {
		s += float64(v[i] * val[k])
	}
	return s
}

// dots are the products of a vector over the rows, of which few are not zero, with
// all columns: what dot says, to the last bit, so they are summed in the same order.
func (l *lp) dots(v []float64) []float64 {
	l.products = zeros(l.products, len(l.cost))
	for i, x := range v {
		if x == 0 {
			continue
		}
		for _, e := range l.across[i] {
			l.products[e.col] += float64(x * e.val)
		}
	}
	for _, j := range l.unordered {
		l.products[j] = l.dot(v, int(j))
	}
	return l.products
}

// value of column j.
func (l *lp) value(j int) float64 {
	switch {
	case l.place[j] >= 0:
		return l.x[l.place[j]]
	case l.atUp[j]:
		return l.up[j]
	default:
		return l.lo[j]
	}
}

func (l *lp) objective() float64 {
	s := 0.0
	for j := range l.cost {
		if l.cost[j] != 0 {
			s += float64(l.cost[j] * l.value(j))
		}
	}
	return s
}

// refresh computes inverse, values and duals from the basis alone.
func (l *lp) refresh() bool {
	m := l.m
	inv := l.inverse
	// Start from the logical basis, whose inverse is -1, and bring the other
	// basic columns in one by one, each at the free row where its pivot is
	// largest. A logical column that is basic keeps its own row.
	clear(inv)
	clear(l.squares)
	free := l.free
	for i := range m {
		inv[i*m+i] = -1
		free[i] = true
	}
	structural, placed := l.structural[:0], l.placed
	for _, j := range l.basis {
		if int(j) < m {
			free[j] = false
			placed[j] = j
		} else {
			structural = append(structural, j)
		}
	}
	l.structural = structural
	for _, j := range structural {
		l.column(int(j))
		r := -1
		for i := range m {
			if free[i] && (r < 0 || math.Abs(l.entering[i]) > math.Abs(l.entering[r])) {
				r = i
			}
		}
		if r < 0 || math.Abs(l.entering[r]) < 1e-11 {
			return false
		}
		free[r] = false
		placed[r] = j
		l.eliminate(r)
	}
	copy(l.basis, placed)
	for i, j := range l.basis {
		l.place[j] = int32(i)
	}
	l.revalue()
	clear(l.dual)
	for i, j := range l.basis {
		if c := l.cost[j]; c != 0 {
			for k, v := range inv[i*m : i*m+m] {
				l.dual[k] += float64(c * v)
			}
		}
	}
	l.sinceFresh = 0
	return true
}

// revalue computes the basic values from the bounds that the other columns
// rest at.
func (l *lp) revalue() {
	m := l.m
	b := l.b
	copy(b, l.rhs)
	for j := range l.cost {
		if l.place[j] >= 0 {
			continue
		}
		if v := l.value(j); v != 0 {
			for k := l.start[j]; k < l.start[j+1]; k++ {
				b[l.row[k]] -= float64(l.val[k] * v)
			}
		}
	}
	for i := range m {
		s := 0.0
		for k, v := range l.inverse[i*m : i*m+m] {
			s += float64(v * b[k])
		}
		l.x[i] = s
	}
}

// column sets entering to inverse times column j.
func (l *lp) column(j int) {
	m := l.m
	clear(l.entering)
	for k := l.start[j]; k < l.start[j+1]; k++ {
		r, v := int(l.row[k]), l.val[k]
		for i, p := 0, r; i < m; i, p = i+1, p+m {
			l.entering[i] += float64(l.inverse[p] * v)
		}
	}
}

// eliminate makes entering the r-th unit vector by row operations on inverse.
func (l *lp) eliminate(r int) {
	m := l.m
	pivotRow := l.inverse[r*m : r*m+m]
	p := 1 / l.entering[r]
	l.nonzero, l.squares[r] = l.nonzero[:0], 0
	for k, v := range pivotRow {
		if v != 0 {
			pivotRow[k] = float64(v * p)
			l.nonzero = append(l.nonzero, int32(k))
		}
	}
	for i := range m {
		f := l.entering[i]
		if i == r || f == 0 {
			continue
		}
		l.squares[i] = 0
		target := l.inverse[i*m : i*m+m]
		for _, k := range l.nonzero {
			target[k] -= float64(f * pivotRow[k])
		}
	}
}

// pivot brings column q, moved by step from where it rests, into the basis at
// row r; the column that leaves rests at its upper bound if toUp. entering
// must hold column q.
func (l *lp) pivot(r, q int, step float64, toUp bool) {
	m := l.m
	rest := l.value(q)
	reduced := l.cost[q] - l.dot(l.dual, q)
	theta := reduced / l.entering[r]
	for k, v := range l.inverse[r*m : r*m+m] {
		if v != 0 {
			l.dual[k] += float64(theta * v)
		}
	}
	if step != 0 {
		for i, f := range l.entering {
			if f != 0 {
				l.x[i] -= float64(f * step)
			}
		}
	}
	out := l.basis[r]
	l.place[out], l.atUp[out] = -1, toUp
	l.eliminate(r)
	l.basis[r], l.place[q] = int32(q), int32(r)
	l.x[r] = rest + step
	l.sinceFresh++
}

// ready is called before each step. It pays for the step, and computes the
// inverse anew from time to time; false if either cannot be done.
func (l *lp) ready() bool {
	*l.work -= int64(l.m*l.m + len(l.row))
	return *l.work >= 0 && (l.sinceFresh <= 100+l.m || l.refresh())
}

// primal runs the primal simplex method from a basis within its bounds.
func (l *lp) primal() lpStatus {
	for l.ready() {
		q, best := -1, tolFeasible
		for j := range l.cost {
			if l.place[j] >= 0 || l.lo[j] == l.up[j] {
				continue
			}
			d := l.cost[j] - l.dot(l.dual, j)
			if l.atUp[j] {
				d = -d
			}
			if -d > best {
				q, best = j, -d
			}
		}
		if q < 0 {
			return lpOptimal
		}
		l.column(q)
		sign := 1.0
		if l.atUp[q] {
			sign = -1
		}
		// The longest step that keeps every basic column within its bounds;
		// among equal steps the largest pivot.
		r, step, toUp := -1, l.up[q]-l.lo[q], false
		for i, f := range l.entering {
			f *= sign
			j := l.basis[i]
			var room float64
			var up bool
			switch {
			case f > tolPivot:
				room = (l.x[i] - l.lo[j]) / f
			case f < -tolPivot:
				room, up = (l.x[i]-l.up[j])/f, true
			default:
				continue
			}
			room = max(room, 0)
			if room < step-1e-12 || room <= step+1e-12 && r >= 0 && math.Abs(f) > math.Abs(l.entering[r]) {
				r, step, toUp = i, room, up
			}
		}
		if math.IsInf(step, 1) {
			return lpStuck // cannot happen: costs are not negative
		}
		if r < 0 { // from one bound to the other
			for i, f := range l.entering {
				l.x[i] -= float64(f * sign * step)
			}
			l.atUp[q] = !l.atUp[q]
			continue
		}
		l.pivot(r, q, sign*step, toUp)
	}
	return lpStuck
}

// norm is the sum of squares of row i of the inverse. Most rows stay as they are
// from step to step.
func (l *lp) norm(i int) float64 {
	if l.squares[i] == 0 {
		s := 0.0
		for _, e := range l.inverse[i*l.m : i*l.m+l.m] {
			s += float64(e * e)
		}
		l.squares[i] = s
	}
	return l.squares[i]
}

// dualSimplex runs the dual simplex method from a basis whose reduced costs
// have the right signs.
func (l *lp) dualSimplex() lpStatus {
	m := l.m
	for l.ready() {
		// The row that is furthest off its bound, for the length of its row
		// of the inverse (dual steepest edge).
		r, worst, below := -1, 0.0, false
		x := l.x[:len(l.basis)]
		for i, j := range l.basis {
			v, under := l.lo[j]-x[i], true
			if v <= tolFeasible {
				v, under = x[i]-l.up[j], false
			}
			if v <= tolFeasible {
				continue
			}
			if v = v * v / l.norm(i); v > worst {
				r, worst, below = i, v, under
			}
		}
		if r < 0 {
			return lpOptimal
		}
		q, ratio, size := -1, math.Inf(1), 0.0
		for j, a := range l.dots(l.inverse[r*m : r*m+m]) {
			if a == 0 || l.place[j] >= 0 || l.lo[j] == l.up[j] {
				continue
			}
			// Moving column j off its bound must push x[r] towards the
			// bound it has passed.
			if below == l.atUp[j] {
				if a <= tolPivot {
					continue
				}
			} else {
				if a >= -tolPivot {
					continue
				}
				a = -a
			}
			d := l.cost[j] - l.dot(l.dual, j)
			if l.atUp[j] {
				d = -d
			}
			t := max(d, 0) / a
			if t < ratio-1e-12 || t <= ratio+1e-12 && a > size {
				q, ratio, size = j, t, a
			}
		}
		if q < 0 {
			l.ray = r
			return lpInfeasible
		}
		l.column(q)
		out := l.basis[r]
		bound := l.lo[out]
		if !below {
			bound = l.up[out]
		}
		l.pivot(r, q, (l.x[r]-bound)/l.entering[r], !below)
	}
	return lpStuck
}

// alongRay moves the duals of a program found infeasible along the ray that
// shows it, until their objective is well above the given one.
func (l *lp) alongRay(objective float64) {
	j := l.basis[l.ray]
	x := l.x[l.ray]
	violation, sign := l.lo[j]-x, -1.0
	if violation < 0 {
		violation, sign = x-l.up[j], 1
	}
	t := sign * 2 * max(1, objective-l.objective()) / violation
	for k, v := range l.inverse[l.ray*l.m : l.ray*l.m+l.m] {
		l.dual[k] += float64(t * v)
	}
}

// settle puts every column outside the basis at the bound that its reduced
// cost asks for. Columns whose bounds were equal for a while have no say in
// pivots and may rest at the wrong one.
func (l *lp) settle() {
	for j := range l.cost {
		if l.place[j] >= 0 || l.lo[j] == l.up[j] {
			continue
		}
		d := l.cost[j] - l.dot(l.dual, j)
		if d < -tolFeasible && !math.IsInf(l.up[j], 1) {
			l.atUp[j] = true
		} else if d > tolFeasible {
			l.atUp[j] = false
		}
	}
}
