package render

import (
	"slices"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// writeBays lists the bays of each stretch and, where something is cut to them,
// how long: not where all of it goes on through from post to post.
func writeBays(p page, st site.Site, l *layout.Layout) {
	p.line("")
	p.heading("Bays")
	columns, heads := "lllrl", []string{"stretch", "run", "stations", "length", "bays on centre"}
	cut := cutToBays(l)
	if cut {
		columns, heads = columns+"l", append(heads, "cut to")
	}
	t := newTable(columns, heads...)
	for _, s := range l.Stretches {
		cells := []string{span(l, s.StartEnd.Post, s.FinishEnd.Post), runID(st, s.Run), s.Start.Imperial() + " to " + s.End.Imperial(),
			s.Length().Imperial(), alike(l, s, func(b layout.Bay) measure.Length { return b.Printed })}
		if cut {
			cells = append(cells, alike(l, s, func(b layout.Bay) measure.Length { return measure.RoundTo(b.Rail, measure.Sixteenth) }))
		}
		t.row(cells...)
	}
	t.write(p)
}

// cutToBays reports whether any bay has something in it that is longer or shorter
// than from post centre to post centre.
func cutToBays(l *layout.Layout) bool {
	for _, b := range l.Bays {
		along := b.Width
		if !l.Stretches[b.Stretch].Stepped {
			along = measure.Hypot(b.Width, b.Rise)
		}
		if (b.Rail - along).Abs() > measure.Sixteenth/2 {
			return true
		}
	}
	return false
}

// writeRollers lists the posts beside the fence that carry leaves that slide.
func writeRollers(p page, st site.Site, l *layout.Layout) {
	t := newTable("lllllll", "gate", "beside", "off the line", "east, north", "size", "stock", "hole")
	for _, o := range l.Openings {
		if o.Roller == nil {
			continue
		}
		t.row(o.Gate, runID(st, o.Run)+" "+rollerStation(o.Run, l, o).Imperial(), measure.RoundTo(rollerOff(l, o), measure.Sixteenth).Imperial(),
			o.Roller.At.East.Imperial()+", "+o.Roller.At.North.Imperial(), o.Roller.Size.Describe(), o.Roller.Stock.Imperial(), setWords(o.Roller.Hole))
	}
	if len(t.rows) > 1 {
		p.line("")
		p.heading("Roller posts of sliding gates, beside the fence")
		t.write(p)
	}
}

// setWords are how a post is set.
func setWords(h layout.Hole) string {
	if h.Driven() {
		return "driven, " + h.Depth.Imperial() + " deep"
	}
	return h.Diameter.Imperial() + " x " + h.Depth.Imperial() + " deep"
}

// listedPost is a post with its role in words.
type listedPost struct {
	layout.Post
	role string
}

// withRollers are the posts, and after them the roller posts, each at the place
// of its run that it stands beside.
func withRollers(l *layout.Layout) []listedPost {
	all := make([]listedPost, 0, len(l.Posts)+len(l.Openings))
	for _, p := range l.Posts {
		all = append(all, listedPost{p, p.Role.String()})
	}
	for _, o := range l.Openings {
		if o.Roller != nil {
			post := *o.Roller
			post.ID = o.Gate + " roller"
			post.Visits = []layout.Visit{{Run: o.Run, Station: rollerStation(o.Run, l, o)}}
			all = append(all, listedPost{post, "gate roller"})
		}
	}
	return all
}

// writeSlopes lists the bays that stand on a slope, are stepped, or have the
// ground nearer to them in one place than in another.
func writeSlopes(p page, st site.Site, l *layout.Layout) {
	heads := []string{"bay", "run", "laid", "rise", "tops", "gap below"}
	if slices.ContainsFunc(l.Bays, func(b layout.Bay) bool { return b.Fill > 0 }) {
		heads = append(heads, "to fill")
	}
	t := newTable("lllrlll"[:len(heads)], heads...)
	for _, s := range l.Stretches {
		for _, b := range l.Bays[s.FirstBay : s.FirstBay+s.Bays] {
			if b.Rise == 0 && !s.Stepped && b.LeastGap == b.MostGap && b.Fill == 0 {
				continue
			}
			laid, top := "racked", b.Top.Imperial()+" at its start"
			if s.Stepped {
				laid, top = "level", b.Top.Imperial()
			}
			gap, fill := b.LeastGap.Imperial(), ""
			if most := b.MostGap.Imperial(); most != gap {
				gap += " to " + most
			}
			if b.Fill > 0 {
				fill = b.Fill.Imperial()
			}
			t.row([]string{span(l, b.Start, b.End), runID(st, s.Run), laid, b.Rise.Imperial(), top, gap, fill}[:len(heads)]...)
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
