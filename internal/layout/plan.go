package layout

import (
	"wattle/internal/fault"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// MaxBays is the most bays of one layout: a stop that protects the machine. A
// service sets its own, lower limits.
const MaxBays = 500_000

// Plan places every post of a site's fence: fixed posts where the site decides
// (ends, vertices, gates, pins), where the spec's alignment asks for them and
// where runs meet or cross; between them line posts by the spec's method, out of
// keep-outs and within what the ground allows. The spec is filled in with its
// defaults first.
//
// Where an end comes to a leg, of another run or its own, the two share a post;
// line posts that would stand in another post are refused.
//
// What is wrong comes back as one fault.Invalid error that lists all of it
// under site and spec; a site too large to plan is fault.Exhausted. Plan keeps
// nothing of its arguments and depends on nothing else: the same input gives
// the same layout.
func Plan(s site.Site, f spec.Spec) (*Layout, error) { return PlanAs(Rules, s, f) }

// Rules is the newest version of the rules; PlanAs runs every one from 1 on.
//
//	1  runs that cross without a vertex there stay apart, with a caution
//	2  runs that cross share a post; a closed run that starts within a straight
//	   side has no post there; holes that reach into one another are told
//	3  the same layout, of specs that make sense (see spec.ValidateSense); the
//	   cautions on tall posts and gates on a slope say more
//	   exactly what they mean
const Rules = 3

// PlanAs is Plan by the rules of an earlier version, so that what was planned
// then is planned alike now.
func PlanAs(rules int, s site.Site, f spec.Spec) (*Layout, error) {
	f.FillIn()
	return plan(rules, s, &f)
}

// PlanFilled is Plan of a spec that has its defaults, and only reads it.
func PlanFilled(s site.Site, f *spec.Spec) (*Layout, error) { return plan(Rules, s, f) }

func plan(rules int, s site.Site, f *spec.Spec) (*Layout, error) {
	p := newPlanner(rules, f)
	out, err := p.plan(s)
	p.release()
	return out, err
}

func (p *planner) plan(s site.Site) (*Layout, error) {
	v, f := new(fault.List), p.spec
	at := v.At("site")
	runs := at.At("runs")
	s.Validate(at)
	siteWrong := v.Len()
	f.Validate(v.At("spec"))
	if p.rules >= 3 {
		f.ValidateSense(v.At("spec"))
	}
	specSound := v.Len() == siteWrong
	if specSound || f.PostsSound() {
		if err := p.fix(s, siteWrong == 0, v, runs); err != nil {
			return nil, err
		}
	}
	if err := v.Err(); err != nil {
		return nil, err
	}
	p.classify()
	p.checkRoom(runs)
	p.checkBarred(at)
	if err := p.stretch(at); err != nil {
		return nil, err
	}
	if err := v.Err(); err != nil {
		return nil, err
	}
	p.place()
	p.checkHeld(runs)
	p.checkRollers(at)
	p.elevate(runs)
	p.apart(runs)
	if err := v.Err(); err != nil {
		return nil, err
	}
	if p.hostless != nil {
		return nil, p.hostless
	}
	p.keepPosts()
	if p.rules >= 2 {
		p.cautionTall()
		p.cautionHoles()
	}
	p.cautionStock()
	p.cautionFrost()
	p.cautionNeighbours()
	p.cautionCrossings()
	p.turnBack()
	return p.out, nil
}

// fix finds all fixed posts and which of them are one, or notes what is wrong
// with them as far as the rest is sound: of all of the request in v, of the runs
// in runs.
func (p *planner) fix(s site.Site, siteSound bool, v, runs *fault.List) error {
	sound := func() bool { return v.Len() == 0 }
	var attached []attachment
	if sound() {
		s, attached, p.hostless = attach(p.rules, s, p.spec, runs)
	}
	p.given, p.site = s, s
	p.turn(siteSound)
	p.profiles = zeros(p.profiles, len(s.Runs))
	for i := range p.site.Runs {
		p.profiles[i] = p.site.Runs[i].Profile()
	}
	p.fixRuns(runs, siteSound)
	p.gateStock(v.At("spec"))
	if !siteSound {
		return nil
	}
	if sound() {
		p.hold(attached)
		p.tellBarred()
		p.align(runs)
		p.branch(runs)
	}
	p.meet(runs)
	if p.rules < 2 || !sound() {
		return nil
	}
	joined, err := p.joinCrossings(runs)
	if joined && sound() {
		p.meet(runs)
	}
	return err
}

// planner carries one plan from step to step.
type planner struct {
	rules int
	given site.Site // as requested, with attached ends at their posts
	site  site.Site // as planned
	spec  *spec.Spec
	kinds []*setPost
	*workspace

	joins    [][2]int32 // marks that are one post wherever they stand
	barred   map[holeOn][]noHole
	hostless error // why the runs that others start at cannot be planned alone
	longer   worst // posts that the ground takes to a longer stock, by it, from the level's
	sliders  []slider
	out      *Layout
}
