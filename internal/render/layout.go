package render

import (
	"io"
	"strconv"
	"strings"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// LayoutText lists what the crew marks on the ground: every post in walking
// order, the bays of each stretch, the gate openings, and the cautions.
func LayoutText(w io.Writer, st site.Site, l *layout.Layout) error {
	p := newPage(w)
	p.heading("Posts")
	t := newTable("lllllll", "post", "run and station", "east, north", "role", "size", "stock", "hole")
	for _, post := range l.Posts {
		t.row(post.ID, visits(st, post), post.At.East.Imperial()+", "+post.At.North.Imperial(), post.Role.String(),
			post.Size.String(), post.Stock.Imperial(), post.Hole.Diameter.Imperial()+" x "+post.Hole.Depth.Imperial()+" deep")
	}
	t.write(p)

	p.line("")
	p.heading("Bays")
	t = newTable("lllrll", "stretch", "run", "stations", "length", "bays on centre", "rails cut to")
	for _, s := range l.Stretches {
		t.row(span(l, s.StartEnd.Post, s.FinishEnd.Post), runID(st, s.Run), s.Start.Imperial()+" to "+s.End.Imperial(),
			s.Length().Imperial(), alike(l, s, func(b layout.Bay) measure.Length { return b.Printed }),
			alike(l, s, func(b layout.Bay) measure.Length { return measure.RoundTo(b.Rail, measure.Sixteenth) }))
	}
	t.write(p)

	if len(l.Openings) > 0 {
		p.line("")
		p.heading("Gates")
		t = newTable("lllll", "gate", "run", "posts", "clear opening", "leaves")
		for _, o := range l.Openings {
			t.row(o.Gate, runID(st, o.Run), span(l, o.Start, o.End), o.Clear.Imperial(), leaves(o))
		}
		t.write(p)
	}
	writeCautions(p, l.Cautions)
	return p.Flush()
}

// LayoutCSV is a row for each visit of a run to a post, in walking order.
// Lengths are in feet and inches to 1/16 in, coordinates in decimal feet.
func LayoutCSV(w io.Writer, st site.Site, l *layout.Layout) error {
	rows := [][]string{{"post", "run", "station", "east ft", "north ft", "role", "size", "above grade", "stock",
		"hole diameter", "hole depth", "gravel", "embedment", "depth governed by"}}
	for _, p := range l.Posts {
		for _, v := range p.Visits {
			rows = append(rows, []string{p.ID, runID(st, v.Run), v.Station.Imperial(), feet(p.At.East), feet(p.At.North),
				p.Role.String(), p.Size.String(), p.AboveGrade.Imperial(), p.Stock.Imperial(),
				p.Hole.Diameter.Imperial(), p.Hole.Depth.Imperial(), p.Hole.Gravel.Imperial(), p.Hole.Embedment.Imperial(), p.Hole.Governs})
		}
	}
	return writeCSV(w, rows)
}

// feet is a coordinate in decimal feet, without its unit.
func feet(l measure.Length) string {
	text, _, _ := strings.Cut(l.In(measure.Foot, 4), " ")
	return text
}

// visits says where a post stands on every run that passes it.
func visits(st site.Site, p layout.Post) string {
	parts := make([]string, len(p.Visits))
	for i, v := range p.Visits {
		parts[i] = runID(st, v.Run) + " " + v.Station.Imperial()
	}
	return strings.Join(parts, "; ")
}

func runID(st site.Site, run int) string {
	if run < 0 || run >= len(st.Runs) {
		return "run " + strconv.Itoa(run+1)
	}
	return st.Runs[run].ID
}

func span(l *layout.Layout, from, to int) string { return l.Posts[from].ID + " to " + l.Posts[to].ID }

func leaves(o layout.Opening) string {
	switch {
	case o.Leaves == 2:
		return "2 of " + o.LeafWidth.Imperial()
	case o.HingeAtStart:
		return "1 of " + o.LeafWidth.Imperial() + ", hinges at the start"
	default:
		return "1 of " + o.LeafWidth.Imperial() + ", hinges at the finish"
	}
}

// alike is a length of each bay of a stretch, equal neighbours taken together.
func alike(l *layout.Layout, s layout.Stretch, of func(layout.Bay) measure.Length) string {
	bays := l.Bays[s.FirstBay : s.FirstBay+s.Bays]
	var parts []string
	for len(bays) > 0 {
		n := 1
		for n < len(bays) && of(bays[n]) == of(bays[0]) {
			n++
		}
		parts, bays = append(parts, times(n, of(bays[0]))), bays[n:]
	}
	return strings.Join(parts, ", ")
}

func writeCautions(p page, cautions []layout.Caution) {
	if len(cautions) == 0 {
		return
	}
	p.line("")
	p.heading("Cautions")
	for _, c := range cautions {
		p.paragraph("* ", c.Text)
	}
}
