package render

import (
	"fmt"
	"strings"

	"wattle/internal/layout"
	"wattle/internal/quote"
	"wattle/internal/spec"
)

// scope is the fence in words, from its spec and layout.
func scope(r quote.Request, q *quote.Quote) string {
	s := r.Spec.WithDefaults()
	var b strings.Builder
	if s.Name != "" {
		b.WriteString(s.Name + ": ")
	}
	fmt.Fprintf(&b, "%s of fence in %s, %s high, %s. ", q.Takeoff.NetLength.Imperial(),
		counted(len(r.Site.Runs), "run"), s.Height.Imperial(), infill(s))
	fmt.Fprintf(&b, "%s (%s) in bays of at most %s, laid out by the %s method. ", counted(len(q.Layout.Posts), "post"),
		postSizes(q.Layout), s.Layout.MaxBay.Imperial(), s.Layout.Method)
	fmt.Fprintf(&b, "Holes %s%s. ", holes(q.Layout), setting(s))
	b.WriteString(gates(q.Layout))
	return b.String()
}

// infill is what hangs between the posts: of upright boards in words, of other
// families their name and particulars.
func infill(s spec.Spec) string {
	var b strings.Builder
	if s.Family == spec.VerticalBoards {
		fmt.Fprintf(&b, "of %s boards fastened upright", s.Boards.Size)
		switch s.Boards.Pattern {
		case spec.BoardOnBoard:
			fmt.Fprintf(&b, ", board on board with an overlap of %s", s.Boards.Overlap.Imperial())
		case spec.ShadowBox:
			fmt.Fprintf(&b, " on alternate sides of the rails, %s between those of one side", s.Boards.Gap.Imperial())
		default:
			if s.Boards.Gap > 0 {
				fmt.Fprintf(&b, " with %s between them", s.Boards.Gap.Imperial())
			}
		}
		fmt.Fprintf(&b, ", %s off the ground, on %s of %s in each bay", s.GroundClearance.Imperial(), counted(s.RailCount(), "rail"), s.Rails.Size)
		return b.String()
	}
	fmt.Fprintf(&b, "%s", strings.ToLower(s.Family.Title()))
	if s.HasBoards() {
		fmt.Fprintf(&b, " of %s", s.Boards.Size)
	}
	if d := s.Family.Definition(); d != nil {
		var all []string
		for _, x := range d.Details {
			if value := s.Details[x.Name]; value != "" && value != "false" {
				all = append(all, strings.ReplaceAll(x.Name, "_", " ")+" "+value)
			}
		}
		if len(all) > 0 {
			fmt.Fprintf(&b, " (%s)", strings.Join(all, ", "))
		}
	}
	return b.String()
}

// postSizes counts the posts of each size: "20 of 4x4 and 4 of 6x6".
func postSizes(l *layout.Layout) string {
	return tallied(l, func(p layout.Post) string { return p.Size.Describe() })
}

// holes counts the holes alike: "20 of 1 ft across and 2 ft 6 in deep".
func holes(l *layout.Layout) string {
	return tallied(l, func(p layout.Post) string {
		return p.Hole.Diameter.Imperial() + " across and " + p.Hole.Depth.Imperial() + " deep"
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

func setting(s spec.Spec) string {
	gravel := ""
	if s.Holes.Gravel != nil && *s.Holes.Gravel > 0 {
		gravel = " over " + s.Holes.Gravel.Imperial() + " of gravel"
	}
	if s.Concrete.Set == spec.Driven {
		return ", driven"
	}
	if s.Concrete.Set == spec.NoSet {
		return ", filled with tamped soil" + gravel
	}
	return fmt.Sprintf(", filled with concrete (%s, bags of %d lb)%s", s.Concrete.Set, s.Concrete.BagPounds, gravel)
}

func gates(l *layout.Layout) string {
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
		each[i] = fmt.Sprintf("%s (%s, %s clear)", o.Gate, kind, o.Clear.Imperial())
	}
	if len(each) == 1 {
		return "Gate " + each[0] + "."
	}
	return fmt.Sprintf("%d gates: %s.", len(each), list(each))
}

// list is "a", "a and b", "a, b and c".
func list(all []string) string {
	if len(all) < 2 {
		return strings.Join(all, "")
	}
	return strings.Join(all[:len(all)-1], ", ") + " and " + all[len(all)-1]
}
