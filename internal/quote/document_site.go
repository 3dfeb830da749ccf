package quote

import (
	"strconv"

	"wattle/internal/measure"
	"wattle/internal/site"
)

// sides and hinges name site's two-valued fields in documents.
var (
	sides  = [...]string{site.Left: "left", site.Right: "right"}
	hinges = [...]string{site.HingeStart: "start", site.HingeFinish: "finish"}
)

// writeSite leaves out what is empty of the fields that came with rules versions
// 2 and 3.
func writeSite(c *canon, s site.Site) {
	c.in("site", '{')
	writeConditions(c, s.Conditions)
	c.list("obstacles", len(s.Obstacles), func(i int) {
		o := s.Obstacles[i]
		c.length("clearance", o.Clearance)
		c.text("id", o.ID)
		writePoints(c, "path", o.Path)
	})
	c.in("runs", '[')
	for _, r := range s.Runs {
		writeRun(c, r)
	}
	c.end(']')
	c.end('}')
}

func readSite(t tree) site.Site {
	var s site.Site
	for _, o := range t.allOrNone("obstacles") {
		s.Obstacles = append(s.Obstacles, site.Obstacle{ID: o.text("id"), Path: readPoints(o, "path"), Clearance: o.length("clearance")})
	}
	s.Conditions = readConditions(t)
	for _, r := range t.all("runs") {
		s.Runs = append(s.Runs, readRun(r))
	}
	return s
}

func writeRun(c *canon, r site.Run) {
	c.begin('{')
	if len(r.Chords) > 0 {
		c.in("chords", '[')
		for _, vertex := range r.Chords {
			c.element(strconv.Itoa(vertex))
		}
		c.end(']')
	}
	c.bool("closed", r.Closed)
	writeTerminus(c, "end", r.End)
	c.text("face", sides[r.Face])
	c.in("gates", '[')
	for _, g := range r.Gates {
		c.begin('{')
		c.text("hinge", hinges[g.Hinge])
		c.text("id", g.ID)
		c.int("leaves", int64(g.Leaves))
		c.boolUnlessFalse("slides", g.Slides)
		c.length("station", g.Station)
		c.text("swing", sides[g.Swing])
		c.length("width", g.Width)
		c.end('}')
	}
	c.end(']')
	c.list("ground", len(r.Ground), func(i int) {
		c.length("elevation", r.Ground[i].Elevation)
		c.length("station", r.Ground[i].Station)
	})
	c.text("id", r.ID)
	c.list("keep_outs", len(r.KeepOuts), func(i int) {
		c.length("from", r.KeepOuts[i].From)
		c.text("id", r.KeepOuts[i].ID)
		c.length("to", r.KeepOuts[i].To)
	})
	c.list("neighbours", len(r.Neighbours), func(i int) {
		c.length("from", r.Neighbours[i].From)
		c.length("gap", r.Neighbours[i].Gap)
		c.text("side", sides[r.Neighbours[i].Side])
		c.length("to", r.Neighbours[i].To)
	})
	c.list("pins", len(r.Pins), func(i int) {
		c.bool("existing", r.Pins[i].Existing)
		c.length("station", r.Pins[i].Station)
	})
	c.list("slopes", len(r.Slopes), func(i int) {
		c.length("from", r.Slopes[i].From)
		c.bool("stepped", r.Slopes[i].Stepped)
		c.length("to", r.Slopes[i].To)
	})
	writeTerminus(c, "start", r.Start)
	writePoints(c, "vertices", r.Vertices)
	c.end('}')
}

func readRun(t tree) site.Run {
	r := site.Run{
		ID: t.text("id"), Vertices: readPoints(t, "vertices"), Closed: t.bool("closed"),
		Face:  site.Side(t.choice("face", sides[:])),
		Start: readTerminus(t.at("start")), End: readTerminus(t.at("end")),
	}
	for _, vertex := range t.allOrNone("chords") {
		r.Chords = append(r.Chords, int(vertex.integer()))
	}
	for _, g := range t.all("gates") {
		r.Gates = append(r.Gates, site.Gate{
			ID: g.text("id"), Station: g.length("station"), Width: g.length("width"), Leaves: g.int("leaves"),
			Hinge: site.Hinge(g.choice("hinge", hinges[:])), Swing: site.Side(g.choice("swing", sides[:])),
			Slides: g.boolOrFalse("slides"),
		})
	}
	for _, g := range t.allOrNone("ground") {
		r.Ground = append(r.Ground, site.GroundPoint{Station: g.length("station"), Elevation: g.length("elevation")})
	}
	for _, k := range t.allOrNone("keep_outs") {
		r.KeepOuts = append(r.KeepOuts, site.KeepOut{ID: k.text("id"), From: k.length("from"), To: k.length("to")})
	}
	for _, p := range t.allOrNone("pins") {
		r.Pins = append(r.Pins, site.Pin{Station: p.length("station"), Existing: p.bool("existing")})
	}
	for _, s := range t.allOrNone("slopes") {
		r.Slopes = append(r.Slopes, site.SlopePart{From: s.length("from"), To: s.length("to"), Stepped: s.bool("stepped")})
	}
	for _, n := range t.allOrNone("neighbours") {
		r.Neighbours = append(r.Neighbours, site.Neighbour{
			From: n.length("from"), To: n.length("to"), Side: site.Side(n.choice("side", sides[:])), Gap: n.length("gap"),
		})
	}
	return r
}

func writePoints(c *canon, key string, points []measure.Point) {
	c.in(key, '[')
	for _, p := range points {
		c.begin('{')
		c.length("east", p.East)
		c.length("north", p.North)
		c.end('}')
	}
	c.end(']')
}

func readPoints(t tree, key string) []measure.Point {
	var points []measure.Point
	for _, p := range t.all(key) {
		points = append(points, measure.Point{East: p.length("east"), North: p.length("north")})
	}
	return points
}

func writeTerminus(c *canon, key string, t site.Terminus) {
	c.in(key, '{')
	c.textUnlessEmpty("line_post_of", t.LinePostOf)
	c.bool("tie_in", t.TieIn)
	c.length("wall_gap", t.WallGap)
	c.end('}')
}

func readTerminus(t tree) site.Terminus {
	return site.Terminus{TieIn: t.bool("tie_in"), WallGap: t.length("wall_gap"), LinePostOf: t.textOrEmpty("line_post_of")}
}
