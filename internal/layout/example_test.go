package layout_test

import (
	"fmt"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// A back yard of two fenced sides that starts at the house wall: boards on the
// outside, a walk gate of 3 ft 6 in.
//
//	=house=
//	   |
//	   |  20 ft
//	   |
//	   +-----[gate]-----------  30 ft
//	          10 ft along
func ExamplePlan() {
	feet := func(east, north measure.Length) measure.Point {
		return measure.Point{East: east * measure.Foot, North: north * measure.Foot}
	}
	yard := site.Run{
		ID:       "yard",
		Vertices: []measure.Point{feet(0, 20), feet(0, 0), feet(30, 0)},
		Start:    site.Terminus{TieIn: true, WallGap: measure.Must("1/2 in")},
		Face:     site.Right,
		Gates:    []site.Gate{{ID: "walk", Station: measure.Must("30 ft"), Width: measure.Must("3 ft 6 in"), Leaves: 1}},
	}
	l, err := layout.Plan(site.Site{Runs: []site.Run{yard}}, spec.Spec{Height: 6 * measure.Foot})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range l.Posts {
		fmt.Printf("%-3s %-15s %s %-10s %-5s in %s x %s\n", p.ID, p.Visits[0].Station.Imperial(), p.Size, p.Role, p.Stock, p.Hole.Diameter, p.Hole.Depth)
	}
	for _, b := range l.Bays {
		fmt.Printf("%s-%s %s, rails %s\n", l.Posts[b.Start].ID, l.Posts[b.End].ID, b.Printed, b.Rail.Imperial())
	}
	for _, o := range l.Openings {
		fmt.Printf("gate %s: %s clear, posts %s apart, leaf %s\n", o.Gate, o.Clear, o.Span, o.LeafWidth)
	}
	for _, c := range l.Cautions {
		fmt.Println(c.Text)
	}
	// Output:
	// P1  2-1/4 in        4x4 tie-in     8 ft  in 1 ft x 2 ft 6 in
	// P2  6 ft 9-1/2 in   4x4 line       8 ft  in 1 ft x 2 ft 6 in
	// P3  13 ft 4-3/4 in  4x4 line       8 ft  in 1 ft x 2 ft 6 in
	// P4  20 ft           4x4 corner     8 ft  in 1 ft x 2 ft 6 in
	// P5  24 ft 11-1/8 in 4x4 line       8 ft  in 1 ft x 2 ft 6 in
	// P6  29 ft 10-1/4 in 4x4 gate hinge 10 ft in 1 ft x 3 ft
	// P7  33 ft 7-3/4 in  4x4 gate latch 10 ft in 1 ft x 3 ft
	// P8  39 ft 1-3/16 in 4x4 line       8 ft  in 1 ft x 2 ft 6 in
	// P9  44 ft 6-9/16 in 4x4 line       8 ft  in 1 ft x 2 ft 6 in
	// P10 50 ft           4x4 end        8 ft  in 1 ft x 2 ft 6 in
	// P1-P2 6 ft 7-1/4 in, rails 6 ft 9 in
	// P2-P3 6 ft 7-1/4 in, rails 6 ft 7-1/4 in
	// P3-P4 6 ft 7-1/4 in, rails 6 ft 10-1/2 in
	// P4-P5 4 ft 11-1/8 in, rails 5 ft 0-7/8 in
	// P5-P6 4 ft 11-1/8 in, rails 5 ft 0-7/8 in
	// P7-P8 5 ft 5-7/16 in, rails 5 ft 7-3/16 in
	// P8-P9 5 ft 5-3/8 in, rails 5 ft 5-7/16 in
	// P9-P10 5 ft 5-7/16 in, rails 5 ft 7-3/16 in
	// gate walk: 3 ft 6 in clear, posts 3 ft 9-1/2 in apart, leaf 3 ft 5 in
	// Gate posts stand in holes of 3 ft, so they need 8 ft 6 in and are bought at 10 ft instead of 8 ft.
}
