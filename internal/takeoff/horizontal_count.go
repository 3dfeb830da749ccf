package takeoff

import (
	"fmt"
	"slices"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// reaches is what a board runs over from post centre to post centre and past
// them.
const reaches = "{on centre} on centre" +
	"[ + {start edge} to the outer edge of the start post][ + {start corner} over the other leg's edge at the start]" +
	"[ - {start inside corner} for the inside corner at the start][ + {start wall} to the wall at the start]" +
	"[ + {finish edge} to the outer edge of the finish post][ + {finish corner} over the other leg's edge at the finish]" +
	"[ - {finish inside corner} for the inside corner at the finish][ + {finish wall} to the wall at the finish]"

var horizontalRules = []rule{
	{"horizontal.height", practice, "{height} of height - {ground clearance} of ground clearance[ - {lattice} of lattice]"},
	{"horizontal.courses", practice, "{height} / {board} a course"},
	{"horizontal.spaced-courses", practice, "({height} + {gap} gap) / ({board} board + {gap} gap)"},
	{"horizontal.rip", practice, "{rest} is left over {courses}, so one more is ripped to {result}[, {gap} over it]"},
	{"horizontal.open", practice, "{result} is left open over {courses}[, since a course ripped to {rip} would be under {least rip}]"},
	{"horizontal.stretch", practice, "{courses} x {bays}, a board in each"},
	{"horizontal.staggered", practice, "{early courses} x {early}[ + {late courses} x {late}], joints staggered"},
	{"horizontal.sum", practice, "{+}"},
	{"horizontal.board", practice, reaches},
	{"horizontal.slope-board", practice, "(" + reaches + ") x square root of (1 + ({rise!} / {on centre!})^2)"},
	{"horizontal.other-boards", practice, "each length listed with the cut plan"},
	{"horizontal.crossings", practice, "{one} over one bay x 2 posts[ + {two} over two bays x 3 posts]"},
	{"horizontal.on-wood", practice, "{all} - {metal} that are not of wood"},
	{"horizontal.nails", practice, "{crossings} x {nails}"},
	{"horizontal.screws", practice, "{crossings} of posts that are not of wood x {screws}"},
}

// countHorizontal: boards of every course over every bay, or where that is no
// dearer over two, cut from the stocks by one plan.
func countHorizontal(g *gathered) {
	s := g.s
	if s.Boards.Width <= 0 || s.Boards.Gap < 0 || s.BoardLength() < s.Boards.Width {
		g.wrong.Add("spec.boards", "expected boards of which a course fits into %s, found %s with a gap of %s", s.BoardLength(), s.Boards.Width, s.Boards.Gap)
		return
	}
	c := coursesOf(s)
	stocks := boardStocks(s)
	f := sticks{use: "boards " + string(s.Boards.Size), longer: "board", stock: stocks, field: "spec.details.stock_1", waste: s.Waste.Boards,
		item: func(stock measure.Length) item { return boardItem(s.Boards.Size, stock) }}
	one := lying{gathered: g, coursing: c, stocks: stocks}
	f.way = one.way("over one bay each")
	f.steps = slices.Concat(g.movement("the courses of a bay", c.all(), s.Boards.Gap), f.steps)
	if s.Details.Count("span") > 1 {
		f.others = func(longest measure.Length) []way {
			first := lying{gathered: g, coursing: c, stocks: stocks, longest: longest}
			ways := []way{first.way("over two bays, the lowest from the first of them")}
			if c.all() > 1 {
				second := lying{gathered: g, coursing: c, stocks: stocks, longest: longest, late: 1}
				ways = append(ways, second.way("over two bays, the lowest after one bay"))
			}
			if first.two == 0 {
				return nil
			}
			return ways
		}
	}
	g.cut(f)
	if c.rip > 0 {
		g.cautions = append(g.cautions, layout.Caution{Code: "ripped-boards", Text: "The top course is ripped to " + c.rip.Imperial() + "."})
	}
	if c.open >= openTop {
		g.cautions = append(g.cautions, layout.Caution{Code: "courses-end-low", Field: "spec.details.rip_top",
			Text: fmt.Sprintf("Whole courses end %s below the height of %s; rip_top fills that with a ripped one.", c.open.Imperial(), s.Height.Imperial())})
	}
}

// openTop is how far below the fence's height courses may end without a word
// (common practice).
const openTop = measure.Inch * 3 / 2

// steps are how the courses were counted.
func (c coursing) steps(s *spec.Spec) []Step {
	high, gap := s.BoardLength(), s.Boards.Gap
	counted := step("horizontal.courses", "", length("height", high), length("board", s.Boards.Width))
	if gap > 0 {
		counted = step("horizontal.spaced-courses", "", length("height", high), length("board", s.Boards.Width), length("gap", gap))
	}
	steps := []Step{
		step("horizontal.height", "", optional([]Input{length("height", s.Height), length("ground clearance", value(s.GroundClearance))}, "lattice", s.Extras.Lattice)...).
			exactly(lengthText(high)),
		counted.rounded(amount(quotient(high+gap, s.Boards.Width+gap), "course"), "rounded down to whole courses", amountOf(c.whole, "course")),
	}
	courses := count("courses", c.whole, "course")
	switch {
	case c.rip > 0:
		steps = append(steps, step("horizontal.rip", "", optional([]Input{courses, length("rest", c.rip+gap)}, "gap", gap)...).exactly(lengthText(c.rip)))
	case c.narrow > 0:
		steps = append(steps, step("horizontal.open", "", courses, length("rip", c.narrow), length("least rip", value(s.Boards.MinRip))).exactly(lengthText(c.open)))
	case c.open > 0:
		steps = append(steps, step("horizontal.open", "", courses).exactly(lengthText(c.open)))
	}
	return steps
}
