package render

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// PlanOptions say how a plan is drawn.
type PlanOptions struct {
	Title string
	// Paper is "letter" (the default) or "a4".
	Paper string
	// Spec says what hangs on one side of the posts; left out, boards do. Its
	// defaults are filled in.
	Spec spec.Spec
	// Measures are those of its figures; imperial by default.
	Measures Measures
}

// PlanSVG draws the layout of a site in plan, north up, at a round scale on one
// sheet: walls that runs are tied in to, the fence with the side its boards are on, posts
// with their stations, bays with their widths, gates with leaves and swings, a
// dimension for every stretch and one for the chords of an arc, the fall of the
// ground, keep-outs, obstacles with their clearance, and fences beside a run.
// The paper lies and the scale is as leaves the least without room. What has no
// room on the drawing is counted at the foot; a stretch, gate, keep-out or
// obstacle without room is listed where the sheet is blank, or on a sheet below
// the first.
func PlanSVG(w io.Writer, st site.Site, l *layout.Layout, o PlanOptions) error {
	p, err := drawPlan(st, l, o)
	if err != nil {
		return err
	}
	return p.draw.writeTo(w, p.size, p.title)
}

// plan is a drawing in the making.
type plan struct {
	site   site.Site
	layout *layout.Layout
	title  string
	side   string // what hangs on one side of the posts
	units  Measures
	sheet
	// size is of all sheets together, one below the other.
	size   vec
	draw   svg
	mask   *mask
	labels []label
	leaves []leaf
	gates  gateOrder
	// frame is the sheet's low to high: what lies outside is not drawn.
	frame box
	// legs are the site's, by run.
	legs   [][]site.Leg
	pieces []piece
	// joint is, by post, whether it stands between two chords of an arc.
	joint []bool
	// outside is, by run, the side on which dimensions stand.
	outside []site.Side
	// barredHalf is, by run, half the width of the hatching over keep-outs.
	barredHalf []float64
	// reach is, by post, how far away the nearest neighbour is on paper.
	reach []float64
	// byBay are the pieces that the width of their only bay tells; told is, by
	// bay, whether a dimension or its width does.
	byBay []piece
	told  []bool
	// left counts what found no room; listed is what must be told all the same.
	leftPosts, leftBays        int
	leftFixed                  int // of the posts, those that are fixed
	leftGrades, leftNeighbours int
	grades, neighbours         int // to be told
	listed                     []string
	tries                      int      // spots looked at
	falls                      [][2]vec // arrows downhill, for whoever checks them
	enlarged                   bool     // posts are drawn larger than they are
	spread                     bool     // neighbours are drawn further off than they are
	aside                      bool     // leaves that slide are
}

func drawPlan(st site.Site, l *layout.Layout, o PlanOptions) (*plan, error) {
	if o.Paper == "" {
		o.Paper = "letter"
	}
	paper, known := papers[o.Paper]
	if !known {
		var v fault.List
		v.Add("paper", "%q is not a paper known here; expected letter or a4", o.Paper)
		return nil, v.Err()
	}
	p := &plan{site: st, layout: l, title: plain(o.Title), side: sideOfFence(o.Spec.WithDefaults()), units: o.Measures}
	if p.title == "" {
		p.title = "Fence plan"
	}
	p.leaves = findLeaves(st, l)
	for _, r := range st.Runs {
		p.legs = append(p.legs, r.Legs())
	}
	p.findPieces()
	return p.best(sheets(paper, p.footRoom, p.extent())), nil
}

func (p *plan) drawAll() {
	p.size = p.sheet.size
	p.frame = lineBox(vec{p.low.x, (p.low.y + p.high.y) / 2}, vec{p.high.x, (p.low.y + p.high.y) / 2}, p.high.y-p.low.y)
	p.mask = newMask(p.low, p.high, p.size)
	p.told = make([]bool, len(p.layout.Bays))
	p.chooseSides()
	p.measurePosts()
	p.measureBarred()

	p.drawObstacles()
	p.drawBarred()
	p.drawWalls()
	p.drawFence()
	p.drawGates()
	p.drawPosts()
	p.drawNeighbours()

	p.labelWalls()
	p.labelGates()
	if p.gates != gatesLast {
		p.labelFixedPosts(true)
	}
	short := p.dimensionPieces()
	if p.gates == gatesLast {
		p.labelFixedPosts(true)
	}
	p.labelFixedPosts(false)
	p.tellShort(short)
	p.labelBarred()
	p.labelBetween(true)
	p.labelBays()
	p.labelObstacles()
	p.labelNeighbours()
	p.labelGrades()
	p.labelBetween(false)
	p.labelRuns()

	p.drawHead()
	p.drawList()
	p.drawFoot()
}

func (p *plan) extent() extent {
	var e extent
	for _, r := range p.site.Runs {
		for _, v := range r.Vertices {
			e.include(v)
		}
	}
	for _, post := range p.layout.Posts {
		e.include(post.At)
	}
	for _, f := range p.leaves {
		e.include(f.open)
	}
	for _, o := range p.layout.Openings {
		if o.Roller != nil {
			e.include(o.Roller.At)
		}
	}
	return e
}

// scaleText is the scale in words: "1 in = 10 ft", which is "1:120".
func (p *plan) scaleText() string {
	if p.units == MetricMeasures {
		return "1:" + strconv.FormatFloat(math.Round(p.feetPerInch*12*1000)/1000, 'f', -1, 64)
	}
	return "1 in = " + strconv.FormatFloat(p.feetPerInch, 'f', -1, 64) + " ft"
}

// tape is a length to 1/16 in as a tape shows it, which is shorter than words:
// 7' 9-7/16".
func tape(l measure.Length) string { return onTape.Replace(l.Imperial()) }

var onTape = strings.NewReplacer(" ft", "'", " in", `"`)

// postText names a post with its stations.
func (p *plan) postText(post layout.Post) string {
	text := post.ID
	for i, v := range post.Visits {
		switch {
		case i == 2:
			return text + fmt.Sprintf(" and %d more", len(post.Visits)-2)
		case i > 0:
			text += ","
		}
		if len(post.Visits) > 1 {
			text += " " + shortened(runID(p.site, v.Run), 1, 8)
		}
		text += " " + p.units.tape(v.Station)
	}
	if post.Existing {
		text += " kept"
	}
	return text
}
