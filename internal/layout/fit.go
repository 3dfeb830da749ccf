package layout

import (
	"errors"
	"slices"
	"strings"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/spacing"
)

// barredIn are the intervals of a stretch in which no line post can stand, by
// where they begin.
func (p *planner) barredIn(st Stretch) []spacing.Interval {
	var all []spacing.Interval
	for _, b := range p.noHoles(st.Run, p.lineHole()) {
		if b.from < st.End && b.to > st.Start {
			all = append(all, spacing.Interval{Low: b.from, High: b.to})
		}
	}
	return all
}

// clear reports whether all line posts of a share stand outside the barred
// intervals.
func (p *planner) clear(st Stretch, s share) bool {
	barred := p.barredIn(st)
	if len(barred) == 0 {
		return true
	}
	at, barredTo := st.Start, st.Start
	for _, w := range s.widths(nil)[:s.n-1] {
		at += w
		for len(barred) > 0 && barred[0].Low < at { // by where they begin
			barredTo, barred = max(barredTo, barred[0].High), barred[1:]
		}
		if at < barredTo {
			return false
		}
	}
	return true
}

// fit places the line posts of a stretch where keep-outs or a changing grade do
// not leave the method its own places: the fewest bays that can be, then the
// least sum of departures from the places the method has for so many.
func (p *planner) fit(st Stretch, rule bayRule, lim limits, uniform bool, apart, floor measure.Length, v *fault.List) (share, error) {
	// On a changing grade the method shares as on level ground.
	ideal, allowed := lim, spacing.Limits(spacing.Constant{Single: lim.single, First: lim.first, Inner: lim.inner, Last: lim.last})
	if !uniform {
		rule.cut(st.Start, st.End)
		ideal, allowed = rule.level(), &rule
	}
	asked := func(n int) (got, asked share) {
		return shareBy(p.spec.Layout, ideal, st.Length(), floor, max(n, ideal.fewest(st.Length())))
	}
	request := spacing.Request{
		Start: st.Start, End: st.End, Limits: allowed, Least: apart, Barred: p.barredIn(st),
		Targets: func(n int) []measure.Length {
			s, _ := asked(n)
			return rule.ideal(st, s, floor)
		},
	}
	places, err := spacing.Place(request)
	if fault.KindOf(err) == fault.Exhausted {
		return share{}, fault.New(fault.Exhausted, "LAYOUT_TOO_LARGE", "run %q from %s to %s: %v; a pin or a vertex within it divides it",
			p.site.Runs[st.Run].ID, p.at(st.Run, st.Start), p.at(st.Run, st.End), err)
	}
	if err != nil {
		p.noteAllBlocked(st, request, err, v)
		got, _ := asked(1)
		return got, nil
	}
	got, was := asked(len(places) + 1)
	p.cautionMoved(st, places, rule.ideal(st, got, floor))
	if n := len(places) + 1; n > ideal.fewest(st.Length()) && len(request.Barred) > 0 {
		request.Barred = nil
		if fewest, err := spacing.Fewest(request); err == nil && n > fewest {
			p.caution(st, "bays-added", "keep-outs take %d bays where %d would do.", n, fewest)
		}
	}
	got.fitted, got.most = make([]measure.Length, 0, got.n), make([]measure.Length, 0, got.n)
	at := st.Start
	for i := range got.n {
		next := st.End
		if i < len(places) {
			next = places[i]
		}
		got.fitted = append(got.fitted, next-at)
		got.most = append(got.most, allowed.Reach(at, i == 0, i == got.n-1)-at)
		at = next
	}
	p.cautionShare(st, got, was, floor)
	return got, nil
}

// stations of the posts between bays of the given widths.
func stations(at measure.Length, widths []measure.Length) []measure.Length {
	between := make([]measure.Length, len(widths)-1)
	for i := range between {
		at += widths[i]
		between[i] = at
	}
	return between
}

// noteAllBlocked says of every place where keep-outs leave no row of posts which
// they are: those of one place are let go to find the next.
func (p *planner) noteAllBlocked(st Stretch, request spacing.Request, err error, v *fault.List) {
	for err != nil {
		p.noteBlocked(st, err, v)
		blocked, is := errors.AsType[*spacing.Blocked](err)
		if !is || blocked.TooNear {
			return
		}
		request.Barred = slices.DeleteFunc(request.Barred, func(b spacing.Interval) bool {
			return b.Low < blocked.High && b.High > blocked.Low
		})
		_, err = spacing.Fewest(request)
	}
}

// noteBlocked says which keep-outs leave no place for a row of posts.
func (p *planner) noteBlocked(st Stretch, err error, v *fault.List) {
	blocked, ok := errors.AsType[*spacing.Blocked](err)
	if !ok || blocked.TooNear {
		v.At("runs").Index(st.Run).Add("", "from %s to %s no row of posts keeps the limits: %v", p.at(st.Run, st.Start), p.at(st.Run, st.End), err)
		return
	}
	hole := p.linePost().pit
	var to *fault.List
	var which []string
	for _, b := range p.noHoles(st.Run, hole.Radius()) {
		if b.from < blocked.High && b.to > blocked.Low {
			if to == nil {
				to = p.blame(v, b)
			}
			which = append(which, p.say(b))
		}
	}
	if to == nil {
		to = v.At("runs").Index(st.Run)
	}
	to.Add("", "no post can stand between %s and %s (%s, and half a hole of %s on either side): that is %s, and no bay there may be wider than %s",
		p.at(st.Run, blocked.Low), p.at(st.Run, blocked.High), strings.Join(which, ", "), hole.Diameter.Imperial(),
		(blocked.High - blocked.Low).Imperial(), blocked.Limit.Imperial())
}

// cautionMoved says how many posts stand elsewhere than the method has them,
// and how far the farthest.
func (p *planner) cautionMoved(st Stretch, places, ideal []measure.Length) {
	moved, most := 0, measure.Length(0)
	for i := range places {
		if off := (places[i] - ideal[i]).Abs(); off >= measure.Sixteenth/2 { // else it prints as nothing
			moved, most = moved+1, max(most, off)
		}
	}
	if moved > 0 {
		p.caution(st, "posts-moved", "keep-outs or the ground move %d of its %d line posts off the places of the %s method, by up to %s.",
			moved, len(places), p.spec.Layout.Method, most.Imperial())
	}
}
