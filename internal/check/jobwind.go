package check

import (
	"fmt"

	"github.com/govalues/decimal"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/spec"
	"wattle/internal/timber"
)

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

// share is a over b in thousandths, rounded down.
func share(a, b measure.Length) decimal.Decimal {
	n, _ := measure.MulDivFloor(int64(a), 1000, int64(b))
	return decimal.MustNew(n, 3)
}

// wind is the load on a post, and what its footing and its section make of it.
// They are told even where no load follows, since they then lack data.
func (c *collector) wind() {
	w, s := c.job.Conditions.Wind, c.job.Spec
	if w.Speed == 0 && w.Flat.IsZero() {
		return
	}
	load, told, err := c.worst()
	code := WindLoad
	if !w.Flat.IsZero() {
		code = WindFlatRule
	}
	c.add(code, err, told)
	if widest := widestBay(c.job.Layout.Bays); s.Posts.Size == "4x4" && w.Speed > 0 && widest > 0 {
		r, err := PostSpacing{Height: s.Height, Spacing: widest}.Check()
		c.add(PostSpacingHighWind, err, r)
	}
	c.footing(load)
	c.bending(load)
}

// worst is the largest load on a post of any stretch. Each stretch is reckoned by
// itself: a short one has the larger force coefficient, a long one may have the
// wider bays.
func (c *collector) worst() (Load, Result, error) {
	l := c.job.Layout
	var load Load
	told := result(WindLoad, NotEnoughData, "", "No bay of fence stands in the wind, so no wind load follows; "+endsNotCovered+".")
	first := true
	for _, st := range l.Stretches {
		if st.Bays == 0 {
			continue
		}
		found, r, err := c.windOn(Face{
			Height: c.job.Spec.Height, Clearance: *c.job.Spec.GroundClearance, Solid: solid(c.job.Spec),
			Bay: widestBay(l.Bays[st.FirstBay : st.FirstBay+st.Bays]), Run: st.Length(),
			Where: fmt.Sprintf("the stretch from %s to %s", l.Posts[st.StartEnd.Post].ID, l.Posts[st.FinishEnd.Post].ID),
		})
		if err != nil {
			return Load{}, Result{}, err
		}
		if first || found.Design != nil && (load.Design == nil || found.Design.Cmp(*load.Design) > 0) {
			load, told, first = found, r, false
		}
	}
	return load, told, nil
}

func (c *collector) windOn(face Face) (Load, Result, error) {
	w := c.job.Conditions.Wind
	if !w.Flat.IsZero() {
		rule := FlatRule{PSF: w.Flat, Source: "a flat rule stated by the job", Edition: "as stated"}
		return FlatWind{Face: face, Rule: &rule}.Check()
	}
	speed := decimal.MustNew(int64(w.Speed), 0)
	in := Wind{Face: face, Speed: &speed, Exposure: Exposure(w.Exposure)}
	if !w.Topography.IsZero() {
		in.Kzt = &w.Topography
	}
	return in.Check()
}

func widestBay(bays []layout.Bay) measure.Length {
	var widest measure.Length
	for _, b := range bays {
		widest = max(widest, b.Width)
	}
	return widest
}

// footing holds a post's footing against the load.
func (c *collector) footing(load Load) {
	k, post := c.job.Conditions, c.post()
	if post == nil {
		c.add(FootingEmbedment, nil, notKnown(FootingEmbedment, "", "The footing of any post, since all of them are old ones,"))
		return
	}
	deep := post.Hole.Depth - post.Hole.Gravel
	f := Footing{Load: load.Design, At: load.At, PoleFactor: k.Footing.PoleFactor, Depth: &deep}
	switch kind := post.Size.Kind(); {
	case c.job.Spec.Concrete.Set.Poured():
		f.Diameter = post.Hole.Diameter
	case kind == section.Sawn || kind == section.Tube || kind == section.Vinyl:
		f.Side = post.Width // nothing but the post bears on the soil, by its diagonal [IBC 1807.3.2.1]
	default:
		f.Diameter = post.Width
	}
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
	results, err := f.Check()
	for i := range results {
		results[i].Figures = append(results[i].Figures, Figure{Name: "post", Value: post.ID + ", " + post.Role.String()})
	}
	c.add(FootingEmbedment, err, results...)
}

// bending asks which posts carry the load: the job's own, and of smaller sawn
// posts the 6x6 besides, which the stated value is not for.
func (c *collector) bending(load Load) {
	strength, size := c.job.Conditions.PostStrength, c.job.Spec.Posts.Size
	if post := c.post(); post != nil {
		size = post.Size
	}
	own, known := optionOf(size)
	if !known {
		c.add(PostBending, nil, result(PostBending, NotEnoughData, "", "Bending is not reckoned here of a "+size.Describe()+" post."))
		return
	}
	if !strength.Fb.IsZero() {
		own.Fb, own.FbSource = &strength.Fb, strength.Source
	}
	b := Bending{Load: load.Design, At: load.At, Species: strength.Species, Grade: strength.Grade, On: c.on, Options: []PostOption{own}}
	const stout timber.Size = "6x6"
	if own.Sawn != "" && SawnModulus(own.Sawn).Cmp(SawnModulus(stout)) < 0 {
		b.Options = append(b.Options, PostOption{Name: string(stout), Sawn: stout})
	}
	_, results, err := b.Check()
	c.add(PostBending, err, results...)
}
