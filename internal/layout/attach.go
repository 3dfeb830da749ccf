package layout

import (
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// attachment is a run's end that stands at a line post of another run.
type attachment struct {
	run    int
	finish bool
	at     Visit // of the line post, on the other run
	point  measure.Point
}

// attach finds, for every end that asks for one, the nearest line post of the
// run it names: the runs without such ends are planned first, by themselves.
// It answers the site with those vertices moved to their posts, and all else
// where it was measured: a moved start shifts the stations of the run.
func attach(rules int, s site.Site, f spec.Spec, v *fault.List) (site.Site, []attachment) {
	var wanted []attachment
	hosts, index := site.Site{Obstacles: s.Obstacles}, make([]int, 0, len(s.Runs))
	ids := make(map[string]int, len(s.Runs))
	for i, r := range s.Runs {
		ids[r.ID] = i
		own := false
		for _, finish := range []bool{false, true} {
			if terminus(&r, finish).LinePostOf != "" && !r.Closed {
				wanted = append(wanted, attachment{run: i, finish: finish})
				own = true
			}
		}
		if !own {
			hosts.Runs, index = append(hosts.Runs, r), append(index, i)
		}
	}
	if len(wanted) == 0 {
		return s, nil
	}
	l, err := PlanAs(rules, hosts, f)
	if err != nil {
		return s, nil // the whole plan says what is wrong, by its own indices
	}
	s.Runs = append([]site.Run(nil), s.Runs...)
	for i := range wanted {
		a := &wanted[i]
		r := &s.Runs[a.run]
		r.Vertices = append([]measure.Point(nil), r.Vertices...)
		vertex, host := 0, ids[terminus(r, a.finish).LinePostOf]
		if a.finish {
			vertex = len(r.Vertices) - 1
		}
		var found *Post
		for j := range l.Posts {
			p := &l.Posts[j]
			if p.Role == Line && index[p.Visits[0].Run] == host &&
				(found == nil || p.At.DistanceTo(r.Vertices[vertex]) < found.At.DistanceTo(r.Vertices[vertex])) {
				found = p
			}
		}
		field := map[bool]string{false: "start", true: "end"}[a.finish]
		at := v.Index(a.run).At(field)
		if found == nil {
			at.Add("line_post_of", "run %q has no line post", s.Runs[host].ID)
			continue
		}
		if off := found.At.DistanceTo(r.Vertices[vertex]); off > f.Layout.MaxBay {
			at.Add("line_post_of", "the nearest line post of run %q stands %s away; expected one within a bay, %s", s.Runs[host].ID, off.Imperial(), f.Layout.MaxBay.Imperial())
			continue
		}
		a.at, a.point = Visit{host, found.Visits[0].Station}, found.At
		before := r.Length()
		r.Vertices[vertex] = found.At
		if a.finish {
			*r = shifted(*r, 0)
		} else {
			*r = shifted(*r, r.Length()-before)
		}
		r.Validate(v.Index(a.run))
	}
	return s, wanted
}

// shifted is a run whose stations are counted from elsewhere, by so much more,
// or whose end was moved. Ground and intervals that pass its ends are cut there.
func shifted(r site.Run, by measure.Length) site.Run {
	length := r.Length()
	inside := func(s measure.Length) measure.Length { return min(max(s+by, 0), length) }
	var ground []site.GroundPoint
	for i, g := range r.Ground {
		at := g.Station + by
		next := i+1 == len(r.Ground) || r.Ground[i+1].Station+by > 0
		last := i == 0 || r.Ground[i-1].Station+by < length
		if next && last { // the points past an end say how the ground lies at it
			ground = append(ground, site.GroundPoint{Station: inside(g.Station), Elevation: r.GroundAt(min(max(at, 0), length) - by)})
		}
	}
	r.Ground = slices.CompactFunc(ground, func(a, b site.GroundPoint) bool { return a.Station == b.Station })
	r.Gates = slices.Clone(r.Gates)
	for i := range r.Gates {
		r.Gates[i].Station += by
	}
	r.Pins = slices.Clone(r.Pins)
	for i := range r.Pins {
		r.Pins[i].Station += by
	}
	r.KeepOuts = slices.Clone(r.KeepOuts)
	for i := range r.KeepOuts {
		k := &r.KeepOuts[i]
		k.From, k.To = inside(k.From), k.To+by
	}
	r.Slopes = slices.Clone(r.Slopes)
	for i := range r.Slopes {
		p := &r.Slopes[i]
		p.From, p.To = inside(p.From), inside(p.To)
	}
	r.Neighbours = slices.Clone(r.Neighbours)
	for i := range r.Neighbours {
		n := &r.Neighbours[i]
		n.From, n.To = inside(n.From), inside(n.To)
	}
	return r
}

func terminus(r *site.Run, finish bool) *site.Terminus {
	if finish {
		return &r.End
	}
	return &r.Start
}

// hold marks the ends that stand at line posts of other runs.
func (p *planner) hold(attached []attachment) {
	for i := range attached {
		a := &attached[i]
		m := &p.marks[p.runs[a.run].marks]
		if a.finish {
			m = &p.marks[p.runs[a.run].marksEnd-1]
		}
		m.held = &Visit{a.at.Run, p.turns[a.at.Run].planned(a.at.Station)}
	}
}

// holds reports that one of two legs ends at a line post of the other's run.
func (p *planner) holds(x, y *leg) bool {
	at := func(m int32, run int32) bool { return p.marks[m].held != nil && p.marks[m].held.Run == int(run) }
	return at(x.from, y.run) || at(x.to, y.run) || at(y.from, x.run) || at(y.to, x.run)
}

// heldNodes are the nodes of attached ends by where they stand.
func (p *planner) heldNodes() map[Visit]int32 {
	var held map[Visit]int32
	for i := range p.marks {
		if m := &p.marks[i]; m.held != nil {
			if held == nil {
				held = make(map[Visit]int32)
			}
			held[*m.held] = m.node
		}
	}
	return held
}

// share makes a line post the post of the ends that are attached to it.
func (p *placer) share(post int, node int32) {
	n := &p.nodes[node]
	n.post = int32(post)
	line := &p.out.Posts[post]
	line.Role, line.Existing = Junction, line.Existing || n.existing
	line.Visits = append(line.Visits, p.visits[n.first:n.end]...)
}

// checkHeld notes attached ends whose line post is not where it was without
// them: something else that meets the run moved it.
func (p *planner) checkHeld(v *fault.List) {
	for i := range p.marks {
		m := &p.marks[i]
		if m.held == nil || p.out.Posts[p.nodes[m.node].post].Visits[0] == *m.held {
			continue
		}
		field := "start"
		if m.legOut < 0 {
			field = "end"
		}
		v.Index(int(m.run)).At(field).Add("line_post_of", "the line post of run %q at %s moves where other runs meet that run; give it a pin or a vertex there instead",
			p.site.Runs[m.held.Run].ID, p.at(m.held.Run, m.held.Station))
	}
}
