package layout

import (
	"cmp"
	"fmt"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// noHole is an interval of a run as planned between whose ends no post may
// stand, since its hole would be where none is dug. Those of a closed run are
// there three times, a length apart, so that whoever looks over its start finds
// them.
type noHole struct {
	from, to measure.Length
	run      int
	id       string
	keepOut  int // index of the keep-out, none where an obstacle bars
}

// holeOn is a run and the radius of a hole on it.
type holeOn struct {
	run    int
	radius measure.Length
}

// noHoles are the intervals of a run in which no post with a hole of the given
// radius may stand, by where they begin; worked out once.
func (p *planner) noHoles(run int, radius measure.Length) []noHole {
	if !p.bars(run) {
		return nil
	}
	key := holeOn{run, radius}
	if known, is := p.barred[key]; is {
		return known
	}
	r, t := p.site.Runs[run], p.turns[run]
	var all []noHole
	for j, k := range p.given.Runs[run].KeepOuts {
		t.interval(k.From, k.To, func(from, to measure.Length) {
			all = append(all, noHole{from - radius, to + radius, run, k.ID, j})
		})
	}
	r.KeepOuts = nil
	for _, o := range (site.Site{Runs: []site.Run{r}, Obstacles: p.site.Obstacles}).NoHole(0, radius) {
		all = append(all, noHole{o.From, o.To, run, o.ID, none})
	}
	slices.SortStableFunc(all, func(a, b noHole) int { return cmp.Compare(a.from, b.from) })
	if r.Closed {
		all = around(joinOverStart(all, r.Length()), r.Length())
	}
	if p.barred == nil {
		p.barred = make(map[holeOn][]noHole)
	}
	p.barred[key] = all
	return all
}

// bars reports whether anything may be in the way on a run.
func (p *planner) bars(run int) bool {
	return len(p.given.Runs[run].KeepOuts)+len(p.site.Obstacles) > 0
}

// lineHole is the radius of a line post's hole.
func (p *planner) lineHole() measure.Length {
	return p.linePost().pit.Radius()
}

// tellBarred puts what is barred on each run into the answer: the keep-outs, and
// of an obstacle where its clearance reaches the run or, where only the width of
// a line hole reaches it, where that bars posts.
func (p *planner) tellBarred() {
	for i := range p.given.Runs {
		if !p.bars(i) {
			continue
		}
		told := p.given.Barred(i)
		for _, wide := range p.given.NoHole(i, p.lineHole()) {
			within := func(k site.KeepOut) bool { return k.ID == wide.ID && k.From >= wide.From && k.To <= wide.To }
			isObstacle := func(o site.Obstacle) bool { return o.ID == wide.ID }
			if !slices.ContainsFunc(told, within) && slices.ContainsFunc(p.given.Obstacles, isObstacle) {
				told = append(told, wide)
			}
		}
		slices.SortStableFunc(told, func(a, b site.KeepOut) int { return cmp.Compare(a.From, b.From) })
		length := p.given.Runs[i].Length()
		for _, k := range told {
			if k.To <= 0 || k.From >= length {
				continue // off a run whose end was moved
			}
			p.out.Barred = append(p.out.Barred, Barred{Run: i, ID: k.ID, From: k.From, To: k.To})
		}
	}
}

// joinOverStart makes one interval of the two as which an obstacle's comes that
// reaches over the start of a closed run: no post may stand at the start itself.
func joinOverStart(all []noHole, length measure.Length) []noHole {
	for i := range all {
		if all[i].keepOut >= 0 || all[i].from != 0 {
			continue
		}
		for j := range all {
			if all[j].id == all[i].id && all[j].keepOut < 0 && all[j].to == length && i != j {
				all[i].from = all[j].from - length
				return joinOverStart(slices.Delete(all, j, j+1), length)
			}
		}
	}
	return all
}

// around is the intervals of a closed run, and again a length before and after.
func around(all []noHole, length measure.Length) []noHole {
	thrice := make([]noHole, 0, 3*len(all))
	for _, by := range [...]measure.Length{-length, 0, length} {
		for _, b := range all {
			b.from, b.to = b.from+by, b.to+by
			thrice = append(thrice, b)
		}
	}
	slices.SortStableFunc(thrice, func(a, b noHole) int { return cmp.Compare(a.from, b.from) })
	return thrice
}

// blame is the path, below the site's, of what bars an interval.
func (p *planner) blame(v *fault.List, b noHole) *fault.List {
	if b.keepOut >= 0 {
		return v.At("runs").Index(b.run).At("keep_outs").Index(b.keepOut)
	}
	i := slices.IndexFunc(p.site.Obstacles, func(o site.Obstacle) bool { return o.ID == b.id })
	return v.At("obstacles").Index(i)
}

// say names what bars an interval as the request has it.
func (p *planner) say(b noHole) string {
	if b.keepOut < 0 {
		i := slices.IndexFunc(p.site.Obstacles, func(o site.Obstacle) bool { return o.ID == b.id })
		return fmt.Sprintf("obstacle %q, clear by %s", b.id, p.site.Obstacles[i].Clearance.Imperial())
	}
	name := ""
	if b.id != "" {
		name = fmt.Sprintf("%q ", b.id)
	}
	k := p.given.Runs[b.run].KeepOuts[b.keepOut]
	return fmt.Sprintf("keep-out %sfrom %s to %s", name, k.From.Imperial(), k.To.Imperial())
}

// checkBarred notes fixed posts whose holes are where none is dug. An old post
// that is kept needs no hole.
func (p *planner) checkBarred(v *fault.List) {
	for i := range p.marks {
		m := &p.marks[i]
		n := &p.nodes[m.node]
		if n.existing {
			continue
		}
		run, radius := int(m.run), p.kind(n.kind).pit.Radius()
		var told []noHole // one word about a keep-out that comes in two parts
		for _, b := range p.noHoles(run, radius) {
			if m.station < b.to && m.station > b.from &&
				!slices.ContainsFunc(told, func(t noHole) bool { return t.keepOut == b.keepOut && t.id == b.id }) {
				told = append(told, b)
				from, to := m.station-radius, m.station+radius
				if r := &p.site.Runs[run]; !r.Closed {
					from, to = max(from, 0), min(to, r.Length())
				}
				p.blame(v, b).Add("", "%s of run %q stands in it: its hole, %s across, reaches from %s to %s, into the %s",
					p.name(m), p.site.Runs[run].ID, (2 * radius).Imperial(), p.at(run, from), p.at(run, to), p.say(b))
			}
		}
	}
}
