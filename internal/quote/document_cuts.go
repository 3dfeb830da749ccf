package quote

import (
	"strconv"

	"wattle/internal/cutting"
	"wattle/internal/takeoff"
)

// writeCuts leaves the search's own figures (nodes) out: they say how a plan
// was found, not what it is.
func writeCuts(c *canon, p takeoff.CutPlan) {
	c.begin('{')
	c.length("bought", p.Plan.Bought)
	c.decimal("cost", p.Plan.Cost)
	c.list("joints", len(p.Joints), func(i int) {
		j := p.Joints[i]
		c.int("course", int64(j.Course))
		c.in("posts", '[')
		for _, post := range j.Posts {
			c.element(strconv.Itoa(post))
		}
		c.end(']')
		c.int("stretch", int64(j.Stretch))
	})
	c.decimal("lower_bound", p.Plan.LowerBound)
	c.in("patterns", '[')
	for _, x := range p.Plan.Patterns {
		c.begin('{')
		c.lengths("cuts", x.Cuts)
		c.int("stock", int64(x.Stock))
		c.int("times", int64(x.Times))
		c.end('}')
	}
	c.end(']')
	c.bool("proven", p.Plan.Proven)
	c.in("sticks", '[')
	for _, n := range p.Plan.Sticks {
		c.element(strconv.Itoa(n))
	}
	c.end(']')
	c.in("stocks", '[')
	for _, s := range p.Stocks {
		c.begin('{')
		c.text("item", s.Item)
		c.length("length", s.Length)
		c.decimal("price", s.Price)
		c.end('}')
	}
	c.end(']')
	c.text("use", p.Use)
	c.length("used", p.Plan.Used)
	c.length("waste", p.Plan.Waste)
	c.end('}')
}

func readCuts(t tree) takeoff.CutPlan {
	p := takeoff.CutPlan{Use: t.text("use"), Plan: &cutting.Plan{
		Cost: t.decimal("cost"), LowerBound: t.decimal("lower_bound"), Proven: t.bool("proven"),
		Bought: t.length("bought"), Used: t.length("used"), Waste: t.length("waste"),
	}}
	for _, x := range t.all("patterns") {
		p.Plan.Patterns = append(p.Plan.Patterns, cutting.Pattern{Stock: x.int("stock"), Cuts: x.lengths("cuts"), Times: x.int("times")})
	}
	for _, x := range t.allOrNone("joints") {
		joint := takeoff.Joint{Stretch: x.int("stretch"), Course: x.int("course")}
		for _, post := range x.all("posts") {
			joint.Posts = append(joint.Posts, int(post.integer()))
		}
		p.Joints = append(p.Joints, joint)
	}
	for _, n := range t.all("sticks") {
		p.Plan.Sticks = append(p.Plan.Sticks, int(n.integer()))
	}
	for _, s := range t.all("stocks") {
		p.Stocks = append(p.Stocks, cutting.Stock{Item: s.text("item"), Length: s.length("length"), Price: s.decimal("price")})
	}
	return p
}
