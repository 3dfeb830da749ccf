package render

import (
	"io"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// ElevationOptions say how an elevation is drawn.
type ElevationOptions struct {
	Title string
	// Paper is "letter" (the default) or "a4"; it lies across.
	Paper string
	// Spec gives what a layout does not hold: the height, the ground clearance,
	// where the rails are, how holes are filled. Its defaults are filled in.
	Spec spec.Spec
}

// ElevationSVG draws the developed elevation of one run, given by its index in
// the site: the fence unrolled along its stations, seen from the side from
// which they run to the right. Below it stands a table in columns under the
// posts. A run too long for one strip is cut at posts into strips, and those
// stand on as many sheets as they need, one below the other. What has no room
// is counted at the foot; the crew sheet has it all.
func ElevationSVG(w io.Writer, st site.Site, l *layout.Layout, run int, o ElevationOptions) error {
	e, err := drawElevation(st, l, run, o)
	if err != nil {
		return err
	}
	return e.finish(w, e.title)
}

// elevationSheet is a drawing in the making.
type elevationSheet struct {
	pages
	title  string
	id     string
	run    int
	fence  site.Run
	layout *layout.Layout
	spec   spec.Spec
	// height of the fence, for what the layout does not say itself.
	height measure.Length
	walk   []visited
	bays   []placedBay
	widest measure.Length // of the bays
	// bayRoom and stationRoom are how wide the texts of bays and of the visits'
	// stations are.
	bayRoom, stationRoom []float64
	gates                []placedGate
	legs                 []site.Leg
	curving              []bool // by leg: it goes on along an arc
	barred               []layout.Barred
	ground               *site.Profile
	level                bool // the ground is
	elevationScale
	strips  []strip
	rollers []rollerMark // of the strip being drawn
	foot    float64      // room for the legend and the notes
	mask    *mask        // of the sheet being drawn
	// drawn are the visits whose posts were drawn, for whoever counts them.
	drawn []visited
	// leftPosts, leftBays and leftMarks count what found no room.
	leftPosts, leftBays, leftMarks int
	enlarged                       bool // posts are drawn wider than they are
}

// placedGate is an opening with its stations.
type placedGate struct {
	index    int
	from, to measure.Length
}

func drawElevation(st site.Site, l *layout.Layout, run int, o ElevationOptions) (*elevationSheet, error) {
	upright, err := paperOf(o.Paper)
	if err != nil {
		return nil, err
	}
	if run < 0 || run >= len(st.Runs) {
		var v fault.List
		v.Add("run", "%d is the index of no run; the site has %s", run, counted(len(st.Runs), "run"))
		return nil, v.Err()
	}
	e := &elevationSheet{
		pages: pages{size: vec{upright.y, upright.x}}, title: plain(o.Title), run: run, id: plain(runID(st, run)), fence: st.Runs[run],
		layout: l, spec: o.Spec.WithDefaults(), walk: walk(st, l)[run],
	}
	if e.title == "" {
		e.title = "Elevation"
	}
	e.gather()
	if err := e.drawable(); err != nil {
		return nil, err
	}
	e.foot = elevationFoot + float64(max(len(e.legendRows()), 1)-1)*legendPitch
	e.chooseScale()
	sheets := e.sheets()
	for i := range e.strips {
		if e.strips[i].sheet == e.count {
			e.beginSheet(sheets)
		}
		e.drawStrip(&e.strips[i])
		if i+1 == len(e.strips) || e.strips[i+1].sheet == e.count {
			e.drawFoot(e.count == sheets)
		}
	}
	return e, nil
}
