package check

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
	"wattle/internal/timber"
)

// Job is every check that a laid out job gives a reason for: what its site's
// conditions tell of (wind, a pool, a yard, sight triangles, notice), old posts
// that stay, rails and frost. on is the day whose design values hold. Where the
// job says nothing, nothing is asked, so that an answer is about this job.
//
// Fields of results are paths of the request.
func Job(j takeoff.Job, on civil.Date) []Result {
	c := collector{job: j, on: on}
	c.wind()
	c.pool()
	c.town()
	c.notice()
	c.wood()
	return c.all
}

// collector gathers results.
type collector struct {
	job takeoff.Job
	on  civil.Date
	all []Result
}

// add adds results under a path of the request. err is what the check of that
// code refused of its input, which was sound where it stood.
func (c *collector) add(code, path string, err error, results ...Result) {
	if err != nil {
		results = []Result{result(code, NotEnoughData, "", "This cannot be checked here: "+strings.Join(reasons(err), "; ")+".")}
	}
	for _, r := range results {
		c.all = append(c.all, r.Under(path))
	}
}

// reasons are the violations of a refusal in words.
func reasons(err error) []string {
	refused, ok := errors.AsType[*fault.Error](err)
	if !ok || len(refused.Violations) == 0 {
		return []string{err.Error()}
	}
	var all []string
	for _, v := range refused.Violations {
		all = append(all, strings.ReplaceAll(v.Field, "_", " ")+": "+v.Description)
	}
	return all
}

// solid is the solid part of the fence's outline by its boards; nil where the
// family's infill is not known to a figure.
func solid(s spec.Spec) *decimal.Decimal {
	if !s.HasBoards() {
		return nil
	}
	b := s.Boards
	if b.Pattern == spec.BoardOnBoard || b.Pattern == spec.ShadowBox || b.Gap == 0 {
		return new(decimal.One)
	}
	part := share(b.Width, b.Width+b.Gap)
	return &part
}

// share is a over b in thousandths, rounded down, so that a wall is not taken as
// more open than it is by more than that.
func share(a, b measure.Length) decimal.Decimal {
	n, _ := measure.MulDivFloor(int64(a), 1000, int64(b))
	return decimal.MustNew(n, 3)
}

// wind is the load on a line post, and what its footing and its section make of
// it.
func (c *collector) wind() {
	w, s, l := c.job.Conditions.Wind, c.job.Spec, c.job.Layout
	if w.Speed == 0 && w.Flat.IsZero() || len(l.Bays) == 0 {
		return
	}
	face := Face{Height: s.Height, Clearance: *s.GroundClearance, Solid: solid(s)}
	for _, b := range l.Bays {
		face.Bay = max(face.Bay, b.Width)
	}
	for _, st := range l.Stretches {
		face.Run = max(face.Run, st.Length())
	}
	var load Load
	var told Result
	var err error
	if w.Flat.IsZero() {
		speed := decimal.MustNew(int64(w.Speed), 0)
		in := Wind{Face: face, Speed: &speed, Exposure: Exposure(w.Exposure)}
		if !w.Topography.IsZero() {
			in.Kzt = &w.Topography
		}
		load, told, err = in.Check()
	} else {
		rule := FlatRule{PSF: w.Flat, Source: "a flat rule stated by the job", Edition: "as stated"}
		load, told, err = FlatWind{Face: face, Rule: &rule}.Check()
	}
	c.add(WindLoad, "site.conditions.wind", err, told)
	if s.Posts.Size == "4x4" && w.Speed > 0 {
		r, err := PostSpacing{Height: s.Height, Spacing: face.Bay}.Check()
		c.add(PostSpacingHighWind, "spec.layout.max_bay", err, r)
	}
	if err != nil {
		return
	}
	c.footing(load)
	c.bending(load)
}

// footing holds the line posts' footings against the load.
func (c *collector) footing(load Load) {
	k, i := c.job.Conditions, c.linePost()
	if i < 0 {
		return
	}
	post := c.job.Layout.Posts[i]
	deep := post.Hole.Depth - post.Hole.Gravel
	f := Footing{Load: load.Design, At: load.At, Diameter: post.Hole.Diameter, PoleFactor: k.Footing.PoleFactor, Depth: &deep}
	switch {
	case k.Unsuitable:
		f.Soil = UnpreparedFill
	case k.SoilClass > 0:
		f.Soil = Soil(fmt.Sprint(k.SoilClass))
	}
	if !k.Footing.Bearing.IsZero() {
		f.Bearing = &k.Footing.Bearing
	}
	if !k.Footing.FixedS1.IsZero() {
		f.FixedS1 = &k.Footing.FixedS1
	}
	if !c.job.Spec.Concrete.Set.Poured() {
		f.Diameter = post.Width // nothing but the post bears on the soil
	}
	results, err := f.Check()
	c.add(FootingEmbedment, "spec.holes", err, results...)
}

// bending asks which posts carry the load: the spec's own, then the next sizes.
func (c *collector) bending(load Load) {
	size, strength := c.job.Spec.Posts.Size, c.job.Conditions.PostStrength
	lumber := timber.Size(size)
	if !lumber.Known() {
		return
	}
	b := Bending{Load: load.Design, At: load.At, Species: strength.Species, Grade: strength.Grade, On: c.on}
	for _, option := range []timber.Size{lumber, "6x6"} {
		if option == "6x6" && lumber == "6x6" {
			continue
		}
		o := PostOption{Name: string(option), Sawn: option}
		if !strength.Fb.IsZero() {
			o.Fb, o.FbSource = &strength.Fb, strength.Source
		}
		b.Options = append(b.Options, o)
	}
	_, results, err := b.Check()
	c.add(PostBending, "site.conditions.post_strength", err, results...)
}

// linePost is a post as most of the fence stands on, -1 where all are others.
func (c *collector) linePost() int {
	return slices.IndexFunc(c.job.Layout.Posts, func(p layout.Post) bool {
		return p.Role <= layout.Pinned && !p.Existing
	})
}

// pool holds the fence against the limits of a pool barrier.
func (c *collector) pool() {
	p, s, l := c.job.Conditions.Pool, c.job.Spec, c.job.Layout
	if p == nil {
		return
	}
	limits := PoolDefaults()
	if p.MinHeight > 0 {
		limits.Height, limits.Source, limits.Edition = p.MinHeight, "pool barrier limits as towns publish them; the height as stated by the job", "as stated"
	}
	if p.MaxMesh > 0 {
		limits.Mesh = p.MaxMesh
	}
	mesh, gates := s.Family == spec.ChainLink, len(l.Openings) > 0
	b := Barrier{
		Height: &s.Height, HasDeck: &p.OverDeck, VerticalGap: p.LargestGap, RailSpacing: p.RailsApart,
		ChainLink: &mesh, Slatted: &p.Slatted, Mesh: p.Mesh,
		HasGate: &gates, OpensOutward: p.OpensOutward, SelfClosing: p.SelfClosing, SelfLatching: p.SelfLatching,
		LatchHeight: p.LatchHeight, LatchBelowTop: p.LatchBelowTop, LatchOpening: p.LatchOpening,
		RailsOn: sideOf(p.RailsInside), LatchOn: sideOf(p.LatchInside),
	}
	if gap := p.BottomGap; p.OverDeck {
		b.GapOverDeck = gap
	} else {
		b.GapOverGrade = gap
		if gap == nil {
			under := *s.GroundClearance
			for _, bay := range l.Bays {
				under = max(under, bay.MostGap-bay.Fill)
			}
			b.GapOverGrade = &under
		}
	}
	if b.VerticalGap == nil && s.HasBoards() && s.Family == spec.VerticalBoards {
		gap := s.Boards.Gap
		if s.Boards.Pattern == spec.BoardOnBoard || s.Boards.Pattern == spec.ShadowBox {
			gap = 0
		}
		b.VerticalGap = &gap
	}
	if centres := s.RailCentres(); b.RailSpacing == nil && s.HasRails() && len(centres) > 1 {
		least := centres[1] - centres[0]
		b.RailSpacing = &least
	}
	results, err := b.Check(limits)
	c.add(PoolHeight, "site.conditions.pool", err, results...)
}

func sideOf(inside *bool) Side {
	switch {
	case inside == nil:
		return ""
	case *inside:
		return PoolSide
	default:
		return OuterSide
	}
}

// town holds the fence against the limits of its yard, of sight triangles and of
// permits.
func (c *collector) town() {
	k, l := c.job.Conditions, c.job.Layout
	high := c.job.Spec.PostTop()
	for _, p := range l.Posts {
		high = max(high, p.AboveGrade)
	}
	if k.Yard.Name != "" {
		y := Yards{Fences: []YardFence{{Yard: k.Yard.Name, Height: &high}}}
		if k.Yard.MaxHeight > 0 {
			y.Limits = []YardLimit{{Yard: k.Yard.Name, Most: k.Yard.MaxHeight, Source: "a yard limit stated by the job", Edition: "as stated"}}
		}
		results, err := y.Check()
		c.add(YardHeight, "site.conditions.yard", err, results...)
	}
	if k.Yard.Name != "" || k.Yard.PermitOver > 0 {
		p := Permit{Height: high}
		if k.Yard.PermitOver > 0 {
			p.Town = &PermitLimit{UpTo: k.Yard.PermitOver, Source: "a permit limit stated by the job", Edition: "as stated"}
		}
		r, err := p.Check()
		c.add(PermitHeight, "site.conditions.yard", err, r)
	}
	if len(k.Sights) == 0 {
		return
	}
	s := Sights{}
	for _, x := range k.Sights {
		t := Sight{Name: x.Name, Corners: x.Corners, Source: "a sight triangle stated by the job", Edition: "as stated"}
		if x.MaxHeight > 0 {
			t.Most = &x.MaxHeight
		}
		s.Triangles = append(s.Triangles, t)
	}
	for _, st := range l.Stretches {
		s.Fences = append(s.Fences, SightFence{From: l.Posts[st.StartEnd.Post].At, To: l.Posts[st.FinishEnd.Post].At, Height: &high})
	}
	results, err := s.Check()
	c.add(SightTriangle, "site.conditions.sights", err, results...)
}

// notice is when digging may start.
func (c *collector) notice() {
	n := c.job.Conditions.Notice
	if n == nil {
		return
	}
	rules := NoticeRules()
	i := slices.IndexFunc(rules, func(r NoticeRule) bool { return strings.EqualFold(r.Place, n.Rule) })
	if i < 0 {
		c.all = append(c.all, notKnown(DigNotice, "", "The notice rule "+n.Rule).Under("site.conditions.notice.rule"))
		return
	}
	_, r, err := Notice{Rule: rules[i], Given: Moment{Date: n.Given, Minute: n.Hour * 60}, Holidays: n.Holidays}.Check()
	c.add(DigNotice, "site.conditions.notice", err, r)
}

// wood is what reveals, old posts, rails and frost give reason for.
func (c *collector) wood() {
	s, l, k := c.job.Spec, c.job.Layout, c.job.Conditions
	if s.HasRails() && (*s.Rails.TopReveal > MaxReveal || *s.Rails.BottomReveal > MaxReveal) {
		c.add(BoardReveal, "spec.rails", nil, Reveal(*s.Rails.TopReveal, *s.Rails.BottomReveal, MaxReveal))
	}
	old := 0
	for _, p := range l.Posts {
		if p.Existing {
			old++
		}
	}
	if old > 0 {
		c.add(ReusedPosts, "site.runs", nil, Reused(old))
	}
	if k.RailSpan > 0 && s.HasRails() {
		var longest measure.Length
		for _, b := range l.Bays {
			longest = max(longest, b.Width)
		}
		c.add(RailSpan, "site.conditions.rail_span", nil, Span(longest, &k.RailSpan))
	}
	if frost := s.Holes.FrostDepth; frost > 0 {
		if i := c.linePost(); i >= 0 {
			c.add(FrostDepth, "spec.holes", nil, Frost("bottom of the hole", &l.Posts[i].Hole.Depth, &frost))
		}
	}
}
