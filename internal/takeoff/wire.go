package takeoff

import (
	"cmp"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/spec"
)

// Kinds of wire fence.
const (
	barbedWire  = "barbed"
	wovenWire   = "woven"
	highTensile = "high-tensile"
)

// wire is strands of barbed or high tensile wire, or woven wire with strands
// over it, on line posts that are far apart, pulled between braced posts.
var _ = define(family{
	Definition: spec.Definition{
		Family: spec.Wire, Title: "Wire",
		Details: wireDetails, Fill: fillWire, Check: checkWire,
		Heights: []string{"4 ft", "5 ft"},
		Source:  "DT-7, DT-11, BOM-4; the rest is common practice",
	},
	count: countWire, rules: wireRules,
})

// wirePosts are the named spacings of line posts, without stays and with
// them; "" where the rule gives none.
var wirePosts = map[string]struct{ kind, plain, stayed string }{
	"ri-barbed":       {barbedWire, "16.5 ft", ""},     // DT-11
	"ri-high-tensile": {highTensile, "30 ft", "50 ft"}, // DT-11
	"ky":              {"", "14 ft", "18 ft"},          // DT-11; of any kind
}

// byKind is a default that depends on the kind of wire.
func byKind(barbed, woven, tensile string) func(*spec.Spec) string {
	return func(s *spec.Spec) string {
		switch s.Details["kind"] {
		case wovenWire:
			return woven
		case highTensile:
			return tensile
		default:
			return barbed
		}
	}
}

var wireDetails = []spec.Detail{
	{Name: "kind", Kind: spec.ChoiceDetail, Default: barbedWire, Choices: []string{barbedWire, wovenWire, highTensile},
		Doc: "What is strung: barbed wire, woven wire or high tensile wire.", Source: practice},
	{Name: "strands", Kind: spec.CountDetail, Most: "20", By: byKind("4", "1", "5"),
		Doc: "Strands; over woven wire they are barbed.", Source: "BOM-4, BOM-1; 5 of high tensile are common practice"},
	{Name: "stays", Kind: spec.SwitchDetail, Default: "false",
		Doc: "Stays hold the wires apart between posts that stand farther apart.", Source: "DT-11"},
	{Name: "rules", Kind: spec.ChoiceDetail, Choices: []string{"ri-barbed", "ri-high-tensile", "ky"}, By: byKind("ri-barbed", "ky", "ri-high-tensile"),
		Doc: "The rule set that spaces line posts.", Source: "DT-11"},
	{Name: "post_spacing", Kind: spec.LengthDetail, Least: "2 ft", By: func(s *spec.Spec) string {
		rule := wirePosts[s.Details["rules"]]
		if s.Details.On("stays") {
			return rule.stayed
		}
		return rule.plain
	}, Doc: "Farthest that line posts are apart, along the grade.", Source: "DT-11"},
	{Name: "stay_spacing", Kind: spec.LengthDetail, Least: "1 ft", By: func(s *spec.Spec) string {
		if half := s.Details.Length("post_spacing") / 2; half > 0 && s.Details.On("stays") {
			return half.String()
		}
		return ""
	}, Doc: "Farthest that stays are from posts and from one another; by default half the posts' spacing.", Source: "DT-11"},
	{Name: "brace_every", Kind: spec.LengthDetail, Least: "20 ft", Most: "5280 ft", By: byKind("1320 ft", "330 ft", "1320 ft"),
		Doc: "Farthest that braced posts are apart along a straight.", Source: "DT-11"},
	{Name: "brace_span", Kind: spec.LengthDetail, Default: "8 ft", Least: "3 ft", Most: "20 ft",
		Doc: "From a braced post to its brace post, and the length of the rail between them.", Source: practice},
	{Name: "brace_size", Kind: spec.SectionDetail, Default: "4rd", Doc: "Section of the brace's rail.", Source: practice},
	{Name: "brace_loops", Kind: spec.CountDetail, Default: "2", Most: "10",
		Doc: "Loops of brace wire from the top of the one post to the foot of the other.", Source: practice},
	{Name: "barbed_roll", Kind: spec.LengthDetail, Default: "1320 ft", Least: "50 ft", Most: "5280 ft",
		Doc: "Length of a roll of barbed wire.", Source: "BOM-4"},
	{Name: "woven_roll", Kind: spec.LengthDetail, Default: "330 ft", Least: "50 ft", Most: "5280 ft",
		Doc: "Length of a roll of woven wire.", Source: practice},
	{Name: "high_tensile_roll", Kind: spec.LengthDetail, Default: "4000 ft", Least: "50 ft", Most: "20000 ft",
		Doc: "Length of a roll of high tensile wire.", Source: practice},
	{Name: "wire_waste", Kind: spec.NumberDetail, Default: "2", Most: "100",
		Doc: "Waste of wire, in percent: what is wrapped around posts and spliced.", Source: practice},
	{Name: "woven_height", Kind: spec.LengthDetail, Least: "1 ft", By: wovenHeight,
		Doc: "Height of woven wire; by default the tallest usual one that the fence has room for.", Source: "common practice, from memory"},
	{Name: "woven_wires", Kind: spec.CountDetail, By: byKind("", "8", ""), Least: "2", Most: "40",
		Doc: "Line wires of the woven wire.", Source: "common practice, from memory"},
	{Name: "woven_fixings", Kind: spec.CountDetail, By: byKind("", "4", ""), Least: "1", Most: "40",
		Doc: "Line wires of the woven wire that are fixed to each line post: every other one.", Source: practice},
	{Name: "end_staples", Kind: spec.CountDetail, Default: "2", Most: "10",
		Doc: "Staples that hold the end of each wire to a braced wood post.", Source: practice},
	{Name: "staples_per_pound", Kind: spec.CountDetail, Default: "70", Least: "1", Most: "1000",
		Doc: "Staples in a pound.", Source: "common practice, from memory"},
}

// wovenHeight is the tallest usual height of woven wire within the fence's.
func wovenHeight(s *spec.Spec) string {
	if s.Details["kind"] != wovenWire {
		return ""
	}
	tallest := "26 in"
	for _, high := range []string{"32 in", "39 in", "47 in"} {
		if s.Height >= measure.Must(high) {
			tallest = high
		}
	}
	return tallest
}

// fillWire: steel T posts on the line, driven, and round wood in tamped soil
// where wires pull. Line posts reach 24 in down [DT-11] and as deep as
// their height asks, the others 36 in (common practice). Pull posts stand where
// the braces of a long straight do.
func fillWire(s *spec.Spec) {
	fillNil(&s.Slope.AlongGrade, true)
	s.Alignment.Rules = cmp.Or(s.Alignment.Rules, "woven-wire")
	s.Alignment.PullSpacing = cmp.Or(s.Alignment.PullSpacing, s.Details.Length("brace_every"))
	s.Layout.MaxBay = cmp.Or(s.Layout.MaxBay, s.Details.Length("post_spacing"))
	s.Layout.Hang = cmp.Or(s.Layout.Hang, spec.Free)
	fillNil(&s.Layout.TerminalLimit, false)
	s.Posts.Size = cmp.Or(s.Posts.Size, "tee")
	s.Posts.TerminalSize = cmp.Or(s.Posts.TerminalSize, "5rd")
	if len(s.Posts.Stock) == 0 {
		for half := measure.Length(10); half <= 24; half++ {
			s.Posts.Stock = append(s.Posts.Stock, half*measure.Foot/2)
		}
	}
	fillNil(&s.Posts.Caps, false)
	s.Concrete.Set = cmp.Or(s.Concrete.Set, spec.NoSet)
	fillNil(&s.Holes.Gravel, 0)
	s.Holes.MinDepth = cmp.Or(s.Holes.MinDepth, 24*measure.Inch)
	s.Holes.TerminalDepth = cmp.Or(s.Holes.TerminalDepth, 36*measure.Inch)
}

func checkWire(s *spec.Spec, v *fault.List) {
	d, at := s.Details, v.At("details")
	kind := d["kind"]
	rule := wirePosts[d["rules"]]
	at.Require(rule.kind == "" || rule.kind == kind, "rules", "%s spaces the posts of %s wire; expected ky or that of %s", d["rules"], rule.kind, kind)
	at.Require(!d.On("stays") || kind != wovenWire, "stays", "woven wire needs no stays; leave them out")
	at.Require(d.Length("post_spacing") > 0 || d.On("stays") && kind == wovenWire, "post_spacing", "%s gives no spacing with stays; expected one, or the rules ky", d["rules"])
	at.Require(d.Count("strands") > 0 || kind == wovenWire, "strands", "expected 1 or more, found 0")
	woven := kind == wovenWire
	for _, name := range []string{"woven_height", "woven_wires", "woven_fixings"} {
		at.Require(woven || d[name] == "", name, "only woven wire has it; leave it out")
	}
	if woven {
		at.Require(d.Length("woven_height") <= s.Height || s.Height <= 0, "woven_height", "%s is more than the fence's height, %s", d.Length("woven_height").Imperial(), s.Height.Imperial())
		at.Require(d.Count("woven_fixings") <= d.Count("woven_wires"), "woven_fixings", "%d is more than the wires there are, %d", d.Count("woven_fixings"), d.Count("woven_wires"))
	}
	post := func(field string, size section.Section, kinds ...section.Kind) {
		v.At("posts").Require(!size.Known() || size.Wood() || slices.Contains(kinds, size.Kind()), field, "wire is stapled to wood, clipped to T posts or tied off around pipe; found %q", size)
	}
	post("size", s.Posts.Size, section.TPost)
	post("terminal_size", s.Posts.TerminalSize, section.Pipe, section.TPost)
	v.At("posts").Require(s.Posts.TerminalSize.Kind() != section.TPost, "terminal_size", "a T post holds no pull; expected wood or pipe such as 5rd")
	checkRacked(s, v, "wire follows the ground")
	goesThrough(s, v)
}
