package takeoff

import (
	"cmp"

	"wattle/internal/cutting"
	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// splitRail is rails whose ends lap in the mortises of posts.
//
//	  |<------- on centre ------>|
//	[===]----------------------[===]-------
//	[   ]     rail             [   ]          on centre = rail length - lap
//	[===]----------------------[===]-------
var _ = define(family{
	Definition: spec.Definition{
		Family: spec.SplitRail, Title: "Split rail",
		Details: splitRailDetails, Fill: fillSplitRail, Check: checkSplitRail,
		Heights: []string{"3 ft", "4 ft", "5 ft"},
		Source:  "common practice",
	},
	count: countSplitRail, rules: splitRailRules, postAs: mortised,
})

var splitRailDetails = []spec.Detail{
	{Name: "rail_length", Kind: spec.LengthDetail, Default: "11 ft", Least: "4 ft", Most: "20 ft",
		Doc: "Length of a whole rail, most often 10 or 11 ft.", Source: practice},
	{Name: "lap", Kind: spec.LengthDetail, Default: "12 in", Most: "3 ft",
		Doc: "How far two rails lap in a post: half of it is what each runs past the post's centre.", Source: practice},
	{Name: "rails", Kind: spec.CountDetail, By: splitRails, Least: "1", Most: "6",
		Doc: "Rails in each bay, one for each mortise of a post; by default 2 up to 3 ft, 3 up to 4 ft and 4 above.", Source: practice},
	{Name: "rail_wood", Kind: spec.ChoiceDetail, Default: "cedar", Choices: []string{"cedar", "locust", "oak", "pine", "spruce"},
		Doc: "Wood of the rails, part of the item's name.", Source: practice},
}

func splitRails(s *spec.Spec) string {
	switch {
	case s.Height <= 3*measure.Foot:
		return "2"
	case s.Height <= 4*measure.Foot:
		return "3"
	default:
		return "4"
	}
}

// fillSplitRail: whole rails and one short bay, spaced along the grade as the
// rails lie; round wood posts without caps, bought about as long as they stand,
// since the mortises decide how deep, on firm ground and in tamped earth.
func fillSplitRail(s *spec.Spec) {
	l := &s.Layout
	l.Method = cmp.Or(l.Method, spec.Remainder)
	l.Hang = cmp.Or(l.Hang, spec.Free)
	l.MaxBay = cmp.Or(l.MaxBay, splitRailBay(s))
	if l.TerminalLimit == nil {
		l.TerminalLimit = new(false)
	}
	if s.Slope.AlongGrade == nil {
		s.Slope.AlongGrade = new(true)
	}
	s.Posts.Size = cmp.Or(s.Posts.Size, "5rd")
	if len(s.Posts.Stock) == 0 {
		s.Posts.Stock = []measure.Length{6 * measure.Foot, 7 * measure.Foot, 8 * measure.Foot, 9 * measure.Foot}
	}
	if s.Posts.Caps == nil {
		s.Posts.Caps = new(false)
	}
	s.Concrete.Set = cmp.Or(s.Concrete.Set, spec.NoSet)
	if s.Holes.Gravel == nil && s.Concrete.Set == spec.NoSet {
		s.Holes.Gravel = new(measure.Length(0))
	}
}

func splitRailBay(s *spec.Spec) measure.Length {
	return s.Details.Length("rail_length") - s.Details.Length("lap")
}

func checkSplitRail(s *spec.Spec, v *fault.List) {
	hung := v.At("layout")
	hung.Require(s.Layout.Hang == spec.Free, "hang", "split rails lap in their posts' mortises; expected %s, found %s", spec.Free, s.Layout.Hang)
	if bay := splitRailBay(s); v.At("details").Require(bay >= 2*measure.Foot, "lap", "a lap of %s leaves %s of a rail of %s between post centres; expected 2 ft or more",
		s.Details.Length("lap").Imperial(), bay.Imperial(), s.Details.Length("rail_length").Imperial()) {
		hung.Require(s.Layout.MaxBay <= bay, "max_bay", "rails of %s that lap %s reach over %s, found %s",
			s.Details.Length("rail_length").Imperial(), s.Details.Length("lap").Imperial(), bay.Imperial(), s.Layout.MaxBay.Imperial())
	}
	v.At("slope").Require(value(s.Slope.AlongGrade), "along_grade", "rails lie along the grade, so bays are measured along it; expected true")
	checkNoFill(s, v, "split rails leave the ground open")
	checkRacked(s, v, "split rails go through their posts from bay to bay")
	checkBare(s, v, "cap_board", "cap board")
	checkBare(s, v, "kick_board", "kick board")
}

func splitRailItem(wood string, stock measure.Length) item {
	return ofLength("split-rail-"+wood, "Split rail, "+wood, stock, Rails, "rail")
}

var splitRailRules = []rule{
	{"split.on-centre", practice, "{rail} of rail - {lap} of lap"},
	{"split.rails", practice, "{result} in each"},
	{"split.rail", practice, "{on centre} on centre + {lap} of lap"},
	{"split.slope-rail", practice, "square root of (({on centre!})^2 + ({rise!})^2) + {lap} of lap"},
	{"split.pieces", practice, "{bays} x {rails} of {length}"},
	{"split.other-pieces", practice, "{bays} x {rails}, each length listed with the cut plan"},
}

// splitBay is what bays have in common whose rails are equal.
type splitBay struct {
	width, rise, rail measure.Length
}

// countSplitRail: a piece for every rail of every bay, as long as the bay along
// the slope and the lap. Whole rails are pieces like others; what is left of a
// cut one is used again where it reaches, with a new end cut to fit the mortise.
func countSplitRail(g *gathered) {
	long, lap, rails := g.s.Details.Length("rail_length"), g.s.Details.Length("lap"), g.s.Details.Count("rails")
	wood := g.s.Details["rail_wood"]
	g.weighsEach(splitRailItem(wood, long), splitRailPounds(wood, long))
	f := sticks{use: "split rails", longer: "rail", stock: []measure.Length{long}, field: "spec.details.rail_length", waste: g.s.Waste.Rails,
		item: func(stock measure.Length) item { return splitRailItem(wood, stock) }}
	f.steps = append(f.steps, step("split.on-centre", "Posts", length("rail", long), length("lap", lap)).exactly(lengthText(long-lap)),
		step("split.rails", "Bays").exactly(amountOf(rails, "rail")))
	var kinds tally[splitBay]
	for i, b := range g.l.Bays {
		k := splitBay{width: b.Width}
		if !g.l.Stretches[b.Stretch].Stepped {
			k.rise = b.Rise.Abs()
		}
		// A full bay on a slope is a whole rail, but for what its place is rounded by.
		k.rail = measure.Hypot(k.width, k.rise) + lap
		if over := k.rail - long; over > 0 && over < measure.Millimetre/1000 {
			k.rail = long
		}
		if k.rise == 0 {
			k.rail = markedLength(k.rail, f.stock)
			k.width = k.rail - lap
		}
		kinds.add(k, i, 1)
	}
	unlisted := 0
	for i, k := range kinds.kinds {
		n := kinds.times[i]
		f.pieces = append(f.pieces, cutting.Piece{Length: markedLength(k.rail, f.stock), Count: n * rails})
		if i >= maxKinds {
			unlisted += n
			continue
		}
		f.steps = append(f.steps, k.steps(g, kinds.first[i], n, lap, rails)...)
	}
	if unlisted > 0 {
		f.steps = append(f.steps, step("split.other-pieces", "", count("bays", unlisted, "other bay"), count("rails", rails, "rail")).
			exactly(amountOf(unlisted*rails, "piece")))
	}
	g.cut(f)
}

// steps are how long the rails of equal bays are, and how many.
func (k splitBay) steps(g *gathered, first, bays int, lap measure.Length, rails int) []Step {
	posts, stations := bayName(g.l, first)
	name := posts + " " + stations
	if bays > 1 {
		name = amountOf(bays, "equal bay") + ", the first " + name
	}
	marked := markedLength(k.rail, []measure.Length{g.s.Details.Length("rail_length")})
	long := step("split.rail", name, length("on centre", k.width), length("lap", lap))
	if k.rise > 0 {
		long = step("split.slope-rail", name, length("on centre", k.width), length("rise", k.rise), length("lap", lap))
	}
	return []Step{
		long.rounded(lengthText(k.rail), "marked to 1/16 in", lengthText(marked)),
		step("split.pieces", "", count("bays", bays, "bay"), count("rails", rails, "rail"), length("length", marked)).exactly(amountOf(bays*rails, "piece")),
	}
}
