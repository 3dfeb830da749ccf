package layout

import (
	"fmt"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// findBarred finds where on each run no hole is dug.
func (p *planner) findBarred() {
	p.barred = make([][]Barred, len(p.site.Runs))
	for i := range p.site.Runs {
		for _, k := range p.site.Barred(i) {
			p.barred[i] = append(p.barred[i], Barred{Run: i, ID: k.ID, From: k.From, To: k.To})
		}
		p.out.Barred = append(p.out.Barred, p.barred[i]...)
	}
}

// blame is the path, below the site's, of what bars an interval.
func (p *planner) blame(v *fault.List, b Barred) *fault.List {
	for i, k := range p.site.Runs[b.Run].KeepOuts {
		if k.ID == b.ID && k.From == b.From && k.To == b.To {
			return v.At("runs").Index(b.Run).At("keep_outs").Index(i)
		}
	}
	for i, o := range p.site.Obstacles {
		if o.ID == b.ID {
			return v.At("obstacles").Index(i)
		}
	}
	return v.At("runs").Index(b.Run)
}

func (b Barred) String() string {
	name := ""
	if b.ID != "" {
		name = fmt.Sprintf("%q ", b.ID)
	}
	return fmt.Sprintf("keep-out %sfrom %s to %s", name, b.From.Imperial(), b.To.Imperial())
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
		places := []measure.Length{m.station}
		if r := p.site.Runs[m.run]; r.Closed && m.station < radius {
			places = append(places, m.station+r.Length())
		}
		for _, b := range barred {
			if slices.ContainsFunc(places, func(at measure.Length) bool { return at-radius < b.To && at+radius > b.From }) {
				p.blame(v, b).Add("", "%s of run %q stands in it: its hole, %s across, reaches from %s to %s, into the %s",
					p.name(m), p.site.Runs[m.run].ID, (2 * radius).Imperial(), (m.station - radius).Imperial(), (m.station + radius).Imperial(), b)
			}
		}
	}
}
