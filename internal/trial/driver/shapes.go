package driver

import (
	"fmt"

	wattlev1 "wattle/api/wattle/v1"
)

// shape is what a quote is for.
type shape struct {
	site *wattlev1.Site
	spec *wattlev1.Spec
}

// shapes are from a few feet to a few hundred, of three families.
var shapes = []shape{
	{line(24), &wattlev1.Spec{Height: "6 ft"}},
	{yard(66, 44), &wattlev1.Spec{Height: "6 ft"}},
	{line(180), &wattlev1.Spec{Family: "chain-link", Height: "6 ft"}},
	{line(96), &wattlev1.Spec{Family: "horizontal-boards", Height: "6 ft"}},
	{yard(120, 80), &wattlev1.Spec{Height: "6 ft"}},
	{line(400), &wattlev1.Spec{Height: "6 ft"}},
}

func vertex(east, north int) *wattlev1.Vertex {
	return &wattlev1.Vertex{East: fmt.Sprintf("%d ft", east), North: fmt.Sprintf("%d ft", north)}
}

// line is one straight run, in feet.
func line(length int) *wattlev1.Site {
	return &wattlev1.Site{Runs: []*wattlev1.Run{{Id: "line", Vertices: []*wattlev1.Vertex{vertex(0, 0), vertex(length, 0)}}}}
}

// yard is three sides from the house and back, with a gate, in feet.
func yard(width, depth int) *wattlev1.Site {
	return &wattlev1.Site{Runs: []*wattlev1.Run{{
		Id:       "yard",
		Vertices: []*wattlev1.Vertex{vertex(0, 0), vertex(0, -depth), vertex(width, -depth), vertex(width, 0)},
		Start:    &wattlev1.Terminus{TieIn: true}, End: &wattlev1.Terminus{TieIn: true},
		Gates: []*wattlev1.Gate{{Id: "walk", Station: "12 ft", Width: "4 ft", Leaves: 1}},
	}}}
}
