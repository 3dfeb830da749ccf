package check

import "slices"

// The codes of results, in the order of Codes.
const (
	FootingEmbedment      = "footing-embedment"
	FootingEmbedmentFixed = "footing-embedment-fixed"
	WindLoad              = "wind-load"
	WindFlatRule          = "wind-flat-rule"
	PostSpacingHighWind   = "post-spacing-high-wind"
	PostBending           = "post-bending"
	PostChoice            = "post-choice"

	PoolHeight       = "pool-height"
	PoolGapGrade     = "pool-gap-grade"
	PoolGapDeck      = "pool-gap-deck"
	PoolOpening      = "pool-opening"
	PoolRailsSide    = "pool-rails-side"
	PoolVerticalGap  = "pool-vertical-gap"
	PoolMesh         = "pool-mesh"
	PoolGateOutward  = "pool-gate-outward"
	PoolGateClosing  = "pool-gate-closing"
	PoolGateLatching = "pool-gate-latching"
	PoolLatchSide    = "pool-latch-side"
	PoolLatchBelow   = "pool-latch-below"
	PoolLatchShield  = "pool-latch-shield"

	YardHeight    = "yard-height"
	SightTriangle = "sight-triangle"
	PermitHeight  = "permit-height"
	DigNotice     = "dig-notice"
	BoardReveal   = "board-reveal"
	ReusedPosts   = "reused-posts"
	FrostDepth    = "frost-depth"
	RailSpan      = "rail-span"
)

// Who decides, in the sentence that ends every result's text.
const (
	engineerDecides = "Advisory only: the building official, or a licensed engineer, decides."
	poolDecides     = "Advisory only: the pool code official decides."
	townDecides     = "Advisory only: the town's zoning or building official decides."
	locatorDecides  = "Advisory only: the locating service decides."
)

// Code is what every result of one code has in common. Source and Edition are
// where the rule was read; a result whose figures come from a table of data
// names that table's instead.
type Code struct{ Code, Title, Source, Edition, Decides string }

const (
	poolSource  = "pool barrier limits as towns publish them"
	poolEdition = "towns differ"
	practice    = "common practice"
)

// codes is the one table of them.
var codes = []Code{
	{FootingEmbedment, "Footing embedment, bearing read at a third of the depth", "IBC 1807.3.2.1 and Table 1806.2", "2012", engineerDecides},
	{FootingEmbedmentFixed, "Footing embedment, one fixed bearing", "IBC 1807.3.2.1, bearing as stated by the job", "2012", engineerDecides},
	{WindLoad, "Wind on a bay", "ASCE 7-10 Table 29.3-1 as copied; force coefficient as CIRSOC 102 transcribes figure 29.3-1", "ASCE 7-10; after ASCE 7-16", engineerDecides},
	{WindFlatRule, "Wind on a bay by a town's flat rule", "a flat rule stated by the job", "as stated", engineerDecides},
	{PostSpacingHighWind, "Spacing of 4x4 posts in high-wind counties", "newspaper reports only", "not seen in a code", engineerDecides},
	{PostBending, "Bending of a post at grade", "NDS Table 2.3.2 for the load duration of wind; section modulus b d^2/6", "2018", engineerDecides},
	{PostChoice, "The least post that carries the wind", "NDS Table 2.3.2 for the load duration of wind; section modulus b d^2/6", "2018", engineerDecides},

	{PoolHeight, "Pool barrier: height", poolSource, poolEdition, poolDecides},
	{PoolGapGrade, "Pool barrier: gap over grade", poolSource, poolEdition, poolDecides},
	{PoolGapDeck, "Pool barrier: gap over a solid deck", poolSource, poolEdition, poolDecides},
	{PoolOpening, "Pool barrier: no sphere passes", poolSource, poolEdition, poolDecides},
	{PoolRailsSide, "Pool barrier: side of close rails", poolSource, poolEdition, poolDecides},
	{PoolVerticalGap, "Pool barrier: gaps between uprights", poolSource, poolEdition, poolDecides},
	{PoolMesh, "Pool barrier: chain-link mesh", "CPSC 362 and the old IRC Appendix G", poolEdition, poolDecides},
	{PoolGateOutward, "Pool gate: opens away from the pool", poolSource, poolEdition, poolDecides},
	{PoolGateClosing, "Pool gate: closes by itself", poolSource, poolEdition, poolDecides},
	{PoolGateLatching, "Pool gate: latches by itself", poolSource, poolEdition, poolDecides},
	{PoolLatchSide, "Pool gate: side of a low latch release", poolSource, poolEdition, poolDecides},
	{PoolLatchBelow, "Pool gate: low latch release below the top", poolSource, poolEdition, poolDecides},
	{PoolLatchShield, "Pool gate: openings near a low latch release", poolSource, poolEdition, poolDecides},

	{YardHeight, "Height in its yard", "yard limits stated by the job", "as stated", townDecides},
	{SightTriangle, "Height in a sight triangle", "sight triangles stated by the job", "as stated", townDecides},
	{PermitHeight, "Height over which a permit is needed", "IRC R105.2", "2015", townDecides},
	{DigNotice, "Notice before digging", "a notice rule stated by the job", "as stated", locatorDecides},
	{BoardReveal, "Boards past the outer rails", practice, practice, engineerDecides},
	{ReusedPosts, "Old posts used again", practice, practice, engineerDecides},
	{FrostDepth, "Posts and frost", "frost depth stated by the job", "as stated", engineerDecides},
	{RailSpan, "Span of rails", "span limit stated by the job", "as stated", engineerDecides},
}

// Codes is every code with its title and where its rule was read. The slice is
// the caller's own.
func Codes() []Code { return slices.Clone(codes) }

// codeNamed is a code's row; a code outside the table has an empty one, which a
// test over all results would show.
func codeNamed(code string) Code {
	for _, row := range codes {
		if row.Code == code {
			return row
		}
	}
	return Code{}
}
