package render

import "math"

// box is a rectangle on paper at any angle (radians, clockwise).
type box struct {
	centre        vec
	width, height float64
	angle         float64
}

// lineBox is the box of a stroke from a to b.
func lineBox(a, b vec, thick float64) box {
	d := b.sub(a)
	return box{a.towards(b, 0.5), d.length(), thick, math.Atan2(d.y, d.x)}
}

func (b box) corners() [4]vec {
	sin, cos := math.Sincos(b.angle)
	along, across := vec{cos, sin}.times(b.width/2), vec{-sin, cos}.times(b.height/2)
	return [4]vec{
		b.centre.add(along).add(across), b.centre.add(along).sub(across),
		b.centre.sub(along).sub(across), b.centre.sub(along).add(across),
	}
}

// What a place on paper holds.
const (
	ink   = 1 << iota // lines, which text keeps clear of
	text              // text, which lines keep clear of too
	built             // what stands on the ground, which dimension lines keep clear of
	shade             // light hatching, which text covers
)

// mask remembers, point by point, what the paper holds. A cell counts for a box
// when its centre lies within the box grown by half a cell's diagonal, so two
// boxes that overlap always meet in a cell.
type mask struct {
	low, high     vec // where text may stand
	columns, rows int
	cells         []uint8
}

func newMask(low, high, size vec) *mask {
	m := &mask{low: low, high: high, columns: int(size.x) + 1, rows: int(size.y) + 1}
	m.cells = make([]uint8, m.columns*m.rows)
	return m
}

// each calls visit with every run of cells of b, until it returns false.
func (m *mask) each(b box, visit func(cells []uint8) bool) {
	const grown = 0.708 // half the diagonal of a cell
	sin, cos := math.Sincos(b.angle)
	halfWidth, halfHeight := b.width/2+grown, b.height/2+grown
	reach := math.Abs(sin)*halfWidth + math.Abs(cos)*halfHeight
	first := max(0, int(math.Floor(b.centre.y-reach)))
	last := min(m.rows-1, int(math.Ceil(b.centre.y+reach)))
	for row := first; row <= last; row++ {
		dy := float64(row) + 0.5 - b.centre.y
		// Along and across the box: |cos dx + sin dy| and |cos dy - sin dx|.
		low, high := narrow(math.Inf(-1), math.Inf(1), cos, sin*dy, halfWidth)
		low, high = narrow(low, high, -sin, cos*dy, halfHeight)
		from := max(0, math.Ceil(b.centre.x+low-0.5))
		to := min(float64(m.columns-1), math.Floor(b.centre.x+high-0.5))
		if from > to {
			continue
		}
		if !visit(m.cells[row*m.columns+int(from) : row*m.columns+int(to)+1]) {
			return
		}
	}
}

// narrow keeps of the interval low to high where |slope x + offset| <= limit.
func narrow(low, high, slope, offset, limit float64) (float64, float64) {
	if math.Abs(slope) < 1e-12 {
		if math.Abs(offset) > limit {
			return 1, -1
		}
		return low, high
	}
	a, b := (-limit-offset)/slope, (limit-offset)/slope
	return max(low, min(a, b)), min(high, max(a, b))
}

func (m *mask) fill(b box, what uint8) {
	m.each(b, func(cells []uint8) bool {
		for i := range cells {
			cells[i] |= what
		}
		return true
	})
}

// clear reports whether nothing of the kinds in what lies within b.
func (m *mask) clear(b box, what uint8) bool {
	free := true
	m.each(b, func(cells []uint8) bool {
		for _, c := range cells {
			if c&what != 0 {
				free = false
				return false
			}
		}
		return true
	})
	return free
}

// within reports whether b lies where text may stand.
func (m *mask) within(b box) bool {
	for _, c := range b.corners() {
		if c.x < m.low.x || c.x > m.high.x || c.y < m.low.y || c.y > m.high.y {
			return false
		}
	}
	return true
}
