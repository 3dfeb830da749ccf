package render

import (
	"fmt"
	"slices"
	"strings"

	"wattle/internal/layout"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// crewCaution stands at the head of every crew sheet.
const crewCaution = "Have utilities located before digging. Local codes and licensed people decide. " +
	"Check every dimension on site before digging and cutting."

// crewReading says how the figures of a crew sheet are to be read.
func crewReading(m Measures) string {
	if m == MetricMeasures || m == BothMeasures {
		return crewFigures + " All to " + m.finest() + ", each rounded by itself."
	}
	return crewFigures + " All to 1/16\"."
}

const crewFigures = "Stations run along the line of post centres from the start of the run, the wall face where it is tied in. Bays are on centre; back and on are along the run, " +
	"to the fixed post before and after. Hole depth is to the bottom, gravel included."

// crewSpec is what is built, in a line; what the spec leaves open is left out.
func crewSpec(s spec.Spec, m Measures) string {
	s = s.WithDefaults()
	var parts []string
	add := func(format string, args ...any) { parts = append(parts, fmt.Sprintf(format, args...)) }
	if s.Height > 0 {
		add("%s high", m.tape(s.Height))
	}
	add("%s posts", s.Posts.Size.Describe())
	if t := s.Posts.TerminalSize; t != s.Posts.Size && t != "" {
		add("terminal ones %s", t.Describe())
	}
	if s.Family == spec.VerticalBoards {
		if n := s.RailCount(); n > 0 {
			add("%s of %s", counted(n, "rail"), s.Rails.Size)
		}
		add("%s boards%s %s off the ground", s.Boards.Size, boardPattern(s.Boards, m.tape), m.tape(*s.GroundClearance))
	} else {
		add("%s", strings.TrimPrefix(infill(s, m.tape), "of "))
	}
	add("bays of at most %s, %s", m.tape(s.Layout.MaxBay), s.Layout.Method)
	switch s.Concrete.Set {
	case spec.NoSet:
		add("tamped soil, no concrete")
	case spec.Driven:
		add("posts driven, no holes")
	default:
		add("concrete %s", s.Concrete.Set)
	}
	return plain(joinedBy(s.Name, ": ", strings.Join(parts, ", ")) + ".")
}

// crewTotals counts what the sheet lists.
func crewTotals(st site.Site, l *layout.Layout) string {
	words := counted(len(st.Runs), "run") + ", " + counted(len(l.Posts), "post")
	if n := len(rollers(l)); n > 0 {
		words += ", " + counted(n, "roller post")
	}
	if n := len(l.Openings); n > 0 {
		words += ", " + counted(n, "gate")
	}
	if n := len(l.Barred); n > 0 {
		words += ", " + counted(n, "keep-out")
	}
	return words + ". A post that several runs share is listed at each, and set once."
}

// crewTallies are the posts to bring and the holes to dig, those of roller posts
// too, each as "3 of ...", in the order in which they come first.
func crewTallies(l *layout.Layout, m Measures) []string {
	var set, dug, driven []layout.Post
	for _, p := range slices.Concat(l.Posts, rollers(l)) {
		switch {
		case p.Existing:
			continue
		case p.Hole.Driven():
			driven = append(driven, p)
		default:
			dug = append(dug, p)
		}
		set = append(set, p)
	}
	var lines []string
	add := func(name string, tallied []string) {
		if len(tallied) > 0 {
			lines = append(lines, name+": "+strings.Join(tallied, "; ")+".")
		}
	}
	posts := tally(set, func(p layout.Post) string { return plain(p.Size.Describe()) + ", " + m.tape(p.Stock) })
	if n := kept(l); n > 0 {
		posts = append(posts, fmt.Sprintf("%d existing, kept", n))
	}
	add("Posts", posts)
	add("Holes", tally(dug, func(p layout.Post) string {
		words := m.tape(p.Hole.Diameter) + " x " + m.tape(p.Hole.Depth)
		if p.Hole.Gravel > 0 {
			words += " with " + m.tape(p.Hole.Gravel) + " gravel"
		}
		return words
	}))
	add("Driven", tally(driven, func(p layout.Post) string { return plain(p.Size.Describe()) + " to " + m.tape(p.Hole.Depth) }))
	return lines
}

// tally counts the posts by what name calls them, in order of first appearance.
func tally(posts []layout.Post, name func(layout.Post) string) []string {
	var order []string
	count := map[string]int{}
	for _, p := range posts {
		n := name(p)
		if count[n]++; count[n] == 1 {
			order = append(order, n)
		}
	}
	for i, n := range order {
		order[i] = fmt.Sprintf("%d of %s", count[n], n)
	}
	return order
}

func crewTitle(o CrewOptions) string {
	if t := strings.TrimSpace(plain(o.Title)); t != "" {
		return t
	}
	return "Crew sheet"
}
