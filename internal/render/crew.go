package render

import (
	"cmp"
	"slices"
	"strings"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// CrewOptions say how a crew sheet is drawn.
type CrewOptions struct {
	Title string
	// Paper is "letter" (the default) or "a4".
	Paper string
	// Spec is what is built; it is told in a line at the head.
	Spec spec.Spec
	// Cuts, of the take-off, tell where rails or boards over two bays are joined;
	// without them the sheet refers to the cut list.
	Cuts []takeoff.CutPlan
	// Measures are those of its figures; imperial by default.
	Measures Measures
}

// cutsIn are what is cut for each bay.
func (o CrewOptions) cutsIn(l *layout.Layout) bayCuts {
	c := cutsOf(o.Spec.WithDefaults(), l, o.Cuts)
	c.units = o.Measures
	return c
}

// kindOfRow says what a line of the crew sheet is about.
type kindOfRow int

const (
	postRow    kindOfRow = iota
	barredRow            // an interval without holes
	gateRow              // the opening before the next post
	rollerRow            // the post beside the fence that carries a leaf that slides
	closingRow           // the bay that leads back to a closed run's first post
)

// crewRow is one line of the crew sheet. Cells are texts ready to print; those
// that do not apply are empty.
type crewRow struct {
	kind kindOfRow
	// station orders the rows of a run.
	station measure.Length
	cells   [crewColumns]string
	fixed   bool // the post is
	// words is the whole line of a row that is no post's.
	words rowWords
}

// rowWords are words around a name, which alone is cut where a line is short:
// figures and warnings never are.
type rowWords struct{ lead, name, rest string }

func (w rowWords) String() string { return w.lead + w.name + w.rest }

// fitting are the words as they fit a width.
func (w rowWords) fitting(size, limit float64) string {
	w.name = shortened(w.name, size, limit-textWidth(w.lead+w.rest, size))
	return w.String()
}

// The cells of a post's row.
const (
	crewPost = iota
	crewStation
	crewBay
	crewBack
	crewOn
	crewRole
	crewSize
	crewStock
	crewHole
	crewGravel
	crewGround
	crewTop
	crewRail
	crewNote
	crewColumns
)

// crewHeads are the heads of the columns, in two lines each.
var crewHeads = [crewColumns][2]string{
	{"post", ""}, {"station", "along run"}, {"bay from", "post before"}, {"back to", "fixed post"}, {"on to", "fixed post"},
	{"role", ""}, {"size", ""}, {"stock", ""}, {"hole", "dia. x depth"}, {"gravel", "in hole"},
	{"ground", "elevation"}, {"top", "elevation"}, {}, {"note", ""},
}

// head is the head of a column of the run: what is cut for a bay depends on the
// fence.
func (r crewRun) head(column int) [2]string {
	if column == crewRail {
		return r.cuts.head()
	}
	return crewHeads[column]
}

// holeText is how a post is set, in short.
func holeText(h layout.Hole, m Measures) string {
	if h.Driven() {
		return "drive to " + m.tape(h.Depth)
	}
	if m == MetricMeasures {
		return strings.TrimSuffix(m.tape(h.Diameter), " mm") + " x " + m.tape(h.Depth)
	}
	return m.tape(h.Diameter) + " x " + m.tape(h.Depth)
}

// crewStacked are the heads of cells that stand one above the other.
var crewStacked = map[int]string{crewBack: "back and on", crewOn: "to fixed posts", crewGround: "elevation:", crewTop: "ground, top"}

// crewRun is one run's part of the sheet.
type crewRun struct {
	id    string
	words string // length and posts
	rows  []crewRow
	cuts  bayCuts
}

// crewRuns is the whole sheet, run by run, each in the order it is walked.
func crewRuns(st site.Site, l *layout.Layout, o CrewOptions) []crewRun {
	runs := crewRunsIn(st, l, o)
	if o.Measures != BothMeasures {
		return runs
	}
	// Cells are narrow: the one measure stands above the other.
	o.Measures = ImperialMeasures
	above := crewRunsIn(st, l, o)
	o.Measures = MetricMeasures
	below := crewRunsIn(st, l, o)
	for i := range runs {
		for j := range runs[i].rows {
			for k := range runs[i].rows[j].cells {
				cell := above[i].rows[j].cells[k]
				if other := below[i].rows[j].cells[k]; other != cell {
					cell += "\n" + other
				}
				runs[i].rows[j].cells[k] = cell
			}
		}
	}
	return runs
}

func crewRunsIn(st site.Site, l *layout.Layout, o CrewOptions) []crewRun {
	cuts := o.cutsIn(l)
	walks := walk(st, l)
	runs := make([]crewRun, len(walks))
	first := make([]int, len(l.Posts)) // the run that sets the post, counted from 1
	level := isLevel(l)
	for i, w := range walks {
		r := crewRun{id: plain(runID(st, i)), words: o.Measures.Words(st.Runs[i].Length()) + ", " + counted(len(w), "post"), cuts: cuts}
		fixed := fixedBeside(w, l, closes(st, i), o.Measures)
		bays := baysBefore(i, w, l)
		for j, v := range w {
			p := l.Posts[v.post]
			row := crewRow{station: v.station, fixed: p.Role != layout.Line}
			row.cells = postCells(p, level, o.Measures)
			row.cells[crewStation] = o.Measures.tape(v.station)
			row.cells[crewBack], row.cells[crewOn] = fixed[j].back, fixed[j].on
			if b := bays[j]; b >= 0 {
				row.cells[crewBay] = o.Measures.tape(l.Bays[b].Printed)
				row.cells[crewRail] = cuts.of(l.Bays[b])
			}
			row.cells[crewNote] = joined(cuts.joint(v.post), row.cells[crewNote])
			if first[v.post] != 0 {
				row.cells[crewNote] = joined("set with run "+plain(runID(st, first[v.post]-1)), row.cells[crewNote])
			}
			first[v.post] = cmp.Or(first[v.post], i+1)
			r.rows = append(r.rows, row)
		}
		r.rows = append(r.rows, closing(i, w, st, l, cuts)...)
		r.rows = append(r.rows, between(i, w, l, o.Measures)...)
		slices.SortStableFunc(r.rows, func(a, b crewRow) int { return cmp.Compare(a.station, b.station) })
		runs[i] = r
	}
	return runs
}

// postCells are what a post's row says wherever it is visited.
func postCells(p layout.Post, level bool, m Measures) (c [crewColumns]string) {
	c[crewPost], c[crewRole], c[crewSize] = plain(p.ID), p.Role.String(), plain(p.Size.Describe())
	c[crewNote] = becauseText(p.Because)
	if p.Existing {
		c[crewRole] += ", keep"
		c[crewNote] = joined("existing post stays: no hole", c[crewNote])
	} else {
		c[crewStock] = m.tape(p.Stock)
		c[crewHole] = holeText(p.Hole, m)
		if p.Hole.Gravel > 0 {
			c[crewGravel] = m.tape(p.Hole.Gravel)
		}
	}
	if !level {
		c[crewGround], c[crewTop] = m.tape(p.Ground), m.tape(p.Top())
	}
	return c
}

func becauseText(b layout.Because) string {
	switch b {
	case "":
		return ""
	case layout.ByAnchor:
		return "line turns: anchor"
	case layout.ByConcrete:
		return "line turns: set in concrete"
	case layout.ByGradeBreak:
		return "grade turns"
	case layout.ByPull:
		return "long straight: pull"
	default:
		return plain(string(b))
	}
}

func joined(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}

// isLevel reports whether all posts stand at one elevation, so that there is
// nothing to tell.
func isLevel(l *layout.Layout) bool {
	for _, p := range l.Posts {
		if p.Ground != l.Posts[0].Ground {
			return false
		}
	}
	return true
}
