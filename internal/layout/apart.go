package layout

import "wattle/internal/fault"

// apart notes line posts that stand in another post, the first pair of any two
// runs and so many in all: legs that cross or lie together without a shared post. Of fixed posts
// meet has seen to it.
func (p *planner) apart(v *fault.List) {
	if len(p.legs) < 2 {
		return // one straight leg
	}
	grid := p.grid.of(len(p.out.Posts), gridCell)
	told := make(map[[2]int]bool)
	var near []int32
	for i := range p.out.Posts {
		post, clash := &p.out.Posts[i], int32(-1)
		near = grid.near(post.At, near[:0])
		for _, j := range near {
			o := &p.out.Posts[j]
			if (post.Role == Line || o.Role == Line) && (clash < 0 || j < clash) && closer(post.At, o.At, (post.Width+o.Width)/2) {
				clash = j
			}
		}
		grid.add(int32(i), post.At)
		if clash < 0 {
			continue
		}
		other := &p.out.Posts[clash]
		a, b := other.Visits[0], post.Visits[0]
		if runs := [2]int{a.Run, b.Run}; !told[runs] {
			told[runs] = true
			if len(told) > mostCrossings {
				return
			}
			v.Index(b.Run).Add("", "the %s post at %s and the %s post at %s of run %q would overlap: their centres are %s apart and need %s; give each a vertex where they meet",
				post.Role, p.at(b.Run, b.Station), other.Role, p.at(a.Run, a.Station), p.site.Runs[a.Run].ID,
				post.At.DistanceTo(other.At).Imperial(), ((post.Width + other.Width) / 2).Imperial())
		}
	}
}
