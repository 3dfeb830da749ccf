package check

import (
	"slices"
	"strings"

	"wattle/internal/measure"
	"wattle/internal/site"
)

// town holds the fence against the limits of its yard, of permits and of sight
// triangles.
func (c *collector) town() {
	k, high := c.job.Conditions, c.job.Spec.PostTop()
	for _, p := range c.job.Layout.Posts {
		high = max(high, p.AboveGrade)
	}
	if k.Yard.Name != "" || k.Yard.MaxHeight > 0 {
		name := k.Yard.Name
		if name == "" {
			name = unnamedYard
		}
		y := Yards{Fences: []YardFence{{Yard: name, Height: &high}}}
		if k.Yard.MaxHeight > 0 {
			y.Limits = []YardLimit{{Yard: name, Most: k.Yard.MaxHeight, Source: "a yard limit stated by the job", Edition: "as stated"}}
		}
		results, err := y.Check()
		c.add(YardHeight, err, results...)
	}
	if k.Yard != (site.Yard{}) {
		p := Permit{Height: high}
		if k.Yard.PermitOver > 0 {
			p.Town = &PermitLimit{UpTo: k.Yard.PermitOver, Source: "a permit limit stated by the job", Edition: "as stated"}
		}
		r, err := p.Check()
		c.add(PermitHeight, err, r)
	}
	for i := range k.Sights {
		c.sight(i, high)
	}
}

// sight holds every stretch, and every gate, whose leaves are as high as the
// fence, against one triangle, so that what is wrong with one leaves the others.
func (c *collector) sight(i int, high measure.Length) {
	x, l := c.job.Conditions.Sights[i], c.job.Layout
	t := Sight{Name: x.Name, Corners: x.Corners, Source: "a sight triangle stated by the job", Edition: "as stated"}
	if x.MaxHeight > 0 {
		t.Most = &x.MaxHeight
	}
	s := Sights{Triangles: []Sight{t}}
	for _, st := range l.Stretches {
		s.Fences = append(s.Fences, SightFence{From: l.Posts[st.StartEnd.Post].At, To: l.Posts[st.FinishEnd.Post].At, Height: &high})
	}
	for _, o := range l.Openings {
		s.Fences = append(s.Fences, SightFence{Gate: o.Gate, From: l.Posts[o.Start].At, To: l.Posts[o.End].At, Height: &high})
	}
	results, err := s.Check()
	first := len(c.all)
	c.add(SightTriangle, err, results...)
	for j := range c.all[first:] {
		c.all[first+j].Field = sightPath(i)
	}
}

// notice is when digging may start. Without an hour the end of the day is taken,
// from which everything is later.
func (c *collector) notice() {
	n := c.job.Conditions.Notice
	if n == nil {
		return
	}
	rules := NoticeRules()
	i := slices.IndexFunc(rules, func(r NoticeRule) bool { return strings.EqualFold(r.Place, n.Rule) })
	if i < 0 {
		c.add(DigNotice, nil, notKnown(DigNotice, "rule", "The notice rule "+n.Rule))
		return
	}
	given := Moment{Date: n.Given, Minute: dayMinutes - 1}
	if n.Hour != nil {
		given.Minute = *n.Hour * 60
	}
	_, r, err := Notice{Rule: rules[i], Given: given, Holidays: n.Holidays}.Check()
	if n.Hour == nil {
		r.Text = "No hour of the notice is given, so the end of that day is taken. " + r.Text
	}
	c.add(DigNotice, err, r)
}
