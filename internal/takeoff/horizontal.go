package takeoff

import (
	"cmp"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// horizontalBoards lie from post to post, in courses one over the other.
//
//	[P]=======================[P]==========     course 2 of boards over two bays
//	[P]===========[P]======================     course 1, its joints staggered
var _ = define(family{
	Definition: spec.Definition{
		Family: spec.HorizontalBoards, Title: "Horizontal boards", Boards: true,
		Details: horizontalDetails, Fill: fillHorizontal, Check: checkHorizontal,
		Heights: []string{"4 ft", "6 ft"},
		Source:  "common practice",
	},
	count: countHorizontal, rules: horizontalRules,
})

// widestHorizontal is the widest bay of boards that nothing holds between their
// posts (common practice).
const widestHorizontal = 6 * measure.Foot

var horizontalDetails = []spec.Detail{
	{Name: "span", Kind: spec.CountDetail, Default: "1", Least: "1", Most: "2",
		Doc: "Bays that one board spans at most; with 2, joints are staggered from course to course.", Source: practice},
	{Name: "rip_top", Kind: spec.SwitchDetail, Default: "false",
		Doc: "What is left over the whole courses takes a ripped one, where that is no narrower than the least rip.", Source: practice},
	{Name: "stock_1", Kind: spec.LengthDetail, Default: "8 ft", Doc: "A length that boards are bought in; 0: none.", Source: practice},
	{Name: "stock_2", Kind: spec.LengthDetail, Default: "12 ft", Doc: "A second length; 0: none.", Source: practice},
	{Name: "stock_3", Kind: spec.LengthDetail, Default: "16 ft", Doc: "A third length; 0: none.", Source: practice},
}

var boardStockDetails = []string{"stock_1", "stock_2", "stock_3"}

// boardStocks are the lengths that boards are cut from, ascending, of a family
// whose details name them. Boards.Stock is for upright boards that are bought one
// by one.
func boardStocks(s *spec.Spec) []measure.Length {
	var all []measure.Length
	for _, name := range boardStockDetails {
		if l := s.Details.Length(name); l > 0 {
			all = append(all, l)
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// fillHorizontal: bays of at most 6 ft, from whose terminal posts' outer edges a
// board of the shortest stock that spans one still reaches.
func fillHorizontal(s *spec.Spec) {
	s.Layout.MaxBay = cmp.Or(s.Layout.MaxBay, widestHorizontal)
	if s.Layout.RailStock == 0 {
		for _, stock := range boardStocks(s) {
			if stock >= s.Layout.MaxBay && s.Layout.RailStock == 0 {
				s.Layout.RailStock = stock
			}
		}
	}
	s.Slope.Fill = cmp.Or(s.Slope.Fill, spec.LeaveOpen)
}

func checkHorizontal(s *spec.Spec, v *fault.List) {
	hung, boards := v.At("layout"), v.At("boards")
	hung.Require(s.Layout.MaxBay <= widestHorizontal, "max_bay", "boards that lie from post to post sag over more than %s; found %s",
		widestHorizontal.Imperial(), s.Layout.MaxBay.Imperial())
	hung.Require(s.Layout.Hang == spec.Lapped, "hang", "boards lap the faces of their posts; expected %s, found %s", spec.Lapped, s.Layout.Hang)
	switch stocks := boardStocks(s); {
	case len(stocks) == 0:
		v.At("details").Add("stock_1", "expected a length that boards are bought in, found none")
	default:
		longest := stocks[len(stocks)-1]
		v.At("details").Require(longest >= s.Layout.MaxBay, "stock_1", "no board reaches over a bay of %s; the longest is %s",
			s.Layout.MaxBay.Imperial(), longest.Imperial())
		hung.Require(s.Layout.RailStock <= longest, "rail_stock", "expected at most the longest board, %s, found %s", longest.Imperial(), s.Layout.RailStock.Imperial())
	}
	for _, name := range boardStockDetails {
		stock := s.Details.Length(name)
		v.At("details").Require(stock == 0 || stock >= value(s.Layout.MinBay), name, "no board is cut from %s: the narrowest bay is %s",
			stock.Imperial(), value(s.Layout.MinBay).Imperial())
	}
	one := s.Boards.Pattern == spec.SideBySide || s.Boards.Pattern == spec.Spaced
	boards.Require(one, "pattern", "boards that lie are in one row; expected %s or %s, found %s", spec.SideBySide, spec.Spaced, s.Boards.Pattern)
	boards.Require(s.Boards.MaxGap == 0, "max_gap", "courses keep their gap; leave it out")
	if boards.Require(s.Boards.Width >= measure.Inch, "width", "expected boards of an inch or more, found %s", s.Boards.Width.Imperial()) && s.Height > 0 {
		boards.Require(s.BoardLength() >= s.Boards.Width, "width", "no course of %s fits into %s (height less ground clearance)",
			s.Boards.Width.Imperial(), s.BoardLength().Imperial())
	}
	checkNoFill(s, v, "boards that lie are not lengthened to the ground")
}

// coursing is how courses share the height.
//
//	 ------      Open, or a course ripped to Rip
//	|######|
//	|------|     gap
//	|######|     a whole course
type coursing struct {
	whole int
	rip   measure.Length // of one more; 0: none
	open  measure.Length // left at the top
	// narrow is the rip that was asked for and is under the least.
	narrow measure.Length
}

// all is the number of courses, the ripped one too.
func (c coursing) all() int {
	if c.rip > 0 {
		return c.whole + 1
	}
	return c.whole
}

// coursesOf: floor((H + g)/(b + g)) whole ones, and where asked the rest ripped
// into one more.
func coursesOf(s *spec.Spec) coursing {
	high, gap := s.BoardLength(), s.Boards.Gap
	pitch := s.Boards.Width + gap
	n := (high + gap) / pitch
	c := coursing{whole: int(n), open: high + gap - n*pitch}
	if rip := c.open - gap; s.Details.On("rip_top") && rip > 0 {
		if rip < value(s.Boards.MinRip) {
			c.narrow = rip
		} else {
			c.rip, c.open = rip, 0
		}
	}
	return c
}
