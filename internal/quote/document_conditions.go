package quote

import (
	"wattle/internal/measure"
	"wattle/internal/site"
)

// writeConditions writes what the job finds around the fence, which came with
// rules version 3. Whatever is zero is left out, and a group of which nothing is
// left; a pool or a notice that is given stands even so.
func writeConditions(c *canon, s site.Conditions) {
	c.unlessEmpty("conditions", func() {
		c.textUnlessEmpty("access", s.Access)
		c.textUnlessEmpty("digging", s.Digging)
		c.unlessEmpty("footing", func() {
			c.decimalUnlessZero("bearing", s.Footing.Bearing)
			c.decimalUnlessZero("fixed_s1", s.Footing.FixedS1)
			c.boolUnlessFalse("pole_factor", s.Footing.PoleFactor)
		})
		c.textUnlessEmpty("grade", s.Grade)
		if n := s.Notice; n != nil {
			c.in("notice", '{')
			c.date("given", n.Given)
			c.in("holidays", '[')
			for _, day := range n.Holidays {
				c.element(day.String())
			}
			c.end(']')
			if n.Hour != nil {
				c.int("hour", int64(*n.Hour))
			}
			c.text("rule", n.Rule)
			c.end('}')
		}
		if s.Pool != nil {
			writePool(c, *s.Pool)
		}
		c.unlessEmpty("post_strength", func() {
			c.decimalUnlessZero("fb", s.PostStrength.Fb)
			c.textUnlessEmpty("grade", s.PostStrength.Grade)
			c.textUnlessEmpty("source", s.PostStrength.Source)
			c.textUnlessEmpty("species", s.PostStrength.Species)
		})
		c.lengthUnlessZero("rail_span", s.RailSpan)
		c.textUnlessEmpty("season", s.Season)
		c.list("sights", len(s.Sights), func(i int) {
			x := s.Sights[i]
			c.in("corners", '[')
			for _, p := range x.Corners {
				c.begin('{')
				c.length("east", p.East)
				c.length("north", p.North)
				c.end('}')
			}
			c.end(']')
			c.length("max_height", x.MaxHeight)
			c.text("name", x.Name)
		})
		c.intUnlessZero("soil_class", s.SoilClass)
		c.list("tear_out", len(s.TearOut), func(i int) {
			o := s.TearOut[i]
			c.decimal("cubic_feet_per_foot", o.CubicFeetPerFoot)
			c.decimal("footing_cubic_feet", o.FootingCubicFeet)
			c.decimal("footing_pounds", o.FootingPounds)
			c.int("footings", int64(o.Footings))
			c.length("height", o.Height)
			c.length("length", o.Length)
			c.decimal("pounds_per_foot", o.PoundsPerFoot)
		})
		c.boolUnlessFalse("unsuitable", s.Unsuitable)
		c.unlessEmpty("wind", func() {
			c.textUnlessEmpty("exposure", s.Wind.Exposure)
			c.decimalUnlessZero("flat", s.Wind.Flat)
			c.intUnlessZero("speed", s.Wind.Speed)
			c.decimalUnlessZero("topography", s.Wind.Topography)
		})
		c.unlessEmpty("yard", func() {
			c.lengthUnlessZero("max_height", s.Yard.MaxHeight)
			c.textUnlessEmpty("name", s.Yard.Name)
			c.lengthUnlessZero("permit_over", s.Yard.PermitOver)
		})
	})
}

func writePool(c *canon, p site.Pool) {
	c.in("pool", '{')
	c.optionalLength("bottom_gap", p.BottomGap)
	c.optionalLength("largest_gap", p.LargestGap)
	c.optionalLength("latch_below_top", p.LatchBelowTop)
	c.optionalLength("latch_height", p.LatchHeight)
	c.optionalBool("latch_inside", p.LatchInside)
	c.optionalLength("latch_opening", p.LatchOpening)
	c.lengthUnlessZero("max_mesh", p.MaxMesh)
	c.optionalLength("mesh", p.Mesh)
	c.lengthUnlessZero("min_height", p.MinHeight)
	c.optionalBool("opens_outward", p.OpensOutward)
	c.boolUnlessFalse("over_deck", p.OverDeck)
	c.optionalLength("rails_apart", p.RailsApart)
	c.optionalBool("rails_inside", p.RailsInside)
	c.optionalBool("self_closing", p.SelfClosing)
	c.optionalBool("self_latching", p.SelfLatching)
	c.boolUnlessFalse("slatted", p.Slatted)
	c.end('}')
}

// readConditions reads the site's conditions; zero where it has none.
func readConditions(t tree) site.Conditions {
	if !t.has("conditions") {
		return site.Conditions{}
	}
	t = t.at("conditions")
	s := site.Conditions{
		SoilClass: t.intOrZero("soil_class"), Unsuitable: t.boolOrFalse("unsuitable"),
		Digging: t.textOrEmpty("digging"), Access: t.textOrEmpty("access"), Grade: t.textOrEmpty("grade"), Season: t.textOrEmpty("season"),
	}
	if t.has("wind") {
		w := t.at("wind")
		s.Wind = site.Wind{
			Speed: w.intOrZero("speed"), Exposure: w.textOrEmpty("exposure"),
			Topography: w.decimalOrZero("topography"), Flat: w.decimalOrZero("flat"),
		}
	}
	if t.has("footing") {
		f := t.at("footing")
		s.Footing = site.Footing{PoleFactor: f.boolOrFalse("pole_factor"), Bearing: f.decimalOrZero("bearing"), FixedS1: f.decimalOrZero("fixed_s1")}
	}
	if t.has("post_strength") {
		p := t.at("post_strength")
		s.PostStrength = site.PostStrength{Species: p.textOrEmpty("species"), Grade: p.textOrEmpty("grade"), Fb: p.decimalOrZero("fb"), Source: p.textOrEmpty("source")}
	}
	s.RailSpan = t.lengthOrZero("rail_span")
	for _, x := range t.allOrNone("sights") {
		sight := site.Sight{Name: x.text("name"), MaxHeight: x.length("max_height")}
		for i, p := range x.all("corners") {
			if i < len(sight.Corners) {
				sight.Corners[i] = measure.Point{East: p.length("east"), North: p.length("north")}
			}
		}
		s.Sights = append(s.Sights, sight)
	}
	for _, o := range t.allOrNone("tear_out") {
		s.TearOut = append(s.TearOut, site.OldFence{
			Length: o.length("length"), Height: o.length("height"), Footings: o.int("footings"),
			PoundsPerFoot: o.decimal("pounds_per_foot"), CubicFeetPerFoot: o.decimal("cubic_feet_per_foot"),
			FootingPounds: o.decimal("footing_pounds"), FootingCubicFeet: o.decimal("footing_cubic_feet"),
		})
	}
	if t.has("pool") {
		s.Pool = readPool(t.at("pool"))
	}
	if t.has("yard") {
		y := t.at("yard")
		s.Yard = site.Yard{
			Name: y.textOrEmpty("name"), MaxHeight: y.lengthOrZero("max_height"),
			PermitOver: y.lengthOrZero("permit_over"),
		}
	}
	if t.has("notice") {
		n := t.at("notice")
		s.Notice = &site.Notice{Rule: n.text("rule"), Given: n.date("given")}
		if n.has("hour") {
			s.Notice.Hour = new(n.int("hour"))
		}
		for _, day := range n.all("holidays") {
			s.Notice.Holidays = append(s.Notice.Holidays, day.day())
		}
	}
	return s
}

func readPool(t tree) *site.Pool {
	return &site.Pool{
		MinHeight: t.lengthOrZero("min_height"), MaxMesh: t.lengthOrZero("max_mesh"),
		BottomGap: t.optionalLength("bottom_gap"), OverDeck: t.boolOrFalse("over_deck"), LargestGap: t.optionalLength("largest_gap"),
		RailsInside: t.optionalBool("rails_inside"), RailsApart: t.optionalLength("rails_apart"),
		Mesh: t.optionalLength("mesh"), Slatted: t.boolOrFalse("slatted"),
		OpensOutward: t.optionalBool("opens_outward"), SelfClosing: t.optionalBool("self_closing"), SelfLatching: t.optionalBool("self_latching"),
		LatchHeight: t.optionalLength("latch_height"), LatchInside: t.optionalBool("latch_inside"),
		LatchBelowTop: t.optionalLength("latch_below_top"), LatchOpening: t.optionalLength("latch_opening"),
	}
}
