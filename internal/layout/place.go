package layout

import (
	"strconv"

	"wattle/internal/measure"
	"wattle/internal/site"
)

// place sets every post, bay and opening, in walking order.
func (p *planner) place() {
	lines := 0 // line posts: in each stretch one less than its bays
	for _, s := range p.shares {
		lines += s.n - 1
	}
	pl := placer{planner: p, visits: make([]Visit, len(p.marks), len(p.marks)+lines)}
	for i, m := range p.members {
		pl.visits[i] = Visit{Run: int(p.marks[m].run), Station: p.marks[m].station}
	}
	pl.line = p.linePost().post
	pl.held = p.heldNodes()
	p.out.Posts = make([]Post, 0, len(p.nodes)+lines)
	stretch := 0
	for i := range p.site.Runs {
		last := &p.marks[p.runs[i].marksEnd-1]
		p.spans(i, func(a, b *mark) {
			start := pl.fixed(a)
			if a.gateOut >= 0 {
				pl.opening(a, b, start)
				return
			}
			pl.bays(stretch, a, b, start)
			stretch++
		})
		pl.fixed(last)
	}
	number(p.out.Posts)
	for _, s := range p.sliders {
		o := &p.out.Openings[s.opening]
		first := o.Start
		if !o.HingeAtStart {
			first = o.End
		}
		o.Roller.ID = p.out.Posts[first].ID + "R"
	}
}

// placer is a planner that places.
type placer struct {
	*planner
	line   Post
	held   map[Visit]int32
	visits []Visit          // of the nodes, by member; then of the line posts
	widths []measure.Length // of the stretch that is placed
}

// fixed is the index of a mark's post, which is set at its first visit.
func (p *placer) fixed(m *mark) int {
	n := &p.nodes[m.node]
	if n.post < 0 {
		post := p.kind(n.kind).post
		post.At, post.Role, post.Existing, post.Because = m.at, n.role, n.existing, n.because
		post.Visits = p.visits[n.first:n.end:n.end]
		n.post = int32(len(p.out.Posts))
		p.out.Posts = append(p.out.Posts, post)
	}
	return int(n.post)
}

// bays sets the line posts and bays of a stretch, between post start and the
// post of mark b.
func (p *placer) bays(stretch int, a, b *mark, start int) {
	st, share := &p.out.Stretches[stretch], &p.shares[stretch]
	leg := &p.legs[a.legOut].Leg
	p.widths = share.widths(p.widths[:0])
	printed := measure.PrintedWidths{Unit: measure.Sixteenth}
	past := [2]measure.Length{p.railPast(st.StartEnd, a), p.railPast(st.FinishEnd, b)}
	st.StartEnd.Post = start
	from, station := start, st.Start
	for i, w := range p.widths {
		bay := Bay{Stretch: stretch, Start: from, Width: w, Printed: printed.Next(w), Limit: share.limit(i), Rail: w}
		if i == 0 {
			bay.Rail += past[0]
		} else {
			bay.Rail += p.spec.Layout.EndPast(p.out.Posts[from].Width)
		}
		station += w
		if i < share.n-1 {
			bay.End = p.lineAt(st.Run, station, leg)
			bay.Rail += p.spec.Layout.EndPast(p.out.Posts[bay.End].Width)
		} else {
			bay.Rail += past[1]
			bay.End = p.fixed(b)
		}
		from = bay.End
		p.out.Bays = append(p.out.Bays, bay)
	}
	st.FinishEnd.Post = from
}

// railPast is what a rail is longer than its bay at one end of a stretch: all
// that it may reach where it covers the corner, and elsewhere what it laps.
func (p *planner) railPast(e StretchEnd, m *mark) measure.Length {
	if e.Covers {
		return p.reach(e, m)
	}
	return p.laps(e, m)
}

func (p *placer) lineAt(run int, station measure.Length, leg *site.Leg) int {
	n := len(p.visits)
	p.visits = append(p.visits, Visit{Run: run, Station: station})
	p.out.Posts = append(p.out.Posts, p.line)
	post := &p.out.Posts[len(p.out.Posts)-1]
	post.At, post.Role, post.Visits = leg.At(station), Line, p.visits[n:n+1:n+1]
	if node, held := p.held[Visit{run, station}]; held {
		p.share(len(p.out.Posts)-1, node)
	}
	return len(p.out.Posts) - 1
}

// opening sets a gate's second post and its opening.
func (p *placer) opening(a, b *mark, start int) {
	gate := p.site.Runs[a.run].Gates[a.gateOut]
	span := b.station - a.station
	if span <= 0 { // back at the start of a closed run
		span = p.legs[a.legOut].End - a.station
	}
	o := Opening{
		Gate: gate.ID, Run: int(a.run),
		Clear: gate.Width, Span: span, Leaves: gate.Leaves, LeafWidth: p.leaf(gate),
		Start: start, End: p.fixed(b),
		HingeAtStart: gate.Hinge == site.HingeStart,
	}
	if gate.Slides {
		p.addRoller(&o, int(a.gateOut), a.legOut, a.station, a.station+span)
	}
	p.out.Openings = append(p.out.Openings, o)
	p.cautionClear(a, b, gate, span)
}

// number names the posts P1, P2 and so on.
func number(posts []Post) {
	names := firstNames
	if len(posts) > len(names) {
		names = postNames(len(posts))
	}
	for i := range posts {
		posts[i].ID = names[i]
	}
}

// firstNames are as many as most jobs have posts.
var firstNames = postNames(512)

// postNames are the first n names. All are cut from one string: a large layout
// has many.
func postNames(n int) []string {
	text, ends := make([]byte, 0, 8*n), make([]int, n)
	for i := range ends {
		text = strconv.AppendInt(append(text, 'P'), int64(i+1), 10)
		ends[i] = len(text)
	}
	names, all, start := make([]string, n), string(text), 0
	for i, end := range ends {
		names[i], start = all[start:end], end
	}
	return names
}
