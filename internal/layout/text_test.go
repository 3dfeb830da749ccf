package layout_test

import (
	"fmt"
	"strconv"
	"strings"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// mustSite reads a site from a line of text for each run, so that a case is a
// line or two:
//
//	yard: wall 0,0 40,0 40,30 0,30 wall right gate=walk@10x3.5 gate=drive@55x10x2
//
// Plain numbers are feet; everything else is a length without spaces (7'6").
// wall before the first vertex ties in the start, after it the end, wall+2in
// leaves a gap; closed closes the run; right puts the boards on the right. A
// gate is id@station x width, x2 for a pair, ending in ^ where a single leaf
// hangs at the finish; ~ or ~right is a leaf that slides on the left or the right.
//
// More of a run: keep=gas@10..13, pin=20, old=20 (an existing post), ground=0:0
// ground=100:20, step=20..40 and rack=20..40, of=a before the first vertex or
// after the last (it ends at a line post of a), chord=2, beside=left@0..20@8in.
// A line that begins with ! is an obstacle: "!gas: 10,-5 10,5 clear=18in".
func mustSite(text string) site.Site {
	var s site.Site
	for line := range strings.Lines(text) {
		id, rest, ok := strings.Cut(line, ":")
		if !ok {
			panic("a run needs an id: " + line)
		}
		if id, is := strings.CutPrefix(strings.TrimSpace(id), "!"); is {
			s.Obstacles = append(s.Obstacles, mustObstacle(id, rest))
			continue
		}
		r := site.Run{ID: strings.TrimSpace(id)}
		for token := range strings.FieldsSeq(rest) {
			name, value, _ := strings.Cut(token, "=")
			switch {
			case token == "closed":
				r.Closed = true
			case token == "right":
				r.Face = site.Right
			case strings.HasPrefix(token, "wall"):
				t := site.Terminus{TieIn: true}
				if _, gap, ok := strings.Cut(token, "+"); ok {
					t.WallGap = mustLength(gap)
				}
				if len(r.Vertices) == 0 {
					r.Start = t
				} else {
					r.End = t
				}
			case name == "gate":
				r.Gates = append(r.Gates, mustGate(value))
			case name == "keep":
				id, span, _ := strings.Cut(value, "@")
				from, to := mustSpan(span)
				r.KeepOuts = append(r.KeepOuts, site.KeepOut{ID: id, From: from, To: to})
			case name == "pin", name == "old":
				r.Pins = append(r.Pins, site.Pin{Station: mustLength(value), Existing: name == "old"})
			case name == "ground":
				at, up, _ := strings.Cut(value, ":")
				r.Ground = append(r.Ground, site.GroundPoint{Station: mustLength(at), Elevation: mustLength(up)})
			case name == "step", name == "rack":
				from, to := mustSpan(value)
				r.Slopes = append(r.Slopes, site.SlopePart{From: from, To: to, Stepped: name == "step"})
			case name == "chord":
				n, _ := strconv.Atoi(value)
				r.Chords = append(r.Chords, n)
			case name == "beside":
				parts := strings.Split(value, "@")
				n := site.Neighbour{Gap: mustLength(parts[2])}
				n.From, n.To = mustSpan(parts[1])
				if parts[0] == "right" {
					n.Side = site.Right
				}
				r.Neighbours = append(r.Neighbours, n)
			case name == "of":
				if len(r.Vertices) == 0 {
					r.Start.LinePostOf = value
				} else {
					r.End.LinePostOf = value
				}
			default:
				east, north, ok := strings.Cut(token, ",")
				if !ok {
					panic("no vertex: " + token)
				}
				r.Vertices = append(r.Vertices, measure.Point{East: mustLength(east), North: mustLength(north)})
			}
		}
		s.Runs = append(s.Runs, r)
	}
	return s
}

func mustObstacle(id, rest string) site.Obstacle {
	o := site.Obstacle{ID: id}
	for token := range strings.FieldsSeq(rest) {
		if clear, is := strings.CutPrefix(token, "clear="); is {
			o.Clearance = mustLength(clear)
			continue
		}
		east, north, _ := strings.Cut(token, ",")
		o.Path = append(o.Path, measure.Point{East: mustLength(east), North: mustLength(north)})
	}
	return o
}

func mustSpan(text string) (from, to measure.Length) {
	a, b, _ := strings.Cut(text, "..")
	return mustLength(a), mustLength(b)
}

func mustGate(text string) site.Gate {
	text, finish := strings.CutSuffix(text, "^")
	text, right := strings.CutSuffix(text, "~right")
	text, left := strings.CutSuffix(text, "~")
	id, rest, _ := strings.Cut(text, "@")
	parts := strings.Split(rest, "x")
	g := site.Gate{ID: id, Station: mustLength(parts[0]), Width: mustLength(parts[1]), Leaves: 1, Slides: left || right}
	if right {
		g.Swing = site.Right
	}
	if len(parts) > 2 {
		g.Leaves, _ = strconv.Atoi(parts[2])
	}
	if finish {
		g.Hinge = site.HingeFinish
	}
	return g
}

func mustLength(text string) measure.Length {
	if strings.Trim(text, "-0123456789.") == "" {
		text += " ft"
	}
	return measure.Must(text)
}

// widths are bays in words, equal neighbours counted: "6 x 8 ft, 6 ft 6 in".
func widths(bays []layout.Bay, width func(layout.Bay) measure.Length) string {
	var parts []string
	for i := 0; i < len(bays); {
		n, w := i, width(bays[i])
		for n < len(bays) && width(bays[n]) == w {
			n++
		}
		if n-i > 1 {
			parts = append(parts, fmt.Sprintf("%d x %s", n-i, w))
		} else {
			parts = append(parts, w.String())
		}
		i = n
	}
	return strings.Join(parts, ", ")
}

func exact(b layout.Bay) measure.Length   { return b.Width }
func printed(b layout.Bay) measure.Length { return b.Printed }
func rail(b layout.Bay) measure.Length    { return b.Rail }
