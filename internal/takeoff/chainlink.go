package takeoff

import (
	"cmp"

	"wattle/internal/measure"
	"wattle/internal/spec"
)

// chainLink is wire mesh stretched between terminal posts: over line posts that
// it is tied to, from a rail or a wire at the top to one at the bottom. What it
// takes is counted to the last tie; lengths are along the grade [AS-1].
var _ = define(family{
	Definition: spec.Definition{
		Family: spec.ChainLink, Title: "Chain link",
		Details: chainLinkDetails, Fill: fillChainLink, Check: checkChainLink,
		Heights: []string{"3 ft", "4 ft", "5 ft", "6 ft", "8 ft", "10 ft", "12 ft"},
		Source:  "AS-1, AS-2, AS-3, AS-4, DT-2; sizes of posts and rails are common practice, from memory",
	},
	count: countChainLink, rules: chainLinkRules, ownCaps: true,
})

// What stands at the top and at the bottom of the fabric.
const (
	edgeRail = "rail"
	edgeWire = "wire"
	edgeNone = "none"
)

// tieRules are the named spacings of ties.
var tieRules = map[string]struct{ post, rail, wire string }{
	"trade":   {"12 in", "24 in", "24 in"}, // common practice, from memory; rails CHN-3
	"f567":    {"15 in", "24 in", "24 in"}, // AS-4; the wire common practice
	"highway": {"12 in", "24 in", "24 in"}, // DT-2; the rails AS-4
}

func tieSpacing(of func(post, rail, wire string) string) func(*spec.Spec) string {
	return func(s *spec.Spec) string {
		r := tieRules[s.Details["ties"]]
		return of(r.post, r.rail, r.wire)
	}
}

// fabricHeight is what the height leaves over the ground clearance.
func fabricHeight(s *spec.Spec) string {
	if h := s.Height - value(s.GroundClearance); h > 0 {
		return h.String()
	}
	return ""
}

// bandsPerBar: one tension band less than the fabric has feet: 3 on 4 ft
// [CHN-3], 5 on 6 ft [DT-2].
func bandsPerBar(s *spec.Spec) string {
	feet := ceiling(quotient(s.Details.Length("fabric_height"), measure.Foot), one)
	if n := feet.Sub(one); n.Sign() > 0 {
		return number(n)
	}
	return "1"
}

var chainLinkDetails = []spec.Detail{
	{Name: "fabric_height", Kind: spec.LengthDetail, By: fabricHeight, Least: "1 ft", Most: "24 ft",
		Doc: "Height of the fabric; by default the fence's less the ground clearance.", Source: practice},
	{Name: "mesh", Kind: spec.LengthDetail, Default: "2 in", Least: "3/8 in", Most: "6 in",
		Doc: "Mesh of the fabric, between parallel wires.", Source: practice},
	{Name: "gauge", Kind: spec.NumberDetail, Default: "11", Least: "5", Most: "14",
		Doc: "Gauge of the fabric's wire; a higher one is thinner.", Source: practice},
	{Name: "fabric_roll", Kind: spec.LengthDetail, Default: "50 ft", Least: "10 ft", Most: "500 ft",
		Doc: "Length of a roll of fabric.", Source: practice},
	{Name: "fabric_waste", Kind: spec.NumberDetail, Default: "0", Most: "100",
		Doc: "Waste of fabric, in percent.", Source: practice},
	{Name: "top", Kind: spec.ChoiceDetail, Default: edgeRail, Choices: []string{edgeRail, edgeWire, edgeNone},
		Doc: "What holds the top of the fabric.", Source: practice},
	{Name: "mid_rail", Kind: spec.SwitchDetail, By: func(s *spec.Spec) string {
		if s.Height >= 10*measure.Foot {
			return "true"
		}
		return "false"
	}, Doc: "A rail half-way up; by default from 10 ft of height on.", Source: "common practice, from memory"},
	{Name: "bottom", Kind: spec.ChoiceDetail, Default: edgeWire, Choices: []string{edgeWire, edgeRail, edgeNone},
		Doc: "What holds the bottom of the fabric: a tension wire or a rail, not both.", Source: practice},
	{Name: "rail_size", Kind: spec.SectionDetail, Default: "1.66od",
		Doc: "Section of the rails.", Source: practice},
	{Name: "rail_length", Kind: spec.LengthDetail, Default: "21 ft", Least: "5 ft",
		Doc: "Length that rails are bought in, joined by sleeves.", Source: practice},
	{Name: "tension_wire_gauge", Kind: spec.NumberDetail, Default: "7", Least: "5", Most: "14",
		Doc: "Gauge of the tension wire.", Source: practice},
	{Name: "tension_wire_roll", Kind: spec.LengthDetail, Default: "1000 ft", Least: "50 ft", Most: "5000 ft",
		Doc: "Length of a roll of tension wire.", Source: "common practice, from memory"},
	{Name: "ties", Kind: spec.ChoiceDetail, Default: "trade", Choices: []string{"trade", "f567", "highway"},
		Doc: "The rule set that spaces ties.", Source: "trade: common practice; f567: AS-4; highway: DT-2"},
	{Name: "post_ties", Kind: spec.LengthDetail, Least: "2 in",
		By:  tieSpacing(func(post, _, _ string) string { return post }),
		Doc: "Farthest that ties on a line post are apart.", Source: "AS-4"},
	{Name: "rail_ties", Kind: spec.LengthDetail, Least: "2 in",
		By:  tieSpacing(func(_, rail, _ string) string { return rail }),
		Doc: "Farthest that ties on a rail are apart.", Source: "AS-4"},
	{Name: "hog_rings", Kind: spec.LengthDetail, Least: "2 in",
		By:  tieSpacing(func(_, _, wire string) string { return wire }),
		Doc: "Farthest that hog rings on a tension wire are apart.", Source: "DT-2"},
	{Name: "bands_per_bar", Kind: spec.CountDetail, By: bandsPerBar, Least: "1", Most: "50",
		Doc: "Tension bands on a tension bar; by default the feet of fabric height, rounded up, less one.", Source: "CHN-3"},
	{Name: "barb_arms", Kind: spec.ChoiceDetail, Default: edgeNone, Choices: []string{edgeNone, "single", "double"},
		Doc: "Arms for barbed wire on every post, in place of caps, to one side or to both.", Source: practice},
	{Name: "barb_strands", Kind: spec.CountDetail, Most: "10", By: func(s *spec.Spec) string {
		if s.Details["barb_arms"] == edgeNone {
			return "0"
		}
		return "3"
	}, Doc: "Strands of barbed wire on each side of an arm.", Source: practice},
	{Name: "barbed_roll", Kind: spec.LengthDetail, Default: "1320 ft", Least: "50 ft", Most: "5280 ft",
		Doc: "Length of a roll of barbed wire.", Source: "BOM-4"},
	{Name: "slats", Kind: spec.SwitchDetail, Default: "false", Doc: "Privacy slats in the mesh.", Source: practice},
	{Name: "slat_bag", Kind: spec.LengthDetail, Default: "10 ft", Least: "1 ft",
		Doc: "Length of fence that a bag of slats fills.", Source: "common practice, from memory"},
}

// fillChainLink: posts of pipe by height, in concrete crowned 2 in [AS-3] and
// without gravel under them (common practice for steel posts), at most 10 ft
// apart along the grade [AS-1]. The height is that of the fabric, down to grade.
// Holes.Rules published-chain-link is another set of holes [CON-6].
func fillChainLink(s *spec.Spec) {
	fillNil(&s.GroundClearance, 0)
	fillNil(&s.Slope.AlongGrade, true)
	s.Alignment.Rules = cmp.Or(s.Alignment.Rules, "highway-chain-link")
	s.Layout.MaxBay = cmp.Or(s.Layout.MaxBay, 10*measure.Foot)
	s.Layout.Hang = cmp.Or(s.Layout.Hang, spec.Free)
	fillNil(&s.Layout.TerminalLimit, false)
	fillPipePosts(s)
	fillNil(&s.Holes.Gravel, 0)
	s.Concrete.Set = cmp.Or(s.Concrete.Set, spec.WetSet)
	if s.Concrete.Set.Poured() && s.Concrete.StopBelowGrade == 0 {
		s.Concrete.Crown = cmp.Or(s.Concrete.Crown, 2*measure.Inch)
	}
	s.Gates.Frame = cmp.Or(s.Gates.Frame, spec.MeshFrame)
}

// fillPipePosts: line and terminal posts by height, cut to whole feet (common
// practice, from memory).
func fillPipePosts(s *spec.Spec) {
	p := &s.Posts
	own := p.Size != ""
	switch {
	case s.Height <= 6*measure.Foot:
		p.Size, p.TerminalSize = cmp.Or(p.Size, "1.9od"), cmp.Or(p.TerminalSize, "2.375od")
	case s.Height <= 10*measure.Foot:
		p.Size, p.TerminalSize = cmp.Or(p.Size, "2.375od"), cmp.Or(p.TerminalSize, "2.875od")
	default:
		p.Size, p.TerminalSize = cmp.Or(p.Size, "2.875od"), cmp.Or(p.TerminalSize, "4od")
	}
	// A line post of the spec's own that is heavier than that serves for both.
	if own && p.TerminalSize.Width() < p.Size.Width() {
		p.TerminalSize = p.Size
	}
	if len(p.Stock) == 0 {
		for feet := measure.Length(5); feet <= 21; feet++ {
			p.Stock = append(p.Stock, feet*measure.Foot)
		}
	}
}

// fillNil sets a field that was left out.
func fillNil[T any](field **T, v T) {
	if *field == nil {
		*field = &v
	}
}
