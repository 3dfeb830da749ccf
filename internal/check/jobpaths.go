package check

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// requestPaths are, for each code, the paths of the request that stand for the
// fields of the check's own input; "" for the whole of it, and for any that is
// not listed.
var requestPaths = map[string]map[string]string{
	WindLoad: {
		"": "site.conditions.wind", "speed": "site.conditions.wind.speed", "exposure": "site.conditions.wind.exposure",
		"kzt": "site.conditions.wind.topography", "kz": "spec.height", "solid": "spec.family",
	},
	WindFlatRule:          {"": "site.conditions.wind.flat"},
	PostSpacingHighWind:   {"": "spec.layout.max_bay", "height": "spec.height"},
	FootingEmbedment:      {"": "spec.holes", "load": "site.conditions.wind", "soil": "site.conditions.soil_class", "depth": "spec.holes.min_depth"},
	FootingEmbedmentFixed: {"": "site.conditions.footing.fixed_s1", "load": "site.conditions.wind", "depth": "spec.holes.min_depth"},
	PostBending:           {"": "spec.posts.size", "fb": "site.conditions.post_strength"},
	PostChoice:            {"": "spec.posts.size"},

	PoolHeight:       {"": "spec.height"},
	PoolGapGrade:     {"": "site.conditions.pool.bottom_gap"},
	PoolGapDeck:      {"": "site.conditions.pool.bottom_gap", "has_deck": "site.conditions.pool.over_deck"},
	PoolOpening:      {"": "site.conditions.pool.largest_gap"},
	PoolRailsSide:    {"": "site.conditions.pool.rails_inside", "rail_spacing": "site.conditions.pool.rails_apart"},
	PoolVerticalGap:  {"": "site.conditions.pool.largest_gap", "rail_spacing": "site.conditions.pool.rails_apart"},
	PoolMesh:         {"": "site.conditions.pool.mesh", "slatted": "site.conditions.pool.slatted", "chain_link": "spec.family"},
	PoolGateOutward:  {"": "site.conditions.pool.opens_outward", "has_gate": "site.runs"},
	PoolGateClosing:  {"": "site.conditions.pool.self_closing", "has_gate": "site.runs"},
	PoolGateLatching: {"": "site.conditions.pool.self_latching", "has_gate": "site.runs"},
	PoolLatchSide:    latchPaths("latch_inside"),
	PoolLatchBelow:   latchPaths("latch_below_top"),
	PoolLatchShield:  latchPaths("latch_opening"),

	YardHeight:    {"": "site.conditions.yard", "height": "site.conditions.yard.max_height", "yard": "site.conditions.yard.max_height"},
	SightTriangle: {"": sightPath(0)},
	PermitHeight:  {"": "site.conditions.yard.permit_over"},
	DigNotice:     {"": "site.conditions.notice", "rule": "site.conditions.notice.rule"},
	BoardReveal:   {"": "spec.rails.top_reveal", "bottom_reveal": "spec.rails.bottom_reveal"},
	ReusedPosts:   {"": "site.runs"},
	FrostDepth:    {"": "spec.holes.frost_depth"},
	RailSpan:      {"": "site.conditions.rail_span"},
}

func latchPaths(own string) map[string]string {
	const pool = "site.conditions.pool."
	return map[string]string{"": pool + own, "latch_height": pool + "latch_height", "has_gate": "site.runs"}
}

func sightPath(i int) string { return fmt.Sprintf("site.conditions.sights[%d].max_height", i) }

// requestPath is the path of the request for a field of a check's own input:
// what stands after the last dot, and nothing of one that counts.
func requestPath(code, field string) string {
	own := field[strings.LastIndex(field, ".")+1:]
	if path, known := requestPaths[code][own]; known {
		return path
	}
	return requestPaths[code][""]
}

// RequestPaths are the paths of a request that results of Job can be under,
// sorted; the index of a sight triangle is that of the request.
func RequestPaths() []string {
	var all []string
	for _, paths := range requestPaths {
		all = slices.AppendSeq(all, maps.Values(paths))
	}
	slices.Sort(all)
	return slices.Compact(all)
}
