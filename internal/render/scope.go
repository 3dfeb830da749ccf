package render

import (
	"fmt"
	"slices"
	"strings"

	"wattle/internal/layout"
	"wattle/internal/quote"
	"wattle/internal/spec"
)

// scope is the fence in words, from its spec and layout.
func scope(r quote.Request, q *quote.Quote, m Measures) string {
	s := r.Spec.WithDefaults()
	var b strings.Builder
	if s.Name != "" {
		b.WriteString(s.Name + ": ")
	}
	fmt.Fprintf(&b, "%s of fence in %s, %s high, %s. ", m.Words(q.Takeoff.NetLength),
		counted(len(r.Site.Runs), "run"), m.Words(s.Height), infill(s, m.Words))
	b.WriteString(options(s, m))
	fmt.Fprintf(&b, "%s (%s) in bays of at most %s, laid out by the %s method. ", counted(len(q.Layout.Posts), "post"),
		postSizes(q.Layout), m.Words(s.Layout.MaxBay), s.Layout.Method)
	b.WriteString(inGround(q.Layout, s, m))
	b.WriteString(gates(q.Layout, s, m))
	return b.String()
}

// postSizes counts the posts of each size: "20 of 4x4 and 4 of 6x6".
func postSizes(l *layout.Layout) string {
	return tallied(l, func(p layout.Post) string { return p.Size.Describe() })
}

// inGround says how posts are set: in holes, driven, or left where they are.
func inGround(l *layout.Layout, s spec.Spec, m Measures) string {
	var dug, driven layout.Layout
	for _, p := range slices.Concat(l.Posts, rollers(l)) {
		switch {
		case p.Existing:
		case p.Hole.Driven():
			driven.Posts = append(driven.Posts, p)
		default:
			dug.Posts = append(dug.Posts, p)
		}
	}
	words := ""
	if len(dug.Posts) > 0 {
		words = fmt.Sprintf("Holes %s%s. ", holes(&dug, m), setting(s, m))
	}
	if len(driven.Posts) > 0 {
		words += "Driven without holes: " + tallied(&driven, func(p layout.Post) string {
			return p.Size.Describe() + " posts " + m.Words(p.Hole.Depth) + " deep"
		}) + ". "
	}
	if n := kept(l); n > 0 {
		words += counted(n, "old post") + " kept. "
	}
	return words
}

// holes counts the holes alike: "20 of 1 ft across and 2 ft 6 in deep".
func holes(l *layout.Layout, m Measures) string {
	return tallied(l, func(p layout.Post) string {
		return m.Words(p.Hole.Diameter) + " across and " + m.Words(p.Hole.Depth) + " deep"
	})
}

// tallied counts the posts by what name calls them, in order of first
// appearance.
func tallied(l *layout.Layout, name func(layout.Post) string) string {
	var order []string
	count := map[string]int{}
	for _, p := range l.Posts {
		n := name(p)
		if count[n] == 0 {
			order = append(order, n)
		}
		count[n]++
	}
	for i, n := range order {
		order[i] = fmt.Sprint(count[n]) + " of " + n
	}
	return list(order)
}

// setting is what fills the holes.
func setting(s spec.Spec, m Measures) string {
	gravel := ""
	if s.Holes.Gravel != nil && *s.Holes.Gravel > 0 {
		gravel = " over " + m.Words(*s.Holes.Gravel) + " of gravel"
	}
	if !s.Concrete.Set.Poured() {
		return ", filled with tamped soil" + gravel
	}
	return fmt.Sprintf(", filled with concrete (%s, bags of %d lb)%s", s.Concrete.Set, s.Concrete.BagPounds, gravel)
}

// gates are the gates in words, and what their leaves are built of where that is
// not what everybody takes.
func gates(l *layout.Layout, s spec.Spec, m Measures) string {
	if len(l.Openings) == 0 {
		return "No gates."
	}
	each := make([]string, len(l.Openings))
	for i, o := range l.Openings {
		kind := "single"
		if o.Leaves == 2 {
			kind = "double"
		}
		if o.Slides {
			kind = "sliding"
		}
		each[i] = fmt.Sprintf("%s (%s, %s clear)", o.Gate, kind, m.Words(o.Clear))
	}
	words := fmt.Sprintf("%d gates: %s.", len(each), list(each))
	if len(each) == 1 {
		words = "Gate " + each[0] + "."
	}
	switch all := rollers(l); len(all) {
	case 0:
	case 1:
		words += " A roller post (" + all[0].Size.Describe() + ") beside the fence carries the leaf that slides."
	default:
		words += fmt.Sprintf(" %d roller posts (%s) beside the fence carry the leaves that slide.", len(all), postSizes(&layout.Layout{Posts: all}))
	}
	return words + framed(s)
}

// framed says what gate leaves are framed in, where that is not the wood of the
// fence's own rails.
func framed(s spec.Spec) string {
	switch {
	case s.Gates.Frame == spec.WoodFrame:
		return ""
	case s.Family == spec.Wire:
		return " The leaves are tube gates, bought whole."
	case s.Gates.Frame == spec.MeshFrame:
		return " The leaves are frames of " + s.Gates.FrameSize.Describe() + " with chain link fabric."
	default:
		return " The leaves are welded steel frames of " + s.Gates.FrameSize.Describe() + ", filled like the fence."
	}
}

// list is "a", "a and b", "a, b and c".
func list(all []string) string {
	if len(all) < 2 {
		return strings.Join(all, "")
	}
	return strings.Join(all[:len(all)-1], ", ") + " and " + all[len(all)-1]
}
