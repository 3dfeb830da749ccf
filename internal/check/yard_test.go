package check_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/check"
	"wattle/internal/measure"
)

// The limits are an invented town's.
func TestYards(t *testing.T) {
	y := check.Yards{
		Limits: []check.YardLimit{{Yard: "front", Most: must("4 ft"), Source: "the town's zoning code", Edition: "2025"}, {Yard: "rear", Most: must("6 ft")}},
		Fences: []check.YardFence{
			{"front", long("4 ft")}, {"front", long("4 ft 1 in")}, {"rear", long("6 ft")},
			{"side", long("3 ft")}, {"", long("3 ft")}, {"rear", nil},
		},
	}
	results, err := y.Check()
	if err != nil || len(results) != 6 {
		t.Fatalf("%+v, %v", results, err)
	}
	sound(t, results...)
	const lacks = check.NotEnoughData
	for i, want := range []check.Outcome{check.Pass, check.Fail, check.Pass, lacks, lacks, lacks} {
		if results[i].Outcome != want || !strings.HasPrefix(results[i].Field, "fences["+string(rune('0'+i))+"]") {
			t.Errorf("%+v: %+v", y.Fences[i], results[i])
		}
	}
	if results[0].Source != "the town's zoning code" || results[2].Source != "yard limits stated by the job" {
		t.Errorf("sources %q and %q", results[0].Source, results[2].Source)
	}
	_, err = check.Yards{
		Limits: []check.YardLimit{{Yard: "", Most: 0}, {Yard: "a", Most: 1}, {Yard: "a", Most: 1}}, Fences: []check.YardFence{{Height: new(measure.Length(0))}},
	}.Check()
	if got := fields(err); got != "limits[0].yard limits[0].most limits[2].yard fences[0].height" {
		t.Errorf("violations of %s", got)
	}
}

// PZ-1: IRC 2015 R105.2, up to 7 ft; many towns 6 ft.
func TestPermit(t *testing.T) {
	town := &check.PermitLimit{UpTo: must("6 ft"), Source: "the town's building code", Edition: "2025"}
	for _, c := range []struct {
		height string
		town   *check.PermitLimit
		want   check.Outcome
		says   string
	}{
		{"7 ft", nil, check.Advisory, "many towns tighten to 6 ft, asks for no permit; the limit is 7 ft"},
		{"7 ft 1/16 in", nil, check.Advisory, "asks for a permit; the limit is 7 ft"},
		{"6 ft", town, check.Pass, "the town asks for no permit; the limit is 6 ft"},
		{"6 ft 1 in", town, check.Advisory, "the town asks for a permit"},
	} {
		r, err := check.Permit{Height: must(c.height), Town: c.town}.Check()
		if err != nil || r.Outcome != c.want || !strings.Contains(r.Text, c.says) {
			t.Errorf("%s: %+v, %v; want %s, %q", c.height, r, err, c.want, c.says)
		}
		sound(t, r)
		if source := "IRC R105.2"; c.town == nil && (r.Source != source || r.Edition != "2015") {
			t.Errorf("%+v is not from the %s", r, source)
		}
	}
	_, err := check.Permit{Town: &check.PermitLimit{UpTo: -1}}.Check()
	if got := fields(err); got != "height town.up_to town.source" {
		t.Errorf("violations of %s", got)
	}
}

// A street corner at the origin, the view kept free 25 ft along both streets:
//
//	N
//	25 .
//	   |   .      c
//	 a |  b    .
//	 0 +---------- . 25  E
func TestSights(t *testing.T) {
	at := func(east, north string) measure.Point { return measure.Point{East: must(east), North: must(north)} }
	corner := check.Sight{
		Name: "Ash and Elm", Corners: [3]measure.Point{at("0 ft", "0 ft"), at("25 ft", "0 ft"), at("0 ft", "25 ft")},
		Most: long("30 in"), Source: "the town's zoning code", Edition: "2025",
	}
	for _, c := range []struct {
		name     string
		from, to measure.Point
		in       bool
	}{
		{"inside", at("5 ft", "5 ft"), at("6 ft", "6 ft"), true},
		{"through", at("-10 ft", "10 ft"), at("40 ft", "10 ft"), true},
		{"along a street", at("0 ft", "0 ft"), at("0 ft", "100 ft"), true},
		{"a point within", at("5 ft", "5 ft"), at("5 ft", "5 ft"), true},
		{"touching a corner", at("-5 ft", "25 ft"), at("5 ft", "25 ft"), true},
		{"on the long side", at("25 ft", "0 ft"), at("20 ft", "5 ft"), true},
		{"a hair past it", at("25 ft", "0.001 in"), at("20 ft", "5.0001 ft"), false},
		{"past the long side", at("20 ft", "10 ft"), at("10 ft", "20 ft"), false},
		{"across the street", at("-1 ft", "-1 ft"), at("-1 ft", "30 ft"), false},
		{"beyond, on the line of a street", at("26 ft", "0 ft"), at("40 ft", "0 ft"), false},
		{"round a corner of it", at("24 ft", "-3 ft"), at("30 ft", "3 ft"), false},
		{"a point outside", at("20 ft", "20 ft"), at("20 ft", "20 ft"), false},
	} {
		for range 2 { // either way along
			s := check.Sights{Triangles: []check.Sight{corner}, Fences: []check.SightFence{{From: c.from, To: c.to, Height: long("4 ft")}}}
			results, err := s.Check()
			if err != nil || (len(results) == 1) != c.in || c.in && results[0].Outcome != check.Fail {
				t.Errorf("%s: %+v, %v; want it in: %v", c.name, results, err, c.in)
			}
			sound(t, results...)
			c.from, c.to = c.to, c.from
		}
	}
	unknown := corner
	unknown.Most = nil
	inside := check.SightFence{From: at("5 ft", "5 ft"), To: at("6 ft", "6 ft"), Height: long("30 in")}
	results, err := check.Sights{
		Triangles: []check.Sight{corner, unknown},
		Fences:    []check.SightFence{inside, {From: inside.From, To: inside.To}},
	}.Check()
	if err != nil || len(results) != 4 {
		t.Fatalf("%+v, %v", results, err)
	}
	sound(t, results...)
	for i, want := range []check.Outcome{check.Pass, check.NotEnoughData, check.NotEnoughData, check.NotEnoughData} {
		if results[i].Outcome != want {
			t.Errorf("result %d: %+v, want %s", i, results[i], want)
		}
	}
	_, err = check.Sights{
		Triangles: []check.Sight{{Most: new(measure.Length(-1))}},
		Fences:    []check.SightFence{{From: measure.Point{East: 2 * measure.MaxLength}, Height: new(measure.Length(0))}},
	}.Check()
	if got := fields(err); got != "triangles[0].corners triangles[0].most fences[0] fences[0].height" {
		t.Errorf("violations of %s", got)
	}
}

// A fence up to a corner of the triangle is in it; and neither the order of the
// corners nor that of a fence's ends decides anything.
func TestSightLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		point := func(label string) measure.Point {
			c := rapid.Int64Range(-int64(measure.MaxLength), int64(measure.MaxLength))
			return measure.Point{East: measure.Length(c.Draw(t, label+" east")), North: measure.Length(c.Draw(t, label+" north"))}
		}
		corners := [3]measure.Point{point("a"), point("b"), point("c")}
		s := check.Sights{Triangles: []check.Sight{{Name: "x", Corners: corners, Most: long("3 ft")}}}
		s.Fences = []check.SightFence{
			{From: point("from"), To: corners[rapid.IntRange(0, 2).Draw(t, "corner")], Height: long("4 ft")},
			{From: point("p"), To: point("q"), Height: long("4 ft")},
		}
		results, err := s.Check()
		if err != nil {
			t.Skip("the points lie on one line")
		}
		if len(results) == 0 || results[0].Field != "fences[0].height" {
			t.Fatalf("a fence up to a corner is not in the triangle: %+v", results)
		}
		s.Triangles[0].Corners = [3]measure.Point{corners[2], corners[1], corners[0]}
		s.Fences[1].From, s.Fences[1].To = s.Fences[1].To, s.Fences[1].From
		again, err := s.Check()
		if err != nil || len(again) != len(results) {
			t.Fatalf("%d results, the other way round %d, %v", len(results), len(again), err)
		}
	})
}
