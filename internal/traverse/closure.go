package traverse

import (
	"fmt"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// Closure is how well a traverse closes: what it ran past the point where it
// should have ended.
type Closure struct {
	Length      measure.Length // of all legs, in plan
	North, East measure.Length // sums of latitudes and departures, less what they should be
	Misclosure  measure.Length // the straight distance of these
	// Precision is the N of 1 in N: Length over Misclosure, rounded down. A
	// closure exact to the nanometre has no ratio, and 0 here.
	Precision int64
	// Up is how far above the start's elevation a traverse back to its start
	// ends, below zero where it ends low; nil where no leg has a rise or a
	// slope. It is reported, never balanced.
	Up *measure.Length
	// Balanced: the vertices were brought to close by the compass rule.
	Balanced bool
}

// Close is the closure of legs that are so long together and miss the point by
// so much north and east: the sums of latitudes and departures of a traverse
// back to its start.
func Close(length, north, east measure.Length) Closure {
	c := Closure{Length: length, North: north, East: east, Misclosure: measure.Hypot(east, north)}
	if c.Misclosure > 0 {
		c.Precision = int64(length / c.Misclosure)
	}
	return c
}

// Ratio is the precision as it is written: "1 in 12140", or "exact".
func (c Closure) Ratio() string {
	if c.Misclosure == 0 {
		return "exact"
	}
	return fmt.Sprintf("1 in %d", c.Precision)
}

// check adds a violation where the traverse closes worse than 1 in least.
func (c Closure) check(v *fault.List, least int64) {
	if least == 0 {
		least = LeastPrecision
	}
	v.Require(c.Misclosure == 0 || c.Precision >= least, "closes",
		"the traverse misses its closing point by %s (%s north, %s east) in %s, %s; expected 1 in %d or better: look for a wrong quarter, a swapped figure or a missing leg",
		feetAndMetres(c.Misclosure), c.North.In(measure.Foot, 3), c.East.In(measure.Foot, 3), feetAndMetres(c.Length), c.Ratio(), least)
}

func feetAndMetres(l measure.Length) string {
	return l.In(measure.Foot, 3) + " = " + l.In(measure.Metre, 3)
}

// close is the closure of vertices as run, the closing point among them, onto
// to. Where balance is asked for they are moved by the compass (Bowditch) rule:
// each leg takes of the misclosure the share it has of the length [SUR-1]. The
// shares are rounded as sums from the start, so that the last vertex comes to
// stand on to exactly.
func (r Result) close(to measure.Point, balance bool) Closure {
	length := measure.Length(0)
	for _, leg := range r.Legs {
		length += leg.Distance
	}
	last := len(r.Vertices) - 1
	missed := r.Vertices[last].Sub(to)
	c := Close(length, missed.North, missed.East)
	if to == r.Vertices[0] && len(r.Elevations) > last {
		c.Up = new(r.Elevations[last] - r.Elevations[0])
	}
	if balance {
		c.Balanced = true
		sum := measure.Length(0)
		for i, leg := range r.Legs {
			sum += leg.Distance
			share := measure.Lerp(measure.Point{}, missed, sum, length)
			r.Vertices[i+1] = r.Vertices[i+1].Sub(share)
		}
	}
	return c
}
