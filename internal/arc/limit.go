package arc

import "wattle/internal/measure"

// Limit is the widest spacing of posts on curves of a radius from Radius on.
type Limit struct{ Radius, Spacing measure.Length }

// ChainLink is the spacing of chain-link posts on curves [LAY-6: 10 ft for a
// radius of 500 ft and more and on tangents, 8 ft from 500 to 200 ft, 6 ft from
// 200 to 100 ft, 5 ft at 100 ft]. The source leaves open to which row the limits
// between belong; here each belongs to the row it begins, and what is below
// 100 ft has the spacing of the tightest row.
var ChainLink = []Limit{
	{500 * measure.Foot, 10 * measure.Foot},
	{200 * measure.Foot, 8 * measure.Foot},
	{100 * measure.Foot, 6 * measure.Foot},
	{0, 5 * measure.Foot},
}

// Spacing is the widest spacing on a curve of the radius: that of the row with
// the largest Radius not above it, in whatever order they stand. Where there is
// none it is 0.
func Spacing(table []Limit, radius measure.Length) measure.Length {
	best := Limit{Radius: -1}
	for _, row := range table {
		if row.Radius <= radius && row.Radius > best.Radius {
			best = row
		}
	}
	return best.Spacing
}
