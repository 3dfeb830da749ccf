package layout

import (
	"math/bits"

	"wattle/internal/measure"
)

// gridCell is twice as far as posts can stand apart and still overlap (the widest
// section is 2 ft), so that four cells hold all that is near a point.
const gridCell = 4 * measure.Foot

// grid finds marks by their place, in constant time each. Every post of a layout
// is looked for once, so it is a table of its own: a map of cells takes several
// times as long.
type grid struct {
	side   measure.Length // of a cell
	shift  int            // what a hash is cut to the table's size by
	newest []int32        // by hash: 1 + the newest mark of the cells that share it, 0 for none
	older  []int32        // by mark: 1 + the one before it
	cells  []cell         // by mark
}

type cell struct{ east, north int64 }

// of makes g, which keeps its memory, one of so many other marks.
func (g *grid) of(marks int, side measure.Length) *grid {
	size := bits.Len(uint(marks)) + 1 // half of it empty at least
	*g = grid{side: side, shift: 64 - size, newest: zeros(g.newest, 1<<size), older: zeros(g.older, marks), cells: zeros(g.cells, marks)}
	return g
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

// hash spreads cells over the table: odd factors mix both steps into the high
// bits.
func (g *grid) hash(c cell) uint64 {
	return (uint64(c.east)*0x9e3779b97f4a7c15 ^ uint64(c.north)*0xc2b2ae3d27d4eb4f) * 0x9e3779b97f4a7c15 >> g.shift
}

func (g *grid) add(m int32, at measure.Point) {
	c := g.cellOf(at)
	h := g.hash(c)
	g.cells[m], g.older[m], g.newest[h] = c, g.newest[h], m+1
}

// near appends the marks in the four cells around a point, every one within half
// a cell among them.
func (g *grid) near(at measure.Point, found []int32) []int32 {
	low := g.cellOf(measure.Point{East: at.East - g.side/2, North: at.North - g.side/2})
	for _, c := range [...]cell{low, {low.east + 1, low.north}, {low.east, low.north + 1}, {low.east + 1, low.north + 1}} {
		for m := g.newest[g.hash(c)]; m > 0; m = g.older[m-1] {
			if g.cells[m-1] == c {
				found = append(found, m-1)
			}
		}
	}
	return found
}
