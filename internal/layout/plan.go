package layout

import (
	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/timber"
)

// MaxBays is the most bays of one layout: a stop that protects the machine. A
// service sets its own, lower limits.
const MaxBays = 500_000

// Plan places every post of a site's fence: fixed posts where the site decides
// (ends, vertices, gates), line posts by the spec's method between them. The
// spec is filled in with its defaults first.
//
// Where an end comes to a leg, of another run or its own, the two share a post;
// line posts that would stand in another post are refused.
//
// What is wrong comes back as one fault.Invalid error that lists all of it
// under site and spec. Plan keeps nothing of its arguments and depends on
// nothing else: the same input gives the same layout.
func Plan(s site.Site, f spec.Spec) (*Layout, error) { return PlanAs(Rules, s, f) }

// Rules is the newest version of the rules; PlanAs runs every one from 1 on.
//
//	1  runs that cross without a vertex there stay apart, with a caution
//	2  runs that cross share a post; a closed run that starts within a straight
//	   side has no post there
const Rules = 2

// PlanAs is Plan by the rules of an earlier version, so that what was planned
// then is planned alike now.
func PlanAs(rules int, s site.Site, f spec.Spec) (*Layout, error) {
	f = f.WithDefaults()
	v := new(fault.List)
	s.Validate(v.At("site"))
	siteWrong := v.Len()
	f.Validate(v.At("spec"))
	specWrong := v.Len() - siteWrong

	runs := v.At("site").At("runs")
	var attached []attachment
	if v.Len() == 0 {
		s, attached = attach(rules, s, f, runs)
	}

	p := &planner{rules: rules, site: s, spec: f, kinds: make(map[kind]*setPost), profiles: make([]*site.Profile, len(s.Runs))}
	for i := range s.Runs {
		p.profiles[i] = s.Runs[i].Profile()
	}
	if specWrong == 0 || f.PostsSound() {
		p.fixRuns(runs, siteWrong == 0)
		p.gateStock(v.At("spec"))
		if siteWrong == 0 {
			if v.Len() == 0 {
				p.hold(attached)
				p.findBarred()
				p.align(runs)
				p.branch(runs)
			}
			p.meet(runs)
			if p.rules >= 2 && v.Len() == 0 && p.joinCrossings(runs) && v.Len() == 0 {
				p.meet(runs)
			}
		}
	}
	if err := v.Err(); err != nil {
		return nil, err
	}
	p.classify()
	p.checkBarred(v.At("site"))
	if err := p.stretch(v.At("site")); err != nil {
		return nil, err
	}
	if err := v.Err(); err != nil {
		return nil, err
	}
	p.place()
	p.checkHeld(runs)
	p.elevate(runs)
	p.apart(runs)
	if err := v.Err(); err != nil {
		return nil, err
	}
	p.keepPosts()
	p.cautionStock()
	p.cautionNeighbours()
	p.cautionCrossings()
	return &p.out, nil
}

// planner carries one plan from step to step.
type planner struct {
	rules int
	site  site.Site
	spec  spec.Spec
	kinds map[kind]*setPost

	runs     []fixedRun
	legs     []leg
	marks    []mark
	nodes    []node
	members  []int32    // marks by node; see node.first
	joins    [][2]int32 // marks that are one post wherever they stand
	barred   [][]Barred // by run, in order of From
	profiles []*site.Profile

	shares []share // by stretch
	out    Layout
}

// kind is what decides how a post is set.
type kind struct {
	size timber.Size
	gate bool
}

// setPost is a post of one kind with its hole, still without a place.
type setPost struct {
	width measure.Length
	pit   spec.Pit
	post  Post
}

// kind is the set post of one kind, worked out once.
func (p *planner) kind(k kind) *setPost {
	if known := p.kinds[k]; known != nil {
		return known
	}
	pit := p.spec.Pit(k.size, k.gate)
	governs := string(pit.Rule)
	if k.gate {
		governs += "+gate"
	}
	set := &setPost{width: spec.PostWidth(k.size), pit: pit}
	set.post = Post{
		Size:       k.size,
		Width:      set.width,
		AboveGrade: p.spec.PostTop(),
		Stock:      pit.Stock,
		Hole: Hole{
			Diameter:  pit.Diameter,
			Depth:     pit.Depth,
			Gravel:    *p.spec.Holes.Gravel,
			Float:     p.spec.Holes.Float,
			Embedment: pit.Embedment,
			Governs:   governs,
		},
	}
	p.kinds[k] = set
	return set
}
