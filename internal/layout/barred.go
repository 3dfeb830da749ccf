package layout

import (
	"cmp"
	"fmt"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// noHole is an interval of a run as planned in which no hole is dug. Those of a
// closed run are there three times, a length apart, so that whoever looks over
// its start finds them.
type noHole struct {
	from, to measure.Length
	run      int
	id       string
	keepOut  int // index of the keep-out, none where an obstacle bars
}

// findBarred finds where on each run no hole is dug.
func (p *planner) findBarred() {
	p.barred = make([][]noHole, len(p.site.Runs))
	for i := range p.site.Runs {
		r, t := p.site.Runs[i], p.turns[i]
		var all []noHole
		for j, k := range p.given.Runs[i].KeepOuts {
			t.interval(k.From, k.To, func(from, to measure.Length) {
				all = append(all, noHole{from, to, i, k.ID, j})
			})
		}
		r.KeepOuts = nil
		for _, o := range (site.Site{Runs: []site.Run{r}, Obstacles: p.site.Obstacles}).Barred(0) {
			all = append(all, noHole{o.From, o.To, i, o.ID, none})
		}
		slices.SortStableFunc(all, func(a, b noHole) int { return cmp.Compare(a.from, b.from) })
		if len(all) == 0 {
			continue
		}
		for _, k := range p.given.Barred(i) {
			p.out.Barred = append(p.out.Barred, Barred{Run: i, ID: k.ID, From: k.From, To: k.To})
		}
		if r.Closed {
			all = around(all, r.Length())
		}
		p.barred[i] = all
	}
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

// say names an interval as the request has it.
func (p *planner) say(b noHole) string {
	name := ""
	if b.id != "" {
		name = fmt.Sprintf("%q ", b.id)
	}
	from, to := p.at(b.run, b.from), p.at(b.run, b.to)
	if b.keepOut >= 0 {
		k := p.given.Runs[b.run].KeepOuts[b.keepOut]
		from, to = k.From.Imperial(), k.To.Imperial()
	}
	return fmt.Sprintf("keep-out %sfrom %s to %s", name, from, to)
}

// checkBarred notes fixed posts whose holes reach into an interval in which
// none is dug. An old post that is kept needs no hole.
func (p *planner) checkBarred(v *fault.List) {
	for i := range p.marks {
		m := &p.marks[i]
		n := &p.nodes[m.node]
		barred := p.barred[m.run]
		if len(barred) == 0 || n.existing {
			continue
		}
		radius := p.kind(n.kind).pit.Radius()
		var told []noHole // one word about a keep-out that comes in two parts
		for _, b := range barred {
			if m.station-radius < b.to && m.station+radius > b.from &&
				!slices.ContainsFunc(told, func(t noHole) bool { return t.keepOut == b.keepOut && t.id == b.id }) {
				told = append(told, b)
				run := int(m.run)
				p.blame(v, b).Add("", "%s of run %q stands in it: its hole, %s across, reaches from %s to %s, into the %s",
					p.name(m), p.site.Runs[run].ID, (2 * radius).Imperial(), p.at(run, m.station-radius), p.at(run, m.station+radius), p.say(b))
			}
		}
	}
}
