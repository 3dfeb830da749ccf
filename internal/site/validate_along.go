package site

import (
	"cmp"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

const (
	// MaxElevation bounds elevations either way: no ground on earth is as high.
	MaxElevation = 10_000 * measure.Metre
	// together is how near two stations mean one post.
	together = measure.Inch / 8
)

// validateAlong notes everything wrong with what stands at stations of the run.
// end is the run's length or, where that cannot be known, the longest a run may
// be.
func (r Run) validateAlong(v *fault.List, end measure.Length) {
	r.validateChords(v.At("chords"))
	r.validateGround(v.At("ground"), end)
	r.validateKeepOuts(v.At("keep_outs"), end)
	r.validatePins(v.At("pins"), end)
	r.validateSlopes(v.At("slopes"), end)
	for i, n := range r.Neighbours {
		v := v.At("neighbours").Index(i)
		requireInterval(v, n.From, n.To, end)
		v.Require(n.Side == Left || n.Side == Right, "side", "expected left or right")
		v.Require(n.Gap >= 0 && within(n.Gap), "gap", "expected a gap of 0 or more and at most %s, found %s", measure.MaxLength, n.Gap)
	}
}

// requireStation notes a station that is not on the run.
func requireStation(v *fault.List, field string, at, end measure.Length) bool {
	if at > end {
		past, limit := at.Imperial(), end.Imperial()
		if past == limit { // past it by less than is printed
			past, limit = at.String(), end.String()
		}
		v.Add(field, "%s lies past the end of the run at %s", past, limit)
		return false
	}
	if at < 0 {
		v.Add(field, "expected a station of 0 or more, found %s", at)
	}
	return at >= 0
}

// requireInterval notes an interval that is not on the run, or empty.
func requireInterval(v *fault.List, from, to, end measure.Length) bool {
	fromOn, toOn := requireStation(v, "from", from, end), requireStation(v, "to", to, end)
	return fromOn && toOn && requireAscending(v, from, to)
}

// requireAscending notes an interval without a width.
func requireAscending(v *fault.List, from, to measure.Length) bool {
	if from >= to {
		v.Add("to", "an interval from %s to %s has no width; expected it to end past where it begins", measure.Tape(from), measure.Tape(to))
	}
	return from < to
}

func (r Run) validateChords(v *fault.List) {
	low, high, which := 1, len(r.Vertices)-2, " that is no end of the run"
	if r.Closed {
		low, high, which = 0, len(r.Vertices)-1, ""
	}
	for i, c := range r.Chords {
		switch {
		case low > high:
			v.Index(i).Add("", "expected none, as the run has no vertex between its ends; found %d", c)
		case c < low || c > high:
			v.Index(i).Add("", "expected the index of a vertex%s, %d to %d, found %d", which, low, high, c)
		case i > 0 && c <= r.Chords[i-1]:
			v.Index(i).Add("", "indices out of order: %d comes after %d; expected them ascending", c, r.Chords[i-1])
		}
	}
}

// validateKeepOuts lets a keep-out reach past the end of an open run, where
// there is ground as well and the end post's hole may meet it.
func (r Run) validateKeepOuts(v *fault.List, end measure.Length) {
	ids := make(map[string]int, len(r.KeepOuts))
	for i, k := range r.KeepOuts {
		v := v.Index(i)
		sound := requireStation(v, "from", k.From, end)
		if r.Closed {
			sound = requireStation(v, "to", k.To, end) && sound
		} else {
			sound = v.Require(k.To >= 0 && within(k.To), "to", "expected a station of 0 or more and at most %s, found %s", measure.MaxLength, k.To) && sound
		}
		if sound {
			requireAscending(v, k.From, k.To)
		}
		if k.ID == "" {
			continue
		}
		if first, seen := ids[k.ID]; seen {
			v.Add("id", "%q is also the id of keep_outs[%d]; expected an id of its own, or none", k.ID, first)
		} else {
			ids[k.ID] = i
		}
	}
}

// validatePins takes the start and the end of a closed run for the one place
// that they are.
func (r Run) validatePins(v *fault.List, end measure.Length) {
	order := make([]int, 0, len(r.Pins))
	for i, p := range r.Pins {
		if requireStation(v.Index(i), "station", p.Station, end) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(r.Pins[i].Station, r.Pins[j].Station) })
	near := func(i, j int, apart measure.Length) {
		if apart <= together {
			i, j = min(i, j), max(i, j)
			v.Index(j).Add("station", "%s is within 1/8 in of pins[%d] at %s; expected one pin for one post", r.Pins[j].Station.Imperial(), i, r.Pins[i].Station.Imperial())
		}
	}
	for k := 1; k < len(order); k++ {
		near(order[k-1], order[k], r.Pins[order[k]].Station-r.Pins[order[k-1]].Station)
	}
	if n := len(order); r.Closed && n > 1 {
		first, last := order[0], order[n-1]
		near(first, last, r.Pins[first].Station+end-r.Pins[last].Station)
	}
}

func (r Run) validateSlopes(v *fault.List, end measure.Length) {
	order := make([]int, 0, len(r.Slopes))
	for i, s := range r.Slopes {
		if requireInterval(v.Index(i), s.From, s.To, end) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(r.Slopes[i].From, r.Slopes[j].From) })
	reach := 0 // in order: the part that reaches furthest so far
	for k := 1; k < len(order); k++ {
		a, b := r.Slopes[order[reach]], r.Slopes[order[k]]
		if b.From < a.To {
			v.Index(order[k]).Add("from", "the part from %s to %s overlaps slopes[%d] from %s to %s; expected each foot of the run in one part at most",
				b.From.Imperial(), b.To.Imperial(), order[reach], a.From.Imperial(), a.To.Imperial())
		}
		if b.To > a.To {
			reach = k
		}
	}
}

// validateGround refuses a grade past 1 in 1: up to it the search for bays is
// exact.
func (r Run) validateGround(v *fault.List, end measure.Length) {
	for i, g := range r.Ground {
		v := v.Index(i)
		sound := requireStation(v, "station", g.Station, end)
		sound = v.Require(elevated(g), "elevation", "expected an elevation of at most %s above or below the datum, found %s", MaxElevation, g.Elevation) && sound
		if i == 0 || !sound {
			continue
		}
		before := r.Ground[i-1]
		if !v.Require(g.Station > before.Station, "station", "stations out of order: %s comes after %s; expected them ascending", measure.Tape(g.Station), measure.Tape(before.Station)) ||
			before.Station < 0 || !elevated(before) {
			continue
		}
		if run, rise := g.Station-before.Station, (g.Elevation - before.Elevation).Abs(); rise > run {
			percent := (100*rise + run - 1) / run // rounded up, so that it never reads 100
			v.Add("elevation", "%s over the %s from %s is a grade of %d %%; expected at most 100 %% (1 in 1)", rise.Imperial(), run.Imperial(), before.Station.Imperial(), int64(percent))
		}
	}
	if n := len(r.Ground); r.Closed && n > 1 && elevated(r.Ground[0]) && elevated(r.Ground[n-1]) {
		if step := r.Ground[n-1].Elevation - r.Ground[0].Elevation; step != 0 {
			v.Index(n-1).Add("elevation", "the ground would step by %s where the closed run comes back to its start; expected the same elevation at its end and at station 0", step.Abs())
		}
	}
}

func elevated(g GroundPoint) bool { return g.Elevation >= -MaxElevation && g.Elevation <= MaxElevation }
