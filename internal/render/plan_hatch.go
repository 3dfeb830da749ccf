package render

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// shape is an area on paper that hatching fills.
type shape interface {
	// cut is where the line from a along d, of length one, runs within the
	// shape; where it misses, high is below low.
	cut(a, d vec) (low, high float64)
	// reach is how far the shape lies along n, of length one.
	reach(n vec) (low, high float64)
}

// disc is a circle filled.
type disc struct {
	centre vec
	radius float64
}

func (c disc) cut(a, d vec) (low, high float64) {
	w := a.sub(c.centre)
	foot, off := -(w.x*d.x + w.y*d.y), w.x*d.y-w.y*d.x
	if math.Abs(off) > c.radius {
		return 1, -1
	}
	half := math.Sqrt(c.radius*c.radius - off*off)
	return foot - half, foot + half
}

func (c disc) reach(n vec) (low, high float64) {
	middle := c.centre.x*n.x + c.centre.y*n.y
	return middle - c.radius, middle + c.radius
}

func (b box) cut(a, d vec) (low, high float64) {
	sin, cos := math.Sincos(b.angle)
	w := a.sub(b.centre)
	low, high = narrow(math.Inf(-1), math.Inf(1), d.x*cos+d.y*sin, w.x*cos+w.y*sin, b.width/2)
	return narrow(low, high, d.y*cos-d.x*sin, w.y*cos-w.x*sin, b.height/2)
}

func (b box) reach(n vec) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, c := range b.corners() {
		along := c.x*n.x + c.y*n.y
		low, high = min(low, along), max(high, along)
	}
	return low, high
}

// clip is what of the line from a to b lies in the box.
func (b box) clip(from, to vec) (vec, vec, bool) {
	d, long := to.sub(from).unit(), to.sub(from).length()
	low, high := b.cut(from, d)
	low, high = max(low, 0), min(high, long)
	return from.add(d.times(low)), from.add(d.times(high)), low < high
}

// meets reports whether a line through points comes into the box.
func (b box) meets(points []vec) bool {
	for i := 1; i < len(points); i++ {
		if _, _, in := b.clip(points[i-1], points[i]); in {
			return true
		}
	}
	return false
}

// hatched are lines at an angle that fill what of the shapes lies in the frame;
// where shapes overlap a line is drawn once.
func hatched(frame box, shapes []shape, angle, apart float64) string {
	sin, cos := math.Sincos(angle)
	d, n := vec{cos, sin}, vec{-sin, cos}
	low, high := math.Inf(1), math.Inf(-1)
	for _, s := range shapes {
		from, to := s.reach(n)
		low, high = min(low, from), max(high, to)
	}
	from, to := frame.reach(n)
	low, high = max(low, from), min(high, to)
	var path strings.Builder
	var spans [][2]float64
	for k := math.Ceil(low / apart); k*apart <= high; k++ {
		a := n.times(k * apart)
		first, last := frame.cut(a, d)
		spans = spans[:0]
		for _, s := range shapes {
			from, to := s.cut(a, d)
			if from, to = max(from, first), min(to, last); from < to {
				spans = append(spans, [2]float64{from, to})
			}
		}
		slices.SortFunc(spans, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })
		for i := 0; i < len(spans); {
			from, to := spans[i][0], spans[i][1]
			for i++; i < len(spans) && spans[i][0] <= to; i++ {
				to = max(to, spans[i][1])
			}
			path.WriteString("M" + pair(a.add(d.times(from))) + "L" + pair(a.add(d.times(to))))
		}
	}
	return path.String()
}

// dashed is a broken line along points, of what lies in the frame.
func dashed(frame box, points []vec) string {
	const dash, whole = 7, 10
	var path strings.Builder
	walked := 0.0
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		d, long := b.sub(a).unit(), b.sub(a).length()
		low, high := frame.cut(a, d)
		low, high = max(low, 0), min(high, long)
		for at := low - math.Mod(walked+low, whole); at < high; at += whole {
			if from, to := max(at, low), min(at+dash, high); from < to {
				path.WriteString("M" + pair(a.add(d.times(from))) + "L" + pair(a.add(d.times(to))))
			}
		}
		walked = math.Mod(walked+long, whole)
	}
	return path.String()
}
