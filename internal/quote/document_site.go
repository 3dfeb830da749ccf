package quote

import (
	"wattle/internal/measure"
	"wattle/internal/site"
)

// sides and hinges name site's two-valued fields in documents.
var (
	sides  = [...]string{site.Left: "left", site.Right: "right"}
	hinges = [...]string{site.HingeStart: "start", site.HingeFinish: "finish"}
)

func writeSite(c *canon, s site.Site) {
	c.in("site", '{')
	c.in("runs", '[')
	for _, r := range s.Runs {
		c.begin('{')
		c.bool("closed", r.Closed)
		writeTerminus(c, "end", r.End)
		c.text("face", sides[r.Face])
		c.in("gates", '[')
		for _, g := range r.Gates {
			c.begin('{')
			c.text("hinge", hinges[g.Hinge])
			c.text("id", g.ID)
			c.int("leaves", int64(g.Leaves))
			c.length("station", g.Station)
			c.text("swing", sides[g.Swing])
			c.length("width", g.Width)
			c.end('}')
		}
		c.end(']')
		c.text("id", r.ID)
		writeTerminus(c, "start", r.Start)
		c.in("vertices", '[')
		for _, v := range r.Vertices {
			writePoint(c, v)
		}
		c.end(']')
		c.end('}')
	}
	c.end(']')
	c.end('}')
}

func readSite(t tree) site.Site {
	var s site.Site
	for _, r := range t.all("runs") {
		run := site.Run{
			ID: r.text("id"), Closed: r.bool("closed"), Face: site.Side(r.choice("face", sides[:])),
			Start: readTerminus(r.at("start")), End: readTerminus(r.at("end")),
		}
		for _, g := range r.all("gates") {
			run.Gates = append(run.Gates, site.Gate{
				ID: g.text("id"), Station: g.length("station"), Width: g.length("width"), Leaves: g.int("leaves"),
				Hinge: site.Hinge(g.choice("hinge", hinges[:])), Swing: site.Side(g.choice("swing", sides[:])),
			})
		}
		for _, v := range r.all("vertices") {
			run.Vertices = append(run.Vertices, readPoint(v))
		}
		s.Runs = append(s.Runs, run)
	}
	return s
}

func writePoint(c *canon, p measure.Point) {
	c.begin('{')
	c.length("east", p.East)
	c.length("north", p.North)
	c.end('}')
}

func readPoint(t tree) measure.Point {
	return measure.Point{East: t.length("east"), North: t.length("north")}
}

func writeTerminus(c *canon, key string, t site.Terminus) {
	c.in(key, '{')
	c.bool("tie_in", t.TieIn)
	c.length("wall_gap", t.WallGap)
	c.end('}')
}

func readTerminus(t tree) site.Terminus {
	return site.Terminus{TieIn: t.bool("tie_in"), WallGap: t.length("wall_gap")}
}
