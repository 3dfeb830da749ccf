package check

import (
	"fmt"

	"wattle/internal/measure"
)

// MaxReveal is how far boards run past the outer rails before they tend to warp
// (common practice).
const MaxReveal = 6 * measure.Inch

// Reveal asks whether boards run further past the top or the bottom rail than
// they should; most is usually MaxReveal.
func Reveal(top, bottom, most measure.Length) Result {
	larger, field := top, "top_reveal"
	if bottom > top {
		larger, field = bottom, "bottom_reveal"
	}
	figures := []Figure{inInches("top reveal", top), inInches("bottom reveal", bottom), inInches("limit", most)}
	if larger <= most {
		return result(BoardReveal, Pass, field, fmt.Sprintf("Boards run at most %s past a rail, within %s.", larger.Inches(3), most.Inches(3)), figures...)
	}
	return result(BoardReveal, Advisory, field, fmt.Sprintf(
		"Boards run %s past a rail, over %s, where nothing holds them flat and they tend to warp.", larger.Inches(3), most.Inches(3)), figures...)
}

// Reused asks about old posts that the job uses again: they are what fails
// first. count below 1 is none.
func Reused(count int) Result {
	if count < 1 {
		return result(ReusedPosts, Pass, "reused_posts", "No old post is used again.")
	}
	return result(ReusedPosts, Advisory, "reused_posts", fmt.Sprintf(
		"Old posts are used again, %d of them, and they are what fails first: look for rot at grade and test each before building on it.", count),
		Figure{Name: "old posts", Value: fmt.Sprint(count)})
}

// Frost asks whether what must stand below frost does: depth is the planned
// depth below grade of the bottom of a post or, where the town measures to the
// top of the footing, of that; of says which. Nil is "not known".
func Frost(of string, depth, frost *measure.Length) Result {
	switch {
	case frost == nil:
		return notKnown(FrostDepth, "frost_depth", "The frost depth of the place")
	case depth == nil:
		return notKnown(FrostDepth, "depth", "The depth of the "+of)
	}
	figures := []Figure{inInches("depth", *depth), inInches("frost depth", *frost)}
	if *depth >= *frost {
		return result(FrostDepth, Pass, "depth", fmt.Sprintf("The %s is %s down, at or below the frost depth of %s.", of, depth.Inches(3), frost.Inches(3)), figures...)
	}
	return result(FrostDepth, Fail, "depth", fmt.Sprintf(
		"The %s is %s down, above the frost depth of %s, where freezing ground can lift it.", of, depth.Inches(3), frost.Inches(3)), figures...)
}

// Span asks whether the longest span of a rail between supports is within what
// the job states for it; nil is "not stated".
func Span(longest measure.Length, most *measure.Length) Result {
	if most == nil {
		return notKnown(RailSpan, "most", "How far the rails may span")
	}
	figures := []Figure{inFeet("span", longest), inFeet("limit", *most)}
	if longest <= *most {
		return result(RailSpan, Pass, "span", fmt.Sprintf("Rails span at most %s, within %s.", longest.Imperial(), most.Imperial()), figures...)
	}
	return result(RailSpan, Fail, "span", fmt.Sprintf("Rails span %s, over the stated %s, and can sag.", longest.Imperial(), most.Imperial()), figures...)
}
