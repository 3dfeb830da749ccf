package steel

import (
	"fmt"
	"strings"

	"wattle/internal/measure"
)

// Grade is how heavy the wall of a pipe is.
type Grade string

// Grades that fence pipe is sold in.
const (
	Schedule40   Grade = "schedule 40"
	HighStrength Grade = "high strength" // thinner walls of stronger steel
)

// Pipe is one size of round fence pipe.
type Pipe struct {
	OD, Wall measure.Length
	Grade    Grade
	// Source is where the figures come from.
	Source string
}

const (
	mil        = measure.Inch / 1000
	fromMemory = "from memory"
	odSeen     = "diameter [AS-2], wall from memory"
)

// pipes is every usual pipe, the narrow before the wide, of one diameter the
// heavy before the light.
var pipes = []Pipe{
	{1315 * mil, 133 * mil, Schedule40, fromMemory},
	{1660 * mil, 140 * mil, Schedule40, fromMemory},
	{1660 * mil, 111 * mil, HighStrength, fromMemory},
	{1900 * mil, 145 * mil, Schedule40, "[AS-6]"},
	{1900 * mil, 120 * mil, HighStrength, fromMemory},
	{2375 * mil, 154 * mil, Schedule40, odSeen},
	{2375 * mil, 130 * mil, HighStrength, odSeen},
	{2875 * mil, 203 * mil, Schedule40, odSeen},
	{2875 * mil, 160 * mil, HighStrength, odSeen},
	{3500 * mil, 216 * mil, Schedule40, fromMemory},
	{3500 * mil, 160 * mil, HighStrength, fromMemory},
	{4000 * mil, 226 * mil, Schedule40, "[AS-6]"},
	{4000 * mil, 160 * mil, HighStrength, odSeen},
	{6625 * mil, 280 * mil, Schedule40, odSeen},
}

// Pipes are all usual pipes, the narrow before the wide, of one diameter the
// heavy before the light.
func Pipes() []Pipe { return append([]Pipe(nil), pipes...) }

// WallFor is the wall of schedule 40 pipe of an actual outside diameter:
// 0.145 in for 1.900 in. It is an error for a diameter that the table does not
// have, such as the 1-5/8 in by which a pipe of 1.660 in is asked for.
func WallFor(od measure.Length) (measure.Length, error) {
	var known []string
	for _, p := range pipes {
		if p.Grade != Schedule40 {
			continue
		}
		if p.OD == od {
			return p.Wall, nil
		}
		known = append(known, p.OD.Inches(3))
	}
	return 0, fmt.Errorf("no pipe of %s outside diameter is known here; expected one of %s", od.Inches(4), strings.Join(known, ", "))
}

// tubeWalls are the thinnest usual walls of square tube posts by width: 16, 14
// and 11 gauge (common practice, from memory).
var tubeWalls = []struct{ upTo, wall measure.Length }{
	{2500 * mil, 65 * mil},
	{3000 * mil, 83 * mil},
	{measure.MaxLength, 120 * mil},
}

// TubeWallFor is the thinnest usual wall of a square tube post of an actual
// width.
func TubeWallFor(width measure.Length) measure.Length {
	wall := measure.Length(0)
	for _, row := range tubeWalls {
		if wall = row.wall; width <= row.upTo {
			break
		}
	}
	return wall
}
