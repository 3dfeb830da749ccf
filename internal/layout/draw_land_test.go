package layout_test

import (
	"pgregory.net/rapid"

	"wattle/internal/measure"
	"wattle/internal/site"
)

// drawLand draws keep-outs, pins, slope parts and ground.
func drawLand(t *rapid.T, r *site.Run) {
	length := r.Length()
	for range rapid.IntRange(0, 2).Draw(t, "keep-outs") {
		k := site.KeepOut{From: within(t, 0, length-ft, "from")}
		k.To = min(k.From+between(t, 1, 3*ft, "wide"), length)
		r.KeepOuts = append(r.KeepOuts, k)
	}
	if rapid.Bool().Draw(t, "pin") {
		r.Pins = append(r.Pins, site.Pin{Station: within(t, 0, length, "pin"), Existing: rapid.Bool().Draw(t, "existing")})
	}
	if rapid.IntRange(0, 3).Draw(t, "part") == 0 {
		from := within(t, 0, length-ft, "from") // longer than posts are wide
		r.Slopes = []site.SlopePart{{From: from, To: between(t, from+8*in, length, "to"), Stepped: rapid.Bool().Draw(t, "stepped")}}
	}
	r.Ground = drawGround(t, *r)
}

// drawGround is no ground, one grade, or a few; none where that would be too
// steep.
func drawGround(t *rapid.T, r site.Run) []site.GroundPoint {
	length := r.Length()
	points := rapid.IntRange(0, 4).Draw(t, "ground points")
	if points == 0 {
		return nil
	}
	var ground []site.GroundPoint
	for i := range points + 1 {
		station := length / measure.Length(points) * measure.Length(i)
		if i == points {
			station = length
		}
		rise := station / 100 * measure.Length(rapid.IntRange(-30, 30).Draw(t, "percent"))
		if r.Closed && i == points {
			rise = ground[0].Elevation
		}
		if i > 0 && (rise-ground[i-1].Elevation).Abs() > (station-ground[i-1].Station)/2 {
			return nil
		}
		ground = append(ground, site.GroundPoint{Station: station, Elevation: rise})
	}
	return ground
}
