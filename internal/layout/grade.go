package layout

import (
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// bayRule is what limits the bays of one stretch on its ground.
//
// Level, and stepped, whose rails are level too: a bay is at most the spec's
// widest, and its rail must come out of the stock with what it runs past the
// posts' centres: on to the outer edge of a terminal post, or, hung between
// posts, less than nothing at either end.
// Racked: rails run straight between posts along the slope, so
//
//	(bay + what the rail runs past the posts) x sqrt(1 + slope^2)
//
// and, where rails are cut plumb, their depth x slope fit the stock. What hangs
// free comes from no stock.
type bayRule struct {
	spec.Layout
	before, after measure.Length // what a rail may run past the end posts, and
	line          measure.Length // past a line post
	plumb         measure.Length // the depth of a rail that is cut plumb, else 0
	alongGrade    bool
	profile       *site.Profile // nil where the bays are level
	end           measure.Length
	pieces        []piece // of a stretch whose grade changes
	at            int     // the piece that was asked for last
	told          [2]told // the newest first
}

// told is an answer of Reach about an inner bay. Searches close in on a place
// between two stations that they ask for again and again.
type told struct{ x, reach measure.Length }

// piece is a part of a stretch on one grade.
type piece struct {
	to    measure.Length // station
	rise  measure.Length // over
	run   measure.Length // its length
	width measure.Length // the widest inner bay on this grade
}

func (p *planner) bayRule(st Stretch, a, b *mark) bayRule {
	r := bayRule{Layout: p.spec.Layout, before: p.reach(st.StartEnd, a), after: p.reach(st.FinishEnd, b), line: p.spec.Layout.EndPast(p.linePost().width)}
	if r.Hang == spec.Free {
		r.RailStock = endless
	}
	if st.Stepped || len(p.site.Runs[st.Run].Ground) == 0 {
		return r
	}
	r.end = st.End
	r.profile, r.alongGrade = p.profiles[st.Run], *p.spec.Slope.AlongGrade
	if p.spec.Slope.RailEnds == spec.PlumbEnds {
		r.plumb = p.spec.RailDepth()
	}
	return r
}

// endless is a stick that reaches over any bay.
const endless = measure.MaxLength

// level limits, also those of a stretch on one grade of zero.
func (r bayRule) level() limits {
	return r.within(r.MaxBay, r.RailStock)
}

// within are the limits where bays are at most so wide, and their rails reach so
// far in plan.
func (r bayRule) within(most, stock measure.Length) limits {
	return limits{
		single: min(most, stock-r.before-r.after),
		first:  min(most, stock-r.before-r.line),
		last:   min(most, stock-r.line-r.after),
		inner:  min(most, stock-2*r.line),
	}
}

// limits of a stretch, where one grade runs all the way along it.
func (r bayRule) limits(from, to measure.Length) (l limits, uniform bool) {
	if r.profile == nil {
		return r.level(), true
	}
	// Breaks off the line by what elevations are rounded to, several times over,
	// are none: the method has its own places there.
	if hump, dip := r.profile.Departure(from, to); hump > 10 || dip > 10 {
		return limits{}, false
	}
	rise, run, _ := r.profile.Grade(from, to)
	return r.on(rise, run), true
}

// on are the limits on one grade.
func (r bayRule) on(rise, run measure.Length) limits {
	if rise == 0 {
		return r.level()
	}
	along := measure.Hypot(run, rise)
	most := r.MaxBay
	if r.alongGrade {
		most = flat(most, run, along)
	}
	return r.within(most, flat(r.RailStock-r.plumbCut(rise, run), run, along))
}
