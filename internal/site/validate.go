package site

import (
	"wattle/internal/fault"
	"wattle/internal/measure"
)

// Validate notes everything wrong with the site by itself, by field path. What
// depends on the fence as well (a gate whose posts do not fit) is for the
// layout to say.
func (s Site) Validate(v *fault.List) {
	v.Require(len(s.Runs) > 0, "runs", "expected at least one run")
	runs := v.At("runs")
	var total measure.Length
	runIDs, gateIDs := make(map[string]int, len(s.Runs)), make(map[string][2]int)
	for i, r := range s.Runs {
		v := runs.Index(i)
		total = min(total+r.Validate(v), measure.MaxSiteTotal+1)
		if first, seen := runIDs[r.ID]; seen && r.ID != "" {
			v.Add("id", "%q is also the id of runs[%d]; expected an id of its own", r.ID, first)
		} else {
			runIDs[r.ID] = i
		}
		if !r.Closed {
			s.validateLinePost(v, "start", i, r.Start, runIDs)
			s.validateLinePost(v, "end", i, r.End, runIDs)
		}
		for j, g := range r.Gates {
			if first, seen := gateIDs[g.ID]; seen && g.ID != "" {
				v.At("gates").Index(j).Add("id", "%q is also the id of runs[%d].gates[%d]; expected an id of its own", g.ID, first[0], first[1])
			} else {
				gateIDs[g.ID] = [2]int{i, j}
			}
		}
	}
	s.validateObstacles(v.At("obstacles"))
	s.Conditions.validate(v.At("conditions"))
	v.Require(total <= measure.MaxSiteTotal, "runs", "expected at most %s in all", measure.MaxSiteTotal)
}

// validateLinePost notes an end at a line post of a run that is not laid out
// before this one, or that itself waits for another. runIDs has the runs up to
// this one.
func (s Site) validateLinePost(v *fault.List, field string, run int, t Terminus, runIDs map[string]int) {
	if t.LinePostOf == "" {
		return
	}
	v = v.At(field)
	i, listed := runIDs[t.LinePostOf]
	switch {
	case listed && i == run:
		v.Add("line_post_of", "%q is this run itself; expected a run listed before it", t.LinePostOf)
	case !listed:
		v.Add("line_post_of", "no run listed before this one has the id %q; expected one", t.LinePostOf)
	case s.Runs[i].attached():
		v.Add("line_post_of", "run %q itself ends at a line post of another run; expected a run that does not", t.LinePostOf)
	}
}

// attached: an end of the run stands at a line post of another run.
func (r Run) attached() bool {
	return !r.Closed && (r.Start.LinePostOf != "" || r.End.LinePostOf != "")
}

// Validate notes everything wrong with the run by itself and answers its
// length, as far as it can be known and at most a little over
// measure.MaxLength.
func (r Run) Validate(v *fault.List) measure.Length {
	v.Require(r.ID != "", "id", "expected an id")
	v.Require(r.Face == Left || r.Face == Right, "face", "expected left or right")
	if !r.Closed {
		r.Start.validate(v, "start")
		r.End.validate(v, "end")
	}
	length, sound := r.validateVertices(v)
	end := length
	if !sound {
		end = measure.MaxLength
	}
	r.validateAlong(v, end)
	var legs []Leg
	if sound && len(r.Gates) > 0 {
		legs = r.Legs()
	}
	for i, g := range r.Gates {
		g.validate(v.At("gates").Index(i), legs)
	}
	return length
}

// validateVertices answers the length of the run, and whether its legs can be
// relied on.
func (r Run) validateVertices(v *fault.List) (length measure.Length, sound bool) {
	before := v.Len()
	n := len(r.Vertices)
	if r.Closed {
		v.Require(n >= 3, "vertices", "expected at least 3 vertices in a closed run, found %d", n)
	} else {
		v.Require(n >= 2, "vertices", "expected at least 2 vertices, found %d", n)
	}
	for i, p := range r.Vertices {
		if !within(p.East) || !within(p.North) {
			v.At("vertices").Index(i).Add("", "expected coordinates of at most %s", measure.MaxLength)
		}
	}
	if v.Len() > before {
		return 0, false
	}
	for i := range n - 1 {
		if length <= measure.MaxLength {
			length += r.Vertices[i].DistanceTo(r.Vertices[i+1])
		}
		if r.Vertices[i] == r.Vertices[i+1] && !(r.Closed && i+1 == n-1 && r.Vertices[0] == r.Vertices[n-1]) {
			v.At("vertices").Index(i+1).Add("", "the same point as the vertex before it; expected a leg with a length")
		}
	}
	if r.Closed {
		side := r.Vertices[n-1].DistanceTo(r.Vertices[0])
		length += side
		switch {
		case r.Vertices[n-1] == r.Vertices[0]:
			v.At("vertices").Index(n-1).Add("", "repeats the first vertex; a closed run ends where it started without saying so again, leave this vertex out")
		case side < together:
			v.At("vertices").Index(n-1).Add("", "stands %s from the first vertex and nearly repeats it; a closed run ends where it started without saying so again, leave this vertex out", side)
		}
	}
	v.Require(length <= measure.MaxLength, "vertices", "expected a run of at most %s", measure.MaxLength)
	return length, v.Len() == before
}

func (t Terminus) validate(v *fault.List, field string) {
	if !t.TieIn {
		return
	}
	v.At(field).Require(t.LinePostOf == "", "line_post_of", "expected a wall or a line post of another run at this end, found both")
	v.At(field).Require(t.WallGap >= 0 && t.WallGap <= measure.MaxLength, "wall_gap", "expected 0 or more, found %s", t.WallGap)
}

// validate notes everything wrong with the gate by itself and, where legs are
// given, with its place on them.
func (g Gate) validate(v *fault.List, legs []Leg) {
	v.Require(g.ID != "", "id", "expected an id")
	if v.Require(g.Leaves == 1 || g.Leaves == 2, "leaves", "expected 1 (single) or 2 (a pair), found %d", g.Leaves) {
		v.Require(!g.Slides || g.Leaves == 1, "leaves", "a gate that slides has one leaf, found %d", g.Leaves)
	}
	v.Require(g.Hinge == HingeStart || g.Hinge == HingeFinish, "hinge", "expected start or finish")
	v.Require(g.Swing == Left || g.Swing == Right, "swing", "expected left or right")
	wide, stationed := g.Width > 0 && within(g.Width), g.Station >= 0 && within(g.Station)
	if !wide {
		v.Add("width", "expected a clear opening of more than 0 and at most %s, found %s", measure.MaxLength, g.Width)
	}
	if !stationed {
		v.Add("station", "expected a station of 0 or more and at most %s, found %s", measure.MaxLength, g.Station)
	}
	if !wide || !stationed || len(legs) == 0 {
		return
	}
	if end := legs[len(legs)-1].End; g.Station >= end {
		v.Add("station", "%s lies past the end of the run at %s", g.Station.Imperial(), end.Imperial())
		return
	}
	leg := legs[LegAt(legs, g.Station)]
	switch {
	case g.Width > leg.Length():
		v.Add("width", "an opening of %s is wider than its leg, %s from %s to %s", g.Width.Imperial(), leg.Length().Imperial(), leg.Start.Imperial(), leg.End.Imperial())
	case g.Station+g.Width > leg.End:
		v.Add("station", "an opening from %s to %s passes the vertex at %s; expected it within one straight leg", g.Station.Imperial(), (g.Station + g.Width).Imperial(), leg.End.Imperial())
	}
}

func within(l measure.Length) bool { return l >= -measure.MaxLength && l <= measure.MaxLength }
