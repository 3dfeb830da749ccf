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
}

// attach finds, for every end that asks for one, the nearest line post of the
// run it names: the runs without such ends are planned first, by themselves.
// It answers the site with those vertices moved to their posts, and all else
// where it was measured: a moved start shifts the stations of the run.
func attach(rules int, s site.Site, f *spec.Spec, v *fault.List) (site.Site, []attachment, error) {
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
		return s, nil, nil
	}
	l, err := PlanAs(rules, hosts, *f)
	if err != nil { // the whole plan most likely says what is wrong, by its own indices
		alone := new(fault.List)
		alone.At("site").At("runs").Index(wanted[0].run).At(endField(wanted[0].finish)).Add("line_post_of", "the runs that others start at cannot be planned without those: %v", err)
		return s, nil, alone.Err()
	}
	lines := nearestOf(l.Posts, index, f.Layout.MaxBay)
	s.Runs = slices.Clone(s.Runs)
	for i := range wanted {
		a := &wanted[i]
		r := &s.Runs[a.run]
		r.Vertices = slices.Clone(r.Vertices)
		vertex, host := 0, ids[terminus(r, a.finish).LinePostOf]
		if a.finish {
			vertex = len(r.Vertices) - 1
		}
		found := lines.to(host, r.Vertices[vertex])
		if found == nil {
			v.Index(a.run).At(endField(a.finish)).Add("line_post_of", "no line post of run %q stands within a bay of there, %s", s.Runs[host].ID, f.Layout.MaxBay.Imperial())
			continue
		}
		a.at = Visit{host, found.Visits[0].Station}
		before := r.Length()
		r.Vertices[vertex] = found.At
		*r = shifted(*r, before, !a.finish)
		apart := *r
		apart.KeepOuts = nil // those off the run stay, in their places of the list
		apart.Validate(v.Index(a.run))
	}
	return s, wanted, nil
}

// shifted is a run one of whose ends was moved, with all else where it was
// measured: where the start moved, stations are counted from there. What reached
// the moved end follows it; slope parts and neighbours that are off the run now
// are gone, and ground is cut at its ends.
func shifted(r site.Run, before measure.Length, start bool) site.Run {
	length, by := r.Length(), measure.Length(0)
	if start {
		by = length - before
	}
	to := func(s measure.Length) measure.Length {
		switch s {
		case 0:
			return 0
		case before:
			return length
		default:
			return min(max(s+by, 0), length)
		}
	}
	r.Ground = slices.Clone(r.Ground)
	for i := range r.Ground {
		r.Ground[i].Station = to(r.Ground[i].Station)
	}
	r.Ground = slices.CompactFunc(r.Ground, func(a, b site.GroundPoint) bool { return a.Station == b.Station })
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
		k.From, k.To = k.From+by, k.To+by
	}
	r.Slopes = slices.Clone(r.Slopes)
	for i := range r.Slopes {
		p := &r.Slopes[i]
		p.From, p.To = to(p.From), to(p.To)
	}
	r.Slopes = slices.DeleteFunc(r.Slopes, func(p site.SlopePart) bool { return p.From >= p.To })
	r.Neighbours = slices.Clone(r.Neighbours)
	for i := range r.Neighbours {
		n := &r.Neighbours[i]
		n.From, n.To = to(n.From), to(n.To)
	}
	r.Neighbours = slices.DeleteFunc(r.Neighbours, func(n site.Neighbour) bool { return n.From >= n.To })
	return r
}

// endField is the request's name for an end of a run.
func endField(finish bool) string {
	if finish {
		return "end"
	}
	return "start"
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
	set := p.kind(n.kind).post // a terminal one, or a gate's
	line.Size, line.Width, line.Stock, line.Hole = set.Size, set.Width, set.Stock, set.Hole
	line.Role, line.Existing = max(n.role, Junction), line.Existing || n.existing
	line.Visits = append(line.Visits, p.visits[n.first:n.end]...)
}

// checkHeld notes attached ends whose line post is not where it was without
// them: something else that meets the run moved it.
func (p *planner) checkHeld(v *fault.List) {
	for i := range p.marks {
		m := &p.marks[i]
		if m.held == nil {
			continue
		}
		field := endField(m.legOut < 0)
		n := &p.nodes[m.node]
		whose := "terminal"
		if n.kind.duty == spec.GateDuty {
			whose = "gate's"
		}
		if p.out.Posts[n.post].Visits[0] == *m.held {
			for _, b := range p.noHoles(m.held.Run, p.kind(n.kind).pit.Radius()) {
				if b.from < m.held.Station && m.held.Station < b.to && !n.existing {
					v.Index(int(m.run)).At(field).Add("line_post_of", "the %s post there needs a wider hole, and that reaches into the %s", whose, p.say(b))
				}
			}
			continue
		}
		v.Index(int(m.run)).At(field).Add("line_post_of", "the line post of run %q at %s moves where other runs meet that run; give it a pin or a vertex there instead",
			p.site.Runs[m.held.Run].ID, p.at(m.held.Run, m.held.Station))
	}
}
