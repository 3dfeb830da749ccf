package render

import (
	"cmp"
	"math"
	"slices"

	"wattle/internal/measure"
)

// vec is a place or step on paper, in points (1/72 in), x to the right and y
// down.
type vec struct{ x, y float64 }

func (a vec) add(b vec) vec                { return vec{a.x + b.x, a.y + b.y} }
func (a vec) sub(b vec) vec                { return vec{a.x - b.x, a.y - b.y} }
func (a vec) times(k float64) vec          { return vec{a.x * k, a.y * k} }
func (a vec) length() float64              { return math.Hypot(a.x, a.y) }
func (a vec) towards(b vec, k float64) vec { return a.add(b.sub(a).times(k)) }

// unit is a at length one; no direction is taken as to the right.
func (a vec) unit() vec {
	if n := a.length(); n > 0 {
		return a.times(1 / n)
	}
	return vec{1, 0}
}

// left is a turned a quarter to the left, as one sees it on the ground.
func (a vec) left() vec { return vec{a.y, -a.x} }

// upright is the angle, in radians clockwise, of text that runs along a and is
// not upside down.
func (a vec) upright() float64 {
	if a.x < -1e-9 || (a.x < 1e-9 && a.y > 0) {
		a = a.times(-1)
	}
	return math.Atan2(a.y, a.x)
}

// Paper sizes in points, upright.
var papers = map[string]vec{
	"letter": {612, 792},
	"a4":     {595.28, 841.89},
}

// Room kept on every sheet, in points.
const (
	margin    = 36
	headRoom  = 40 // title
	tightRoom = 34 // around the fence: a dimension beside it
	roomyRoom = 58 // and the names of posts besides
)

// sheet is a piece of paper with the site on it at a round scale, north up.
type sheet struct {
	size vec
	// frame is where the drawing and its labels stay.
	low, high vec
	// feetPerInch is the scale as printed; scale the same in points per
	// nanometre.
	feetPerInch, scale float64
	centre             measure.Point // of the site
}

// sheets are the sheets to try, those that draw the site largest first: the
// paper upright and across, with foot giving the room that a sheet's foot
// takes, and for each the largest scale that leaves little room around the
// fence and the largest that leaves plenty.
func sheets(paper vec, foot func(size vec) float64, e extent) []sheet {
	var all []sheet
	for _, room := range []float64{tightRoom, roomyRoom} {
		for _, size := range []vec{paper, {paper.y, paper.x}} {
			s := fit(size, foot(size), room, e)
			if !slices.Contains(all, s) {
				all = append(all, s)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b sheet) int { return cmp.Compare(a.feetPerInch, b.feetPerInch) })
	return all
}

func fit(size vec, foot, around float64, e extent) sheet {
	s := sheet{
		size: size,
		low:  vec{margin, margin + headRoom},
		high: vec{size.x - margin, size.y - margin - foot},
	}
	wide, tall := float64(e.high.East-e.low.East), float64(e.high.North-e.low.North)
	room := s.high.sub(s.low).sub(vec{2 * around, 2 * around})
	for i := 0; ; i++ {
		s.feetPerInch = roundScale(i)
		s.scale = 72 / (s.feetPerInch * float64(measure.Foot))
		if wide*s.scale <= room.x && tall*s.scale <= room.y {
			s.centre = e.middle()
			return s
		}
	}
}

// at is where a point of the site lies on the sheet.
func (s sheet) at(p measure.Point) vec {
	step := p.Sub(s.centre)
	return s.low.towards(s.high, 0.5).add(vec{float64(step.East) * s.scale, -float64(step.North) * s.scale})
}

// length is a length of the site on the sheet.
func (s sheet) length(l measure.Length) float64 { return float64(l) * s.scale }

// extent is the smallest box, sides east and north, around some points.
type extent struct {
	low, high measure.Point
	any       bool
}

func (e *extent) include(p measure.Point) {
	if !e.any {
		*e = extent{p, p, true}
		return
	}
	e.low = measure.Point{East: min(e.low.East, p.East), North: min(e.low.North, p.North)}
	e.high = measure.Point{East: max(e.high.East, p.East), North: max(e.high.North, p.North)}
}

func (e extent) middle() measure.Point { return measure.Lerp(e.low, e.high, 1, 2) }
