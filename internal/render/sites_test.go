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
// width, x2 for a pair, ending in ^ where a single leaf hangs at the finish and
// in > where it swings to the right.
func mustSite(text string) site.Site {
	var s site.Site
	for line := range strings.SplitSeq(strings.TrimSpace(text), "\n") {
		id, rest, _ := strings.Cut(line, ":")
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
			default:
				east, north, _ := strings.Cut(token, ",")
				r.Vertices = append(r.Vertices, measure.Point{East: mustFeet(east), North: mustFeet(north)})
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
	id, rest, _ := strings.Cut(text, "@")
	parts := strings.Split(rest, "x")
	g.ID, g.Station, g.Width = id, mustFeet(parts[0]), mustFeet(parts[1])
	if len(parts) > 2 {
		g.Leaves, _ = strconv.Atoi(parts[2])
	}
	return g
}

func mustFeet(text string) measure.Length { return measure.Must(text + " ft") }
