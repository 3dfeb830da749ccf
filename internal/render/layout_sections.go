package render

import (
	"slices"

	"wattle/internal/layout"
	"wattle/internal/site"
)

// writeSlopes lists the bays that stand on a slope, are stepped, or have the
// ground nearer to them in one place than in another.
func writeSlopes(p page, st site.Site, l *layout.Layout) {
	t := newTable("lllrlll", "bay", "run", "rails", "rise", "board tops", "gap below", "to fill")
	for _, s := range l.Stretches {
		for _, b := range l.Bays[s.FirstBay : s.FirstBay+s.Bays] {
			if b.Rise == 0 && !s.Stepped && b.LeastGap == b.MostGap && b.Fill == 0 {
				continue
			}
			rails, top := "racked", b.Top.Imperial()+" at its start"
			if s.Stepped {
				rails, top = "level", b.Top.Imperial()
			}
			gap, fill := b.LeastGap.Imperial(), ""
			if most := b.MostGap.Imperial(); most != gap {
				gap += " to " + most
			}
			if b.Fill > 0 {
				fill = b.Fill.Imperial()
			}
			t.row(span(l, b.Start, b.End), runID(st, s.Run), rails, b.Rise.Imperial(), top, gap, fill)
		}
	}
	if len(t.rows) > 1 {
		p.line("")
		p.heading("Bays on a slope")
		t.write(p)
	}
}

// writeBarred lists where no hole is dug.
func writeBarred(p page, st site.Site, l *layout.Layout) {
	if len(l.Barred) == 0 {
		return
	}
	p.line("")
	p.heading("Keep-outs")
	t := newTable("lllrl", "id", "run", "stations", "width", "what")
	for _, b := range l.Barred {
		t.row(b.ID, runID(st, b.Run), b.From.Imperial()+" to "+b.To.Imperial(), (b.To - b.From).Imperial(), bars(st, b))
	}
	t.write(p)
}

// bars says what bars an interval: a keep-out of the run, or an obstacle.
func bars(st site.Site, b layout.Barred) string {
	given := site.KeepOut{ID: b.ID, From: b.From, To: b.To}
	if b.Run >= 0 && b.Run < len(st.Runs) && slices.Contains(st.Runs[b.Run].KeepOuts, given) {
		return "keep-out"
	}
	for _, o := range st.Obstacles {
		if o.ID == b.ID {
			return "obstacle, clear by " + o.Clearance.Imperial()
		}
	}
	return "keep-out"
}
