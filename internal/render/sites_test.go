package render

import (
	"strconv"
	"strings"

	"wattle/internal/measure"
	"wattle/internal/site"
)

// mustSite reads a site from a line of text for each run. Plain numbers are
// feet.
//
//	yard: wall 0,0 0,40 60,40 60,0 wall right gate=walk@10x3.5 gate=drive@55x10x2
//
// wall before the first vertex ties in the start, after it the end; closed
// closes the run; right puts the boards on the right. A gate is id@station x
// width, x2 for a pair, ending in ~ where it slides, then in ^ where a single leaf
// hangs at the finish and in > where it swings to the right. Other things along a run, by stations:
//
//	~9,4            a vertex inside an arc
//	ground=0:100,40:104.5
//	keep=gas@12-16
//	near=10-40@2.5  a fence beside the run, ending in > where it is on the right
//	stepped=0-24
//
// and in plan, on a line of its own: obstacle water 2.5: 0,10 80,30
func mustSite(text string) site.Site {
	var s site.Site
	for line := range strings.SplitSeq(strings.TrimSpace(text), "\n") {
		id, rest, _ := strings.Cut(line, ":")
		if about, is := strings.CutPrefix(id, "obstacle "); is {
			s.Obstacles = append(s.Obstacles, mustObstacle(about, rest))
			continue
		}
		r := site.Run{ID: strings.TrimSpace(id)}
		for token := range strings.FieldsSeq(rest) {
			gate, isGate := strings.CutPrefix(token, "gate=")
			switch {
			case token == "closed":
				r.Closed = true
			case token == "right":
				r.Face = site.Right
			case token == "wall" && len(r.Vertices) == 0:
				r.Start.TieIn = true
			case token == "wall":
				r.End.TieIn = true
			case isGate:
				r.Gates = append(r.Gates, mustGate(gate))
			case strings.Contains(token, "="):
				addAlong(&r, token)
			default:
				point, chord := strings.CutPrefix(token, "~")
				if chord {
					r.Chords = append(r.Chords, len(r.Vertices))
				}
				r.Vertices = append(r.Vertices, mustPoint(point))
			}
		}
		s.Runs = append(s.Runs, r)
	}
	return s
}

func mustGate(text string) site.Gate {
	g := site.Gate{Leaves: 1}
	if rest, ok := strings.CutSuffix(text, ">"); ok {
		text, g.Swing = rest, site.Right
	}
	if rest, ok := strings.CutSuffix(text, "^"); ok {
		text, g.Hinge = rest, site.HingeFinish
	}
	text, g.Slides = strings.CutSuffix(text, "~")
	id, rest, _ := strings.Cut(text, "@")
	parts := strings.Split(rest, "x")
	g.ID, g.Station, g.Width = id, mustFeet(parts[0]), mustFeet(parts[1])
	if len(parts) > 2 {
		g.Leaves, _ = strconv.Atoi(parts[2])
	}
	return g
}

func mustFeet(text string) measure.Length { return measure.Must(text + " ft") }

func mustPoint(text string) measure.Point {
	east, north, _ := strings.Cut(text, ",")
	return measure.Point{East: mustFeet(east), North: mustFeet(north)}
}

func mustObstacle(about, path string) site.Obstacle {
	id, clearance, _ := strings.Cut(about, " ")
	o := site.Obstacle{ID: id, Clearance: mustFeet(clearance)}
	for point := range strings.FieldsSeq(path) {
		o.Path = append(o.Path, mustPoint(point))
	}
	return o
}

// addAlong adds what stands at stations of a run.
func addAlong(r *site.Run, token string) {
	what, text, _ := strings.Cut(token, "=")
	interval := func(text string) (from, to measure.Length) {
		a, b, _ := strings.Cut(text, "-")
		return mustFeet(a), mustFeet(b)
	}
	switch what {
	case "ground":
		for point := range strings.SplitSeq(text, ",") {
			station, elevation, _ := strings.Cut(point, ":")
			r.Ground = append(r.Ground, site.GroundPoint{Station: mustFeet(station), Elevation: mustFeet(elevation)})
		}
	case "keep":
		k := site.KeepOut{}
		var stations string
		k.ID, stations, _ = strings.Cut(text, "@")
		k.From, k.To = interval(stations)
		r.KeepOuts = append(r.KeepOuts, k)
	case "near":
		n := site.Neighbour{}
		if rest, ok := strings.CutSuffix(text, ">"); ok {
			text, n.Side = rest, site.Right
		}
		stations, gap, _ := strings.Cut(text, "@")
		n.From, n.To = interval(stations)
		n.Gap = mustFeet(gap)
		r.Neighbours = append(r.Neighbours, n)
	case "stepped":
		part := site.SlopePart{Stepped: true}
		part.From, part.To = interval(text)
		r.Slopes = append(r.Slopes, part)
	default:
		panic(token)
	}
}
