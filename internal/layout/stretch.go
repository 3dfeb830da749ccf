package layout

import (
	"cmp"
	"fmt"
	"slices"
	"sort"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// spans calls span for every pair of neighbouring marks of a run, in walking
// order by the request's stations; of a closed run's last pair the second is the
// run's first mark.
func (p *planner) spans(run int, span func(a, b *mark)) {
	marks, t := p.marks[p.runs[run].marks:p.runs[run].marksEnd], p.turns[run]
	first := 0
	if t.by > 0 {
		first, _ = slices.BinarySearchFunc(marks, t.planned(0), func(m mark, at measure.Length) int { return cmp.Compare(m.station, at) })
	}
	for i := range marks {
		a, b := (first+i)%len(marks), (first+i+1)%len(marks)
		if b > 0 || p.site.Runs[run].Closed {
			span(&marks[a], &marks[b])
		}
	}
}

// stretch finds the stretches and shares each into bays, so that all there is
// to place is counted before it is placed. Stretches that no row of posts can
// stand on are noted.
func (p *planner) stretch(v *fault.List) error {
	bays := 0
	p.out.Stretches = make([]Stretch, 0, len(p.marks))
	p.shares = room(p.shares, len(p.marks))
	var tooLarge error
	for i := range p.site.Runs {
		p.spans(i, func(a, b *mark) {
			if a.gateOut >= 0 || tooLarge != nil {
				return
			}
			st := Stretch{Run: i, Start: a.station, End: b.station, FirstBay: bays}
			if b.station <= a.station { // back at the start of a closed run
				st.End = p.legs[a.legOut].End
			}
			st.StartEnd = p.stretchEnd(a, a.gateIn, st.Start, a.covers && !a.passes())
			st.FinishEnd = p.stretchEnd(b, b.gateOut, p.legs[a.legOut].End-st.End, b.covers)
			st.Stepped = p.stepped(i, st)
			sh, err := p.share(st, a, b, v)
			if err != nil {
				tooLarge = err
			}
			st.Bays, st.Method = sh.n, string(sh.method())
			bays += sh.n
			p.out.Stretches = append(p.out.Stretches, st)
			p.shares = append(p.shares, sh)
		})
		if tooLarge != nil {
			return tooLarge
		}
		if bays > MaxBays {
			return fault.New(fault.Exhausted, "LAYOUT_TOO_LARGE", "the site has more than %d bays; divide it into several jobs", MaxBays)
		}
	}
	p.out.Bays = make([]Bay, 0, bays)
	return nil
}

// stretchEnd is how a stretch meets a mark: gate is the opening on the other
// side, if any, and toWall the distance to the end of the leg.
func (p *planner) stretchEnd(m *mark, gate int32, toWall measure.Length, covers bool) StretchEnd {
	e := StretchEnd{Terminal: m.terminal, Gate: gate >= 0, Corner: m.corner, Covers: covers}
	if m.wall {
		e.Wall = toWall
	}
	return e
}

// laps is how far a rail of the stretch runs on past the centre of the post at
// this end: lapped, to the outer edge of a terminal post, where the spec has it
// so; hung between posts, less than nothing.
func (p *planner) laps(e StretchEnd, m *mark) measure.Length {
	width := p.nodes[m.node].width
	if p.spec.Layout.Hang == spec.Lapped && e.Terminal && *p.spec.Layout.TerminalLimit {
		return width / 2
	}
	return p.spec.Layout.EndPast(width)
}

// reach is the most that a rail may run on past the centre of the post at this
// end: what it laps and, lapped at an outside corner, the thickness of the other leg's
// rail, whichever leg covers, so that a run walked the other way has the same
// bays.
func (p *planner) reach(e StretchEnd, m *mark) measure.Length {
	past := p.laps(e, m)
	if p.spec.Layout.Hang == spec.Lapped && past > 0 && e.Corner == OutsideCorner {
		past += p.spec.RailThickness()
	}
	return past
}

// stepped reports whether a stretch is stepped: as the spec says or, where the
// middle of the stretch lies in a slope part, that part.
func (p *planner) stepped(run int, st Stretch) bool {
	middle, parts := st.Start+st.Length()/2, p.site.Runs[run].Slopes
	past := sort.Search(len(parts), func(i int) bool { return parts[i].From > middle })
	if past > 0 && middle < parts[past-1].To {
		return parts[past-1].Stepped
	}
	return p.spec.Slope.Mode == spec.Stepped
}

// share shares a stretch into bays by the method, where its posts may stand at
// the method's places; else as near to them as can be.
func (p *planner) share(st Stretch, a, b *mark, v *fault.List) (share, error) {
	l := p.spec.Layout
	rule := p.bayRule(st, a, b)
	// Posts never stand in one another, whatever the spec's least bay.
	apart := (max(p.nodes[a.node].width, p.nodes[b.node].width) + p.linePost().width) / 2
	floor := max(*l.MinBay, apart)
	lim, uniform := rule.limits(st.Start, st.End)
	if uniform && min(lim.first, lim.last, lim.inner) < 1 {
		v.At("runs").Index(st.Run).Add("ground", "from %s to %s the ground is so steep that %s of rail is no bay", p.at(st.Run, st.Start), p.at(st.Run, st.End), l.RailStock.Imperial())
		return share{limits: limits{1, 1, 1, 1}, length: st.Length(), n: 1}, nil
	}
	if uniform {
		got, asked := shareBy(l, lim, st.Length(), floor, lim.fewest(st.Length()))
		if p.clear(st, got) {
			p.cautionShare(st, got, asked, floor)
			return got, nil
		}
	}
	return p.fit(st, rule, lim, uniform, apart, floor, v)
}

// caution about a stretch.
func (p *planner) caution(st Stretch, code, format string, args ...any) {
	p.out.Cautions = append(p.out.Cautions, Caution{
		Code: code,
		Text: fmt.Sprintf("Run %q, %s to %s: ", p.site.Runs[st.Run].ID, p.at(st.Run, st.Start), p.at(st.Run, st.End)) +
			fmt.Sprintf(format, args...),
		Field: fmt.Sprintf("site.runs[%d]", st.Run),
	})
}

// cautionShare says where a share is not as asked, or leaves a narrow bay.
func (p *planner) cautionShare(st Stretch, got, asked share, floor measure.Length) {
	caution := func(code, format string, args ...any) { p.caution(st, code, format, args...) }
	short := func() string {
		if w := asked.narrowest(); w > 0 {
			return "a bay of " + w.Imperial()
		}
		return "nothing for its short bay"
	}
	switch {
	case got.fitted != nil, got.start == asked.start && got.finish == asked.finish:
	case got.isEven():
		caution("even-fallback", "%s would leave %s, under the least of %s, so all %d bays share the length.",
			p.spec.Layout.Method, short(), floor.Imperial(), got.n)
	default:
		caution("feather-widened", "%s would leave %s, under the least of %s, so %d bays share the rest, about %s each.",
			p.spec.Layout.Method, short(), floor.Imperial(), got.start+got.finish, got.narrowest().Imperial())
	}
	least := *p.spec.Layout.MinBay
	switch narrow := got.narrowest(); {
	case st.Length() < least:
		caution("short-stretch", "the stretch is %s long, under the least bay of %s.", st.Length().Imperial(), least.Imperial())
	case narrow < least:
		caution("bay-below-minimum", "its bays are down to %s, under the least bay of %s.", narrow.Imperial(), least.Imperial())
	}
}
