package render

import (
	"slices"
	"strconv"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// bayCuts say what a crew cuts for each bay: rails, boards that lie, a panel;
// nothing where fabric or wire goes on through. What goes over two bays is not
// cut by the bay: posts say where it is joined.
type bayCuts struct {
	spec  spec.Spec
	units Measures
	// name is what is cut, in the plural but for panels; "": nothing.
	name string
	// joined is, by post, which courses meet there, counted from 1 at the foot.
	joined map[int][]int
	// elsewhere: it goes over two bays, and where it is joined is not known here.
	elsewhere bool
}

func cutsOf(s spec.Spec, l *layout.Layout, cuts []takeoff.CutPlan) bayCuts {
	c := bayCuts{spec: s, name: "rails"}
	two := s.Rails.MaxSpan > 1 && s.Layout.Hang == spec.Lapped
	switch s.Family {
	case spec.ChainLink, spec.Wire:
		c.name, two = "", false
	case spec.Panels:
		c.name, two = "panel", false
	case spec.SplitRail:
		two = false
	case spec.HorizontalBoards:
		c.name, two = "boards", s.Details.Count("span") > 1
	default: // upright boards, on rails
	}
	if !two {
		return c
	}
	c.elsewhere = len(cuts) == 0
	c.joined = make(map[int][]int)
	for _, plan := range cuts {
		for _, j := range plan.Joints {
			for _, p := range j.Posts {
				if has(l, p) {
					c.joined[p] = append(c.joined[p], j.Course+1)
				}
			}
		}
	}
	return c
}

// byBay reports whether each bay has what is cut for it alone.
func (c bayCuts) byBay() bool { return c.name != "" && !c.elsewhere && len(c.joined) == 0 }

// of is the length that is cut for a bay, "whole" where nothing comes off, or
// nothing.
func (c bayCuts) of(b layout.Bay) string {
	if !c.byBay() {
		return ""
	}
	cut, whole := b.Rail, measure.Length(0)
	switch c.spec.Family {
	case spec.Panels:
		whole = c.spec.Details.Length("panel_width")
	case spec.SplitRail:
		cut, whole = b.Rail+c.spec.Details.Length("lap"), c.spec.Details.Length("rail_length")
	default: // nothing is bought to a bay's measure
	}
	if whole > 0 && cut+measure.Sixteenth/2 >= whole {
		return "whole"
	}
	return c.units.tape(measure.RoundTo(cut, measure.Sixteenth))
}

// words are what is cut for a bay, after the bay itself: ", rails cut to 7' 11\"".
func (c bayCuts) words(b layout.Bay) string {
	switch of := c.of(b); of {
	case "":
		return ""
	case "whole":
		return ", whole " + c.name
	default:
		return ", " + c.name + " cut to " + of
	}
}

// joint says what meets at a post, where that is not everything.
func (c bayCuts) joint(post int) string {
	courses := c.joined[post]
	if len(courses) == 0 {
		return ""
	}
	slices.Sort(courses)
	courses = slices.Compact(courses)
	words := make([]string, 0, len(courses))
	alternate := len(courses) > 3 // all odd ones, or all even ones, most often
	for i, n := range courses {
		words = append(words, strconv.Itoa(n))
		alternate = alternate && n == courses[0]+2*i
	}
	noun := c.noun()
	switch {
	case len(words) == 1:
		return noun + " " + words[0] + " joined here"
	case alternate:
		return "every other " + noun + ", " + words[0] + " to " + words[len(words)-1] + ", joined here"
	default:
		return noun + "s " + list(words) + " joined here"
	}
}

// noun is what is joined, one of them.
func (c bayCuts) noun() string {
	if c.name == "boards" {
		return "course"
	}
	return "rail"
}

// reading is how cuts over two bays are to be read.
func (c bayCuts) reading() string {
	switch {
	case c.elsewhere:
		return " The cut list tells which " + c.name + " go over two bays."
	case len(c.joined) > 0:
		return " A " + c.noun() + " is joined at the posts that say so, counted from the ground, and goes on past the others; the cut list has the lengths."
	default:
		return ""
	}
}

// head is the head of the column of cuts.
func (c bayCuts) head() [2]string {
	if c.name == "" {
		return [2]string{}
	}
	return [2]string{c.name + " of", "bay cut to"}
}
