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
// order, the bays of each stretch and those on a slope, the gate openings, where
// no hole is dug, and the cautions. What only some sites have (elevations, posts
// that are kept) has its columns and sections on those sites alone.
func LayoutText(w io.Writer, st site.Site, l *layout.Layout) error {
	p := newPage(w)
	p.heading("Posts")
	has := findColumns(l)
	heads := []string{"post", "run and station", "east, north", "role", "size", "stock", "hole"}
	if has.ground {
		heads = append(heads, "ground", "top")
	}
	if has.kept {
		heads = append(heads, "keeps")
	}
	if has.because {
		heads = append(heads, "because")
	}
	t := newTable(strings.Repeat("l", len(heads)), heads...)
	for _, post := range l.Posts {
		cells := []string{post.ID, visits(st, post), post.At.East.Imperial() + ", " + post.At.North.Imperial(), post.Role.String(), post.Size.Describe()}
		if post.Existing {
			cells = append(cells, "-", "-")
		} else {
			cells = append(cells, post.Stock.Imperial(), setWords(post.Hole))
		}
		if has.ground {
			cells = append(cells, post.Ground.Imperial(), post.Top().Imperial())
		}
		if has.kept {
			cells = append(cells, keeps(post))
		}
		if has.because {
			cells = append(cells, string(post.Because))
		}
		t.row(cells...)
	}
	t.write(p)

	writeBays(p, st, l)
	writeSlopes(p, st, l)

	if len(l.Openings) > 0 {
		p.line("")
		p.heading("Gates")
		t = newTable("lllll", "gate", "run", "posts", "clear opening", "leaves")
		for _, o := range l.Openings {
			t.row(o.Gate, runID(st, o.Run), span(l, o.Start, o.End), o.Clear.Imperial(), leaves(o))
		}
		t.write(p)
	}
	writeRollers(p, st, l)
	writeBarred(p, st, l)
	writeCautions(p, l.Cautions)
	return p.Flush()
}

// LayoutCSV is a row for each visit of a run to a post, in walking order.
// Lengths are in feet and inches to 1/16 in, coordinates and elevations in
// decimal feet. Columns that only some sites need come last: ground and top
// where the ground is not level, "keeps" (yes) where existing posts are kept,
// and what an alignment rule found. After the posts stand the roller posts of
// gates that slide, beside the station that is given, named after their gates. A
// driven post has the width that it is driven with for its hole.
func LayoutCSV(w io.Writer, st site.Site, l *layout.Layout) error {
	heads := []string{"post", "run", "station", "east ft", "north ft", "role", "size", "above grade", "stock",
		"hole diameter", "hole depth", "gravel", "embedment", "depth governed by"}
	has := findColumns(l)
	if has.ground {
		heads = append(heads, "ground ft", "top ft")
	}
	if has.kept {
		heads = append(heads, "keeps")
	}
	if has.because {
		heads = append(heads, "because")
	}
	rows := [][]string{heads}
	for _, p := range withRollers(l) {
		for _, v := range p.Visits {
			row := []string{p.ID, runID(st, v.Run), v.Station.Imperial(), feet(p.At.East), feet(p.At.North), p.role, p.Size.Describe(), p.AboveGrade.Imperial()}
			if p.Existing {
				row = append(row, "", "", "", "", "", "")
			} else {
				row = append(row, p.Stock.Imperial(), p.Hole.Diameter.Imperial(), p.Hole.Depth.Imperial(), p.Hole.Gravel.Imperial(), p.Hole.Embedment.Imperial(), p.Hole.Governs)
			}
			if has.ground {
				row = append(row, feet(p.Ground), feet(p.Top()))
			}
			if has.kept {
				row = append(row, keeps(p.Post))
			}
			if has.because {
				row = append(row, string(p.Because))
			}
			rows = append(rows, row)
		}
	}
	return writeCSV(w, rows)
}

// columns are those that only some sites need.
type columns struct{ ground, kept, because bool }

func findColumns(l *layout.Layout) (has columns) {
	for _, p := range l.Posts {
		has.ground = has.ground || p.Ground != l.Posts[0].Ground
		has.kept = has.kept || p.Existing
		has.because = has.because || p.Because != ""
	}
	return has
}

func keeps(p layout.Post) string {
	if p.Existing {
		return "yes"
	}
	return ""
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
	case o.Slides && o.HingeAtStart:
		return "1 of " + o.LeafWidth.Imperial() + ", slides past the start"
	case o.Slides:
		return "1 of " + o.LeafWidth.Imperial() + ", slides past the finish"
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
		parts, bays = append(parts, times(n, of(bays[0]), ImperialMeasures)), bays[n:]
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
