package layout

import (
	"iter"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// slideRoom is left between the fence's post and the roller posts beside it for
// the leaf and its carriages (common practice).
const slideRoom = 6 * measure.Inch

// slider is a gate whose leaf slides, as it is planned.
//
//	           leaf, half as long again as the opening
//	          ===========================
//	roller  o           o roller        o catch
//	--------+-----------+               +------ fence
//	         half the opening
type slider struct {
	opening int // index into Layout.Openings
	gate    int // index into the run's gates
	station measure.Length
	leaf    leaf
}

// slidingLeaf is half as long again as the opening, to balance on its rollers,
// rounded up to 1/16 in.
func slidingLeaf(opening measure.Length) measure.Length {
	const double = 2 * measure.Sixteenth
	return (3*opening + double - 1) / double * measure.Sixteenth
}

// checkSlide notes a leg without the room that a leaf takes when it is open, or
// its second roller post.
func (p *gateLeg) checkSlide(at *fault.List, g *site.Gate, post measure.Length) {
	has := g.Station - p.leg.Start
	if g.Hinge == site.HingeFinish {
		has = p.leg.End - g.Station - g.Width
	}
	need := max(p.leaf(*g), g.Width/2+post)
	at.Require(has >= need, "width", "the leaf needs %s beyond the opening to slide, the leg has %s", need.Imperial(), has.Imperial())
}

// addRoller gives the opening of a gate that slides, from one station to
// another, its second roller post: beside the fence on the side of the gate's
// swing, half the opening on from the first.
func (p *placer) addRoller(o *Opening, gate int, leg int32, from, to measure.Length) {
	g := &p.site.Runs[o.Run].Gates[gate]
	station, first := from-g.Width/2, o.Start
	if !o.HingeAtStart {
		station, first = to+g.Width/2, o.End
	}
	roller := p.kind(kind{p.spec.GatePostSize(g.Width, g.Leaves), spec.GateDuty}).post
	width := p.out.Posts[first].Width
	roller.At = besideLeg(&p.legs[leg].Leg, station, (width+roller.Width)/2+slideRoom, g.Swing)
	roller.Role = GateHinge
	o.Slides, o.Roller = true, &roller
	p.sliders = append(p.sliders, slider{len(p.out.Openings), gate, station, p.openLeaf(g, leg, width)})
}

// checkRollers notes roller posts whose holes are where none is dug, and those
// that would stand in another post or in another gate's opening.
func (p *planner) checkRollers(v *fault.List) {
	runs := v.At("runs")
	for _, s := range p.sliders {
		o := &p.out.Openings[s.opening]
		hole := o.Roller.Hole.Diameter
		for _, b := range p.noHoles(o.Run, (hole+1)/2) {
			if b.keepOut >= 0 && b.from < s.station && s.station < b.to {
				p.blame(v, b).Add("", "the second roller post of gate %q of run %q stands beside it, at %s: its hole, %s across, reaches into the %s",
					o.Gate, p.site.Runs[o.Run].ID, p.at(o.Run, s.station), hole.Imperial(), p.say(b))
			}
		}
		// An obstacle bars the place beside the fence, not on it.
		beside := site.Site{Runs: []site.Run{{Vertices: []measure.Point{o.Roller.At, o.Roller.At.Add(measure.Point{East: measure.Foot})}}}, Obstacles: p.site.Obstacles}
		for _, k := range beside.NoHole(0, (hole+1)/2) {
			if k.From < 0 && k.To > 0 {
				b := noHole{run: o.Run, id: k.ID, keepOut: none}
				p.blame(v, b).Add("", "the second roller post of gate %q of run %q stands in it: its hole, %s across, reaches into the %s",
					o.Gate, p.site.Runs[o.Run].ID, hole.Imperial(), p.say(b))
			}
		}
		at := runs.Index(o.Run).At("gates").Index(s.gate)
		for i := range p.site.Runs[o.Run].Gates {
			other := &p.site.Runs[o.Run].Gates[i]
			at.Require(i == s.gate || !p.within(&s, other), "station",
				"the second roller post, at %s, would stand in the opening of gate %q", p.at(o.Run, s.station), other.ID)
		}
	}
	p.checkLeaves(runs)
	for s, post := range p.nearRollers() {
		o := &p.out.Openings[s.opening]
		if need := (o.Roller.Width + post.Width) / 2; o.Roller.At.DistanceTo(post.At) < need {
			runs.Index(o.Run).At("gates").Index(s.gate).Add("station", "the second roller post and %s would overlap: their centres are %s apart and need %s",
				post.ID, o.Roller.At.DistanceTo(post.At).Imperial(), need.Imperial())
		}
	}
}

// within reports a second roller post in the opening of another gate.
func (p *planner) within(s *slider, other *site.Gate) bool {
	half := p.out.Openings[s.opening].Roller.Width / 2
	return s.station+half > other.Station && s.station-half < other.Station+other.Width
}

// nearRollers are the pairs of a gate that slides and a post, or another such
// gate's roller, that stands so near its own that their holes may meet.
func (p *planner) nearRollers() iter.Seq2[slider, *Post] {
	return func(yield func(slider, *Post) bool) {
		if len(p.sliders) == 0 {
			return
		}
		posts := make([]*Post, 0, len(p.out.Posts)+len(p.sliders))
		for i := range p.out.Posts {
			posts = append(posts, &p.out.Posts[i])
		}
		for _, s := range p.sliders {
			posts = append(posts, p.out.Openings[s.opening].Roller)
		}
		var reach measure.Length
		for _, post := range posts {
			reach = max(reach, post.Width, post.Hole.Diameter)
		}
		grid := new(grid).of(len(posts), max(gridCell, 2*reach)) // its own, since others ask for theirs meanwhile
		for i, post := range posts[:len(p.out.Posts)] {
			grid.add(int32(i), post.At)
		}
		for i, s := range p.sliders { // of two rollers, the later finds the earlier
			at := p.out.Openings[s.opening].Roller.At
			for _, j := range grid.near(at, nil) {
				if !yield(s, posts[j]) {
					return
				}
			}
			grid.add(int32(len(p.out.Posts)+i), at)
		}
	}
}
