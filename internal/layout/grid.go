package layout

import (
	"iter"

	"wattle/internal/measure"
)

// gridCell is twice as far as posts can stand apart and still overlap (the widest
// section is 2 ft), so that four cells hold all that is near a point.
const gridCell = 4 * measure.Foot

// grid finds marks by their place, in constant time each.
type grid struct {
	side  measure.Length // of a cell
	cells map[cell]int32 // the newest mark of a cell
	older []int32        // by mark: the one before it in its cell, -1 for none
}

type cell struct{ east, north int64 }

func newGrid(marks int, side measure.Length) *grid {
	return &grid{side: side, cells: make(map[cell]int32, marks), older: make([]int32, marks)}
}

func (g *grid) cellOf(at measure.Point) cell {
	return cell{floorDiv(at.East, g.side), floorDiv(at.North, g.side)}
}

func floorDiv(l, by measure.Length) int64 {
	q := int64(l / by)
	if l%by < 0 {
		q--
	}
	return q
}

func (g *grid) add(m int32, at measure.Point) {
	c := g.cellOf(at)
	before, some := g.cells[c]
	if !some {
		before = -1
	}
	g.older[m], g.cells[c] = before, m
}

// near are the marks in the four cells around a point, every one within half a
// cell among them.
func (g *grid) near(at measure.Point) iter.Seq[int32] {
	low := g.cellOf(measure.Point{East: at.East - g.side/2, North: at.North - g.side/2})
	return func(yield func(int32) bool) {
		for _, c := range [...]cell{low, {low.east + 1, low.north}, {low.east, low.north + 1}, {low.east + 1, low.north + 1}} {
			m, some := g.cells[c]
			for ; some && m >= 0; m = g.older[m] {
				if !yield(m) {
					return
				}
			}
		}
	}
}
