package rpc

import (
	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/layout"
	"wattle/internal/site"
)

var roles = pairsOf(map[wattlev1.Post_Role]layout.Role{
	wattlev1.Post_ROLE_LINE:       layout.Line,
	wattlev1.Post_ROLE_BEND:       layout.Bend,
	wattlev1.Post_ROLE_PINNED:     layout.Pinned,
	wattlev1.Post_ROLE_PULL:       layout.Pull,
	wattlev1.Post_ROLE_TIE_IN:     layout.TieIn,
	wattlev1.Post_ROLE_END:        layout.End,
	wattlev1.Post_ROLE_JUNCTION:   layout.Junction,
	wattlev1.Post_ROLE_CORNER:     layout.Corner,
	wattlev1.Post_ROLE_GATE_LATCH: layout.GateLatch,
	wattlev1.Post_ROLE_GATE_HINGE: layout.GateHinge,
})

// layoutToProto names runs by the ids of the site they were laid out on, and
// posts by their own.
func layoutToProto(l *layout.Layout, s site.Site) *wattlev1.Layout {
	ls := new(lengths)
	p := aroundToProto(ls, l, s)
	p.Posts, p.Bays = placedPosts(ls, l.Posts, s), placedBays(ls, l.Bays, l)
	return p
}

// aroundToProto is a layout without its posts and bays, of which there may be
// more than one message takes.
func aroundToProto(ls *lengths, l *layout.Layout, s site.Site) *wattlev1.Layout {
	p := &wattlev1.Layout{
		Stretches: make([]*wattlev1.Stretch, len(l.Stretches)),
		Openings:  make([]*wattlev1.Opening, len(l.Openings)),
		Barred:    make([]*wattlev1.Barred, len(l.Barred)),
		Cautions:  cautionsToProto(l.Cautions...),
	}
	stretches := make([]wattlev1.Stretch, len(l.Stretches))
	for i, st := range l.Stretches {
		p.Stretches[i] = &stretches[i]
		stretches[i] = wattlev1.Stretch{
			Run: s.Runs[st.Run].ID, Start: ls.of(st.Start), End: ls.of(st.End), Length: ls.of(st.Length()),
			StartPost: l.Posts[st.StartEnd.Post].ID, EndPost: l.Posts[st.FinishEnd.Post].ID,
			FirstBay: int32(st.FirstBay), BayCount: int32(st.Bays), Method: st.Method, Stepped: st.Stepped, Along: ls.of(l.Along(st)),
		}
	}
	openings := make([]wattlev1.Opening, len(l.Openings))
	for i, o := range l.Openings {
		p.Openings[i] = &openings[i]
		openings[i] = wattlev1.Opening{
			Gate: o.Gate, Run: s.Runs[o.Run].ID, Clear: ls.of(o.Clear), Span: ls.of(o.Span),
			Leaves: int32(o.Leaves), LeafWidth: ls.of(o.LeafWidth),
			StartPost: l.Posts[o.Start].ID, EndPost: l.Posts[o.End].ID, HingeAtStart: o.HingeAtStart, Slides: o.Slides,
		}
		if o.Roller != nil {
			p.Openings[i].Roller = slabsOf(1, new(workspace)).post(ls, o.Roller, s)
		}
	}
	for i, b := range l.Barred {
		p.Barred[i] = &wattlev1.Barred{Run: s.Runs[b.Run].ID, Id: b.ID, From: ls.of(b.From), To: ls.of(b.To)}
	}
	return p
}

// placedBays are some of the layout's bays.
func placedBays(ls *lengths, bays []layout.Bay, l *layout.Layout) []*wattlev1.Bay {
	made, out := ls.workspace().bays.slab(len(bays)), make([]*wattlev1.Bay, len(bays))
	for i, b := range bays {
		out[i] = &made[i]
		made[i] = wattlev1.Bay{
			Stretch: int32(b.Stretch), StartPost: l.Posts[b.Start].ID, EndPost: l.Posts[b.End].ID,
			Width: ls.printed(b.Width, b.Printed), Limit: ls.of(b.Limit), Rail: ls.of(b.Rail),
			Rise: ls.of(b.Rise), Top: ls.of(b.Top), MostGap: ls.of(b.MostGap), LeastGap: ls.of(b.LeastGap),
		}
		if b.Fill != 0 {
			out[i].Fill = ls.of(b.Fill)
		}
	}
	return out
}

// placedPosts are some of the layout's posts.
func placedPosts(ls *lengths, posts []layout.Post, s site.Site) []*wattlev1.Post {
	made, out := slabsOf(len(posts), ls.workspace()), make([]*wattlev1.Post, len(posts))
	for i := range posts {
		out[i] = made.post(ls, &posts[i], s)
	}
	return out
}

// postSlabs are what posts are made of.
type postSlabs struct {
	posts  slab[wattlev1.Post]
	points slab[wattlev1.Point]
	holes  slab[wattlev1.Post_Hole]
	visits slab[wattlev1.Post_Visit]
	listed slab[*wattlev1.Post_Visit]
}

// slabsOf is for n posts, of which most have one visit.
func slabsOf(n int, m *workspace) *postSlabs {
	return &postSlabs{m.posts.slab(n), m.points.slab(n), m.holes.slab(n), m.visits.slab(n), m.ofVisits.slab(n)}
}

func (m *postSlabs) post(ls *lengths, post *layout.Post, s site.Site) *wattlev1.Post {
	p, at := m.posts.next(), m.points.next()
	at.East, at.North = ls.of(post.At.East), ls.of(post.At.North)
	*p = wattlev1.Post{
		Id: post.ID, Visits: m.listed.cut(len(post.Visits)), At: at,
		Role: roles.wire[post.Role], Size: string(post.Size), Width: ls.of(post.Width),
		AboveGrade: ls.of(post.AboveGrade), Stock: ls.of(post.Stock),
		Ground: ls.of(post.Ground), Top: ls.of(post.Top()), Existing: post.Existing, Because: string(post.Because),
	}
	if h := post.Hole; !post.Existing {
		hole := m.holes.next()
		*hole = wattlev1.Post_Hole{
			Diameter: ls.of(h.Diameter), Depth: ls.of(h.Depth), Gravel: ls.of(h.Gravel),
			Float: ls.of(h.Float), Embedment: ls.of(h.Embedment), Governs: h.Governs,
		}
		p.Hole = hole
	}
	for i, visit := range post.Visits {
		v := m.visits.next()
		v.Run, v.Station = s.Runs[visit.Run].ID, ls.of(visit.Station)
		p.Visits[i] = v
	}
	return p
}
