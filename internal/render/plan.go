package render

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// PlanOptions say how a plan is drawn.
type PlanOptions struct {
	Title string
	// Paper is "letter" (the default) or "a4".
	Paper string
}

// PlanSVG draws the layout of a site in plan, north up, at a round scale on one
// sheet: walls that runs are tied in to, the fence with its board side, posts
// with their stations, bays with their widths, gates with leaves and swings, a
// dimension for every stretch. What has no room on the drawing is counted in
// the legend; a stretch or gate without room is listed on a sheet below the
// first.
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
	sheet
	// size is of all sheets together, one below the other.
	size   vec
	draw   svg
	mask   *mask
	labels []label
	leaves []leaf
	// outside is, by run, the side on which dimensions stand.
	outside []site.Side
	// reach is, by post, how far away the nearest neighbour is on paper.
	reach []float64
	// left counts what found no room; listed is what goes to a further sheet.
	leftPosts, leftBays int
	listed              []string
	tries               int  // spots looked at
	enlarged            bool // posts are drawn larger than they are
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
	p := &plan{site: st, layout: l, title: plain(o.Title)}
	if p.title == "" {
		p.title = "Fence plan"
	}
	p.leaves = findLeaves(st, l)
	p.sheet = newSheet(paper, p.extent())
	p.size = p.sheet.size
	p.mask = newMask(p.low, p.high, p.size)
	p.chooseSides()
	p.measurePosts()

	p.drawWalls()
	p.drawFence()
	p.drawGates()
	p.drawPosts()

	p.dimensionStretches()
	p.labelGates()
	p.labelFixedPosts()
	p.labelBays()
	p.labelLinePosts()
	p.labelRuns()

	p.drawHead()
	p.drawFoot()
	p.drawList()
	return p, nil
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
	return e
}

// chooseSides puts dimensions on the outside of what a run encloses, or of a
// straight run to the north (west where it runs north).
func (p *plan) chooseSides() {
	p.outside = make([]site.Side, len(p.site.Runs))
	for i, r := range p.site.Runs {
		area := 0.0
		points := make([]vec, len(r.Vertices))
		for j, v := range r.Vertices {
			points[j] = p.at(v)
		}
		for j, a := range points {
			b := points[(j+1)%len(points)]
			a, b = a.sub(points[0]), b.sub(points[0])
			area += a.x*b.y - a.y*b.x
		}
		switch {
		case area < -1: // the run turns left on the ground
			p.outside[i] = site.Right
		case area > 1:
			p.outside[i] = site.Left
		case len(points) > 0:
			left := points[len(points)-1].sub(points[0]).left()
			if left.y > 1e-6 || (left.y > -1e-6 && left.x > 0) {
				p.outside[i] = site.Right
			}
		}
	}
}

// out is the step of length one to the outside of a run that goes along d.
func (p *plan) out(run int, d vec) vec { return sideOf(d, p.outside[run]) }

func sideOf(d vec, side site.Side) vec {
	if side == site.Left {
		return d.left()
	}
	return d.left().times(-1)
}

// measurePosts works out how much room each post has.
func (p *plan) measurePosts() {
	p.reach = make([]float64, len(p.layout.Posts))
	near := func(a, b int) {
		d := p.at(p.layout.Posts[a].At).sub(p.at(p.layout.Posts[b].At)).length()
		for _, i := range []int{a, b} {
			if p.reach[i] == 0 || d < p.reach[i] {
				p.reach[i] = d
			}
		}
	}
	for _, b := range p.layout.Bays {
		near(b.Start, b.End)
	}
	for _, o := range p.layout.Openings {
		near(o.Start, o.End)
	}
}

// ends are where a stretch's fixed posts stand on paper.
func (p *plan) ends(s layout.Stretch) (a, b vec) {
	return p.at(p.layout.Posts[s.StartEnd.Post].At), p.at(p.layout.Posts[s.FinishEnd.Post].At)
}

// scaleText is the scale in words: "1 in = 10 ft".
func (p *plan) scaleText() string {
	return "1 in = " + strconv.FormatFloat(p.feetPerInch, 'f', -1, 64) + " ft"
}

// tape is a length to 1/16 in as a tape shows it, which is shorter than words:
// 7' 9-7/16".
func tape(l measure.Length) string {
	return strings.NewReplacer(" ft", "'", " in", `"`).Replace(l.Imperial())
}

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
		text += " " + tape(v.Station)
	}
	return text
}
