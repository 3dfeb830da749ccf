// Package arc lays a circular arc as chords, since a fence is straight from post
// to post.
package arc

import (
	"fmt"
	"sort"

	"wattle/internal/measure"
)

// MaxChords is the most chords that an arc is laid as.
const MaxChords = 10_000

// Curve is an arc of a circle from one point to another: it turns left, or else
// right, and goes at most half around, or where Major the other way about.
type Curve struct {
	From, To    measure.Point
	Radius      measure.Length
	Left, Major bool
}

// Chords are the points between From and To where the arc is laid as the fewest
// equal chords no longer than limit [LAY-6], each to the nearest nanometre; none
// where one chord is enough. A major arc takes at least three, lest it be cut
// short.
//
// The number is decided on the rounded points themselves, in whole nanometres:
// no chord between two of them passes limit, and with one chord fewer one would.
// So an arc that limit divides exactly, but for a nanometre of rounding, may
// take one chord more.
//
// It is an error where the limit is not positive or asks for more than
// MaxChords, where the radius is not positive or less than half the distance of
// the ends, and where the ends coincide.
func Chords(c Curve, limit measure.Length) ([]measure.Point, error) {
	if limit <= 0 {
		return nil, fmt.Errorf("chords of at most %s; expected more than 0", limit.Inches(4))
	}
	a, err := measure.NewArc(c.From, c.To, c.Radius, c.Left, c.Major)
	if err != nil {
		return nil, err
	}
	fewest := 1
	if c.Major {
		fewest = 3
	}
	// Chords shorten as their number grows: double it until they fit, then
	// halve between the last two.
	short, n := fewest-1, fewest
	for !c.fits(a, n, limit) {
		if n == MaxChords {
			return nil, fmt.Errorf("an arc of radius %s takes more than %d chords of at most %s", c.Radius.Imperial(), MaxChords, limit.Inches(4))
		}
		short, n = n, min(2*n, MaxChords)
	}
	n = short + 1 + sort.Search(n-short-1, func(i int) bool { return c.fits(a, short+1+i, limit) })
	var points []measure.Point
	for k := 1; k < n; k++ {
		points = append(points, a.Point(k, n))
	}
	return points, nil
}

// Tangents are the directions of travel at both ends of the curve, from 0 up to
// but not including 360 degrees; an error as from Chords.
func Tangents(c Curve) (start, end measure.Angle, err error) {
	a, err := measure.NewArc(c.From, c.To, c.Radius, c.Left, c.Major)
	if err != nil {
		return 0, 0, err
	}
	start, end = a.Tangents()
	return start, end, nil
}

// rounding is more than what the chords of an arc of at most half a circle,
// equal but for their ends' rounding by a nanometre each way, differ by.
const rounding = 8 * measure.Nanometre

// fits says whether no chord of n passes limit. Each is looked at only where the
// first does not tell.
func (c Curve) fits(a measure.Arc, n int, limit measure.Length) bool {
	last := a.Point(0, n)
	if !c.Major && last.DistanceTo(a.Point(1, n)) <= limit-rounding {
		return true
	}
	for k := 1; k <= n; k++ {
		next := a.Point(k, n)
		if last.DistanceTo(next) > limit {
			return false
		}
		last = next
	}
	return true
}
