package render

import (
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// sixFeet is what the elevations in these tests are of.
var sixFeet = spec.Spec{Height: 6 * measure.Foot}

// onGround gives a layout of a level site the ground of its runs, racked or
// stepped: by the rules of layout.Bay, in a few lines.
func onGround(st site.Site, l *layout.Layout, stepped bool) {
	for i := range l.Posts {
		p := &l.Posts[i]
		p.Ground = st.Runs[p.Visits[0].Run].Profile().At(p.Visits[0].Station)
		p.AboveGrade = sixFeet.Height
	}
	clearance := 2 * measure.Inch
	for i := range l.Stretches {
		s := &l.Stretches[i]
		s.Stepped = stepped
		for _, b := range baysOf(s.Run, l) {
			bay := &l.Bays[b.index]
			if bay.Stretch != i {
				continue
			}
			ground := st.Runs[s.Run].Profile()
			bay.Rise, _, _ = ground.Grade(b.from, b.to)
			bay.MostGap, bay.LeastGap = clearance, clearance
			bay.Top = ground.At(b.from) + sixFeet.Height
			if !stepped {
				hump, dip := ground.Departure(b.from, b.to)
				bay.MostGap, bay.LeastGap = clearance+dip, clearance-hump
			} else {
				low, high := ground.Range(b.from, b.to)
				bay.Top, bay.MostGap = high+sixFeet.Height, clearance+high-low
			}
			if bay.MostGap > 4*measure.Inch {
				bay.Fill = bay.MostGap - clearance
			}
			for _, end := range []int{bay.Start, bay.End} {
				p := &l.Posts[end]
				if top := bay.Top; stepped && top-p.Ground > p.AboveGrade {
					p.AboveGrade = top - p.Ground
				}
			}
		}
	}
}

// elevations are jobs of several sizes on several grounds.
var elevations = map[string]func(t testing.TB) (site.Site, *layout.Layout){
	"ten-feet": level("ten-feet"),
	"yard":     level("yard"),
	"long":     level("long"),
	"loop":     level("loop"),
	"gates":    level("gates"),
	"upright":  level("upright"),
	"stepped":  sloped(true),
	"racked":   sloped(false),
	"hills":    hills,
	"laid-out": laidOut,
}

func level(plan string) func(t testing.TB) (site.Site, *layout.Layout) {
	return func(t testing.TB) (site.Site, *layout.Layout) { return mustPlan(t, plans[plan]) }
}

// sloped is a yard of 150 ft that falls 9 ft and rises again, with a gate, a
// gas service and an old post that is kept.
func sloped(stepped bool) func(t testing.TB) (site.Site, *layout.Layout) {
	return func(t testing.TB) (site.Site, *layout.Layout) {
		st, l := mustPlan(t, "yard: wall 0,0 0,45 70,45 70,10 gate=walk@60x4 gate=drive@90x10x2")
		st.Runs[0].Ground = profile("0 12; 45 9.5; 58 8; 66 8; 88 4.25; 102 4; 115 3; 130 5.5; 150 7")
		onGround(st, l, stepped)
		l.Barred = []layout.Barred{
			{Run: 0, ID: "gas", From: mustFeet("28.5"), To: mustFeet("31.5")},
			{Run: 0, ID: "root", From: mustFeet("124"), To: mustFeet("125")},
		}
		l.Posts[3].Existing, l.Posts[3].Hole, l.Posts[3].Stock = true, layout.Hole{}, 0
		l.Posts[9].Because = layout.ByGradeBreak
		return st, l
	}
}

// hills is 2,000 ft over hills.
func hills(t testing.TB) (site.Site, *layout.Layout) {
	st, l := mustPlan(t, "ridge: 0,0 900,0 2000,300 gate=field@400x12x2")
	st.Runs[0].Ground = profile("0 100; 300 118; 420 118; 900 70; 1300 96; 1700 88; 2000 140")
	onGround(st, l, false)
	return st, l
}

// profile reads stations and elevations in feet: "0 12; 45 9.5".
func profile(text string) []site.GroundPoint {
	var points []site.GroundPoint
	for pair := range strings.SplitSeq(text, ";") {
		station, elevation, _ := strings.Cut(strings.TrimSpace(pair), " ")
		points = append(points, site.GroundPoint{Station: mustFeet(station), Elevation: mustFeet(elevation)})
	}
	return points
}

// laidOut is a yard as the engine lays it out: stepped at first, then racked,
// with keep-outs and an old post that is kept.
func laidOut(t testing.TB) (site.Site, *layout.Layout) {
	t.Helper()
	st := mustSite("yard: wall 0,0 0,45 70,45 70,10 gate=walk@60x4 gate=drive@90x10x2")
	r := &st.Runs[0]
	r.Ground = profile("0 12; 45 9.5; 58 8; 66 8; 88 4.25; 102 4; 115 3; 130 5.5; 150 7")
	r.KeepOuts = []site.KeepOut{{ID: "gas", From: mustFeet("29"), To: mustFeet("32")}, {ID: "root", From: mustFeet("124"), To: mustFeet("125")}}
	r.Pins = []site.Pin{{Station: mustFeet("20"), Existing: true}}
	r.Slopes = []site.SlopePart{{From: 0, To: mustFeet("45"), Stepped: true}}
	l, err := layout.Plan(st, sixFeet)
	if err != nil {
		t.Fatal(err)
	}
	return st, l
}
