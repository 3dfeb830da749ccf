package quote

import (
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/section"
)

// roles and corners name layout's enumerations in documents.
var (
	roles   = roleNames()
	corners = []string{layout.NoCorner: "none", layout.OutsideCorner: "outside", layout.InsideCorner: "inside"}
)

func roleNames() []string {
	var names []string
	for _, r := range layout.Roles() {
		names = append(names, r.String())
	}
	return names
}

// writeLayout leaves out what is zero of the fields that came with rules versions
// 2 and 3: a layout of version 1 has none of them.
func writeLayout(c *canon, l *layout.Layout) {
	c.in("layout", '{')
	c.list("barred", len(l.Barred), func(i int) {
		b := l.Barred[i]
		c.length("from", b.From)
		c.text("id", b.ID)
		c.int("run", int64(b.Run))
		c.length("to", b.To)
	})
	c.in("bays", '[')
	for _, b := range l.Bays {
		c.begin('{')
		c.int("end", int64(b.End))
		c.lengthUnlessZero("fill", b.Fill)
		c.lengthUnlessZero("least_gap", b.LeastGap)
		c.length("limit", b.Limit)
		c.lengthUnlessZero("most_gap", b.MostGap)
		c.length("printed", b.Printed)
		c.length("rail", b.Rail)
		c.lengthUnlessZero("rise", b.Rise)
		c.int("start", int64(b.Start))
		c.int("stretch", int64(b.Stretch))
		c.lengthUnlessZero("top", b.Top)
		c.length("width", b.Width)
		c.end('}')
	}
	c.end(']')
	writeCautions(c, l.Cautions)
	c.in("openings", '[')
	for _, o := range l.Openings {
		c.begin('{')
		c.length("clear", o.Clear)
		c.int("end", int64(o.End))
		c.text("gate", o.Gate)
		c.bool("hinge_at_start", o.HingeAtStart)
		c.length("leaf_width", o.LeafWidth)
		c.int("leaves", int64(o.Leaves))
		if o.Roller != nil {
			c.key("roller")
			writePost(c, *o.Roller)
		}
		c.int("run", int64(o.Run))
		c.boolUnlessFalse("slides", o.Slides)
		c.length("span", o.Span)
		c.int("start", int64(o.Start))
		c.end('}')
	}
	c.end(']')
	c.in("posts", '[')
	for _, p := range l.Posts {
		writePost(c, p)
	}
	c.end(']')
	c.in("stretches", '[')
	for _, s := range l.Stretches {
		c.begin('{')
		c.int("bays", int64(s.Bays))
		c.length("end", s.End)
		writeStretchEnd(c, "finish_end", s.FinishEnd)
		c.int("first_bay", int64(s.FirstBay))
		c.text("method", s.Method)
		c.int("run", int64(s.Run))
		c.length("start", s.Start)
		writeStretchEnd(c, "start_end", s.StartEnd)
		c.boolUnlessFalse("stepped", s.Stepped)
		c.end('}')
	}
	c.end(']')
	c.end('}')
}

func readLayout(t tree) *layout.Layout {
	l := &layout.Layout{Cautions: readCautions(t)}
	for _, b := range t.allOrNone("barred") {
		l.Barred = append(l.Barred, layout.Barred{Run: b.int("run"), ID: b.text("id"), From: b.length("from"), To: b.length("to")})
	}
	for _, b := range t.all("bays") {
		l.Bays = append(l.Bays, layout.Bay{
			Stretch: b.int("stretch"), Start: b.int("start"), End: b.int("end"), Width: b.length("width"),
			Printed: b.length("printed"), Limit: b.length("limit"), Rail: b.length("rail"),
			Rise: b.lengthOrZero("rise"), Top: b.lengthOrZero("top"), Fill: b.lengthOrZero("fill"),
			MostGap: b.lengthOrZero("most_gap"), LeastGap: b.lengthOrZero("least_gap"),
		})
	}
	for _, o := range t.all("openings") {
		opening := layout.Opening{
			Gate: o.text("gate"), Run: o.int("run"), Clear: o.length("clear"), Span: o.length("span"),
			Leaves: o.int("leaves"), LeafWidth: o.length("leaf_width"), Start: o.int("start"), End: o.int("end"),
			HingeAtStart: o.bool("hinge_at_start"), Slides: o.boolOrFalse("slides"),
		}
		if o.has("roller") {
			opening.Roller = new(readPost(o.at("roller")))
		}
		l.Openings = append(l.Openings, opening)
	}
	for _, p := range t.all("posts") {
		l.Posts = append(l.Posts, readPost(p))
	}
	for _, s := range t.all("stretches") {
		l.Stretches = append(l.Stretches, layout.Stretch{
			Run: s.int("run"), Start: s.length("start"), End: s.length("end"),
			StartEnd: readStretchEnd(s.at("start_end")), FinishEnd: readStretchEnd(s.at("finish_end")),
			FirstBay: s.int("first_bay"), Bays: s.int("bays"), Method: s.text("method"), Stepped: s.boolOrFalse("stepped"),
		})
	}
	return l
}

func writePost(c *canon, p layout.Post) {
	c.begin('{')
	c.length("above_grade", p.AboveGrade)
	c.textUnlessEmpty("because", string(p.Because))
	c.length("east", p.At.East)
	c.boolUnlessFalse("existing", p.Existing)
	c.lengthUnlessZero("ground", p.Ground)
	c.in("hole", '{')
	c.length("depth", p.Hole.Depth)
	c.length("diameter", p.Hole.Diameter)
	c.length("embedment", p.Hole.Embedment)
	c.length("float", p.Hole.Float)
	c.text("governs", p.Hole.Governs)
	c.length("gravel", p.Hole.Gravel)
	c.end('}')
	c.text("id", p.ID)
	c.length("north", p.At.North)
	c.text("role", p.Role.String())
	c.text("size", string(p.Size))
	c.length("stock", p.Stock)
	c.in("visits", '[')
	for _, v := range p.Visits {
		c.begin('{')
		c.int("run", int64(v.Run))
		c.length("station", v.Station)
		c.end('}')
	}
	c.end(']')
	c.length("width", p.Width)
	c.end('}')
}

func readPost(t tree) layout.Post {
	h := t.at("hole")
	p := layout.Post{
		ID: t.text("id"), At: measure.Point{East: t.length("east"), North: t.length("north")},
		Role: layout.Role(t.choice("role", roles)), Size: section.Section(t.text("size")), Width: t.length("width"),
		AboveGrade: t.length("above_grade"), Stock: t.length("stock"),
		Hole: layout.Hole{
			Diameter: h.length("diameter"), Depth: h.length("depth"), Gravel: h.length("gravel"),
			Float: h.length("float"), Embedment: h.length("embedment"), Governs: h.text("governs"),
		},
		Ground: t.lengthOrZero("ground"), Existing: t.boolOrFalse("existing"), Because: layout.Because(t.textOrEmpty("because")),
	}
	for _, v := range t.all("visits") {
		p.Visits = append(p.Visits, layout.Visit{Run: v.int("run"), Station: v.length("station")})
	}
	return p
}

func writeStretchEnd(c *canon, key string, e layout.StretchEnd) {
	c.in(key, '{')
	c.text("corner", corners[e.Corner])
	c.bool("covers", e.Covers)
	c.bool("gate", e.Gate)
	c.int("post", int64(e.Post))
	c.bool("terminal", e.Terminal)
	c.length("wall", e.Wall)
	c.end('}')
}

func readStretchEnd(t tree) layout.StretchEnd {
	return layout.StretchEnd{
		Post: t.int("post"), Terminal: t.bool("terminal"), Gate: t.bool("gate"),
		Corner: layout.CornerKind(t.choice("corner", corners)), Covers: t.bool("covers"), Wall: t.length("wall"),
	}
}
