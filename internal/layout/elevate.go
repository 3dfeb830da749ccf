package layout

import (
	"fmt"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// rounded is what elevations that would be equal may differ by, since they come
// from elevations rounded to a nanometre: no post is bought longer and no gap filled for that.
const rounded = hair

// elevate gives posts and bays their elevations, racked rails their length
// along the slope, and posts that stand taller the stock they need. What the
// ground does not allow is noted. On a site without ground there is nothing to
// do: every elevation stays zero.
func (p *planner) elevate(v *fault.List) {
	measured := false
	for _, r := range p.site.Runs {
		measured = measured || len(r.Ground) > 0
	}
	if !measured {
		return
	}
	p.groundPosts()
	tops := make([]measure.Length, len(p.out.Posts)) // of the boards beside each post
	for i := range p.out.Posts {
		tops[i] = p.out.Posts[i].Ground + p.spec.Height
	}
	for i := range p.out.Stretches {
		p.elevateStretch(&p.out.Stretches[i], &p.shares[i], tops)
	}
	for _, o := range p.out.Openings {
		_, highest := p.underOpening(&o)
		top := highest + p.spec.Height
		tops[o.Start], tops[o.End] = max(tops[o.Start], top), max(tops[o.End], top)
	}
	for i := range p.out.Posts {
		post := &p.out.Posts[i]
		p.raise(post, tops[i]+p.spec.Posts.AboveBoards-post.Ground, post.Visits[0], v)
	}
	for _, s := range p.sliders {
		o := &p.out.Openings[s.opening]
		_, highest := p.underOpening(o)
		o.Roller.Ground = p.profiles[o.Run].At(s.station)
		p.raise(o.Roller, highest+p.spec.PostTop()-o.Roller.Ground, Visit{o.Run, s.station}, v)
	}
	p.checkGround(v)
}

// groundPosts gives every post the elevation of grade: that of the first of its
// runs that has one.
func (p *planner) groundPosts() {
	told := make(map[[2]int]bool)
	for i := range p.out.Posts {
		post := &p.out.Posts[i]
		by := slices.IndexFunc(post.Visits, func(v Visit) bool { return len(p.site.Runs[v.Run].Ground) > 0 })
		if by < 0 {
			continue
		}
		post.Ground = p.profiles[post.Visits[by].Run].At(post.Visits[by].Station)
		for _, visit := range post.Visits {
			ground := p.profiles[visit.Run].At(visit.Station)
			runs := [2]int{post.Visits[by].Run, visit.Run}
			if off := (ground - post.Ground).Abs(); off > together && !told[runs] {
				told[runs] = true
				p.out.Cautions = append(p.out.Cautions, Caution{
					Code: "ground-differs",
					Text: fmt.Sprintf("The ground at post %s is %s on run %q and %s on run %q; that of the first counts.",
						post.ID, post.Ground.Imperial(), p.site.Runs[runs[0]].ID, ground.Imperial(), p.site.Runs[runs[1]].ID),
					Field: fmt.Sprintf("site.runs[%d].ground", visit.Run),
				})
			}
		}
	}
}

// elevateStretch works the bays of a stretch out, and raises the tops of the
// boards beside its posts.
func (p *planner) elevateStretch(st *Stretch, sh *share, tops []measure.Length) {
	profile, s := p.profiles[st.Run], p.spec
	racked := bayRule{Layout: s.Layout}
	if s.Slope.RailEnds == spec.PlumbEnds {
		racked.plumb = s.RailDepth()
	}
	clearance := *s.GroundClearance
	at := st.Start
	for i := range sh.n {
		bay := &p.out.Bays[st.FirstBay+i]
		from, to := at, at+bay.Width
		at = to
		start, end := profile.At(from), profile.At(to)
		bay.Rise = end - start
		if st.Stepped {
			lowest, highest := profile.Range(from, to)
			bay.Top = highest + s.Height
			bay.MostGap, bay.LeastGap = clearance+highest-lowest, clearance
			tops[bay.Start], tops[bay.End] = max(tops[bay.Start], bay.Top), max(tops[bay.End], bay.Top)
		} else {
			hump, dip := profile.Departure(from, to)
			bay.Top = start + s.Height
			p.raiseOver(bay.Start, start, tops)
			p.raiseOver(bay.End, end, tops)
			bay.MostGap, bay.LeastGap = clearance+dip, clearance-hump
			bay.Rail = p.alongSlope(racked.rail(bay.Width, bay.Rise, bay.Rail-bay.Width), bay.Rail)
		}
		if s.Slope.Fill != spec.LeaveOpen && p.gapes(bay) {
			bay.Fill = bay.MostGap - clearance
		}
	}
}

// gapes reports a gap to the ground that is wider than the spec allows.
func (p *planner) gapes(b *Bay) bool { return b.MostGap > *p.spec.Slope.MaxGroundGap+rounded }

// alongSlope is a rail's length along the slope, from what it comes to and its
// length in plan. The limits are exact in plan; elevations are rounded, so a rail
// that fills its stock may come out a nanometre longer, or what hangs between
// posts a little shorter, which is a full panel all the same.
func (p *planner) alongSlope(rail, level measure.Length) measure.Length {
	stock := p.spec.Layout.RailStock
	switch {
	case p.spec.Layout.Hang == spec.Free:
		return rail
	case p.spec.Layout.Hang == spec.Between && (stock-rail).Abs() <= rounded:
		return stock
	default:
		return min(rail, max(stock, level))
	}
}

// raiseOver raises the top of the boards beside a post to where a racked bay has
// it whose own ground there is higher than the post's, by more than is one post.
func (p *planner) raiseOver(post int, ground measure.Length, tops []measure.Length) {
	if ground > p.out.Posts[post].Ground+together {
		tops[post] = max(tops[post], ground+p.spec.Height)
	}
}

// underOpening is the lowest and the highest ground under a gate's opening, its
// posts' own among it, and along which its leaf slides.
func (p *planner) underOpening(o *Opening) (lowest, highest measure.Length) {
	a, b := &p.out.Posts[o.Start], &p.out.Posts[o.End]
	lowest, highest = min(a.Ground, b.Ground), max(a.Ground, b.Ground)
	for _, v := range a.Visits {
		if v.Run == o.Run && len(p.site.Runs[o.Run].Ground) > 0 {
			from, to := v.Station, v.Station+o.Span
			if o.Slides && o.HingeAtStart {
				from += a.Width/2 - o.LeafWidth
			} else if o.Slides {
				to += o.LeafWidth - b.Width/2
			}
			low, high := p.profiles[o.Run].Range(from, to)
			return min(lowest, low), max(highest, high)
		}
	}
	return lowest, highest
}

// raise sets how far a post stands above grade, at its visit, and the stock that
// takes.
func (p *planner) raise(post *Post, above measure.Length, visit Visit, v *fault.List) {
	if (above - post.AboveGrade).Abs() <= rounded {
		return
	}
	post.AboveGrade = above
	if post.Existing {
		return
	}
	need, level := above+post.Hole.Embedment, post.Stock
	if post.Stock = p.spec.PostStock(need - rounded); post.Stock > level {
		p.longer.note(post.Stock, level)
	} else if post.Stock == 0 {
		v.Index(visit.Run).Add("ground", "the post at %s would stand %s above grade and %s below it, and no post stock is %s long; the longest is %s",
			p.at(visit.Run, visit.Station), above.Imperial(), post.Hole.Embedment.Imperial(), need.Imperial(), p.spec.Posts.Stock[len(p.spec.Posts.Stock)-1].Imperial())
	}
}
