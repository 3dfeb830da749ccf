package quote

import (
	"wattle/internal/arc"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// landJobs are the corpus's jobs on the lay of the land, which the rules know
// from version 2 on.
func landJobs(add func(name string, s site.Site, p Pricing, edit func(*spec.Spec), custom ...CustomLine)) {
	plain := Pricing{ProfitPercent: dec("30")}
	run := func(id string, points ...measure.Point) site.Run { return site.Run{ID: id, Vertices: points} }
	one := func(r site.Run, obstacles ...site.Obstacle) site.Site {
		return site.Site{Runs: []site.Run{r}, Obstacles: obstacles}
	}
	hill := run("hill", at(0, 0), at(90, 0), at(90, 40))
	hill.Start.TieIn = true
	hill.Ground = []site.GroundPoint{{Station: 0}, {Station: ft(50), Elevation: ft(8)}, {Station: ft(90), Elevation: ft(9)}, {Station: ft(130), Elevation: ft(4)}}
	hill.Gates = []site.Gate{{ID: "side", Station: ft(100), Width: ft(4), Leaves: 1, Hinge: site.HingeFinish}}

	add("hill-racked", one(hill), plain, func(f *spec.Spec) { f.Slope.RailEnds = spec.PlumbEnds })
	add("hill-stepped", one(hill), plain, func(f *spec.Spec) {
		f.Slope.Mode, f.Posts.Stock = spec.Stepped, []measure.Length{ft(8), ft(10), ft(12)}
	})
	mixed := hill
	mixed.Slopes = []site.SlopePart{{From: ft(20), To: ft(60), Stepped: true}}
	add("hill-mixed-kick", one(mixed), plain, func(f *spec.Spec) { f.Slope.Fill = spec.KickBoard })

	kept := run("side", at(0, 0), at(95, 0))
	kept.KeepOuts = []site.KeepOut{{ID: "gas", From: ft(21), To: ft(24)}, {From: ft(62), To: ft(64)}}
	kept.Pins = []site.Pin{{Station: ft(48)}, {Station: ft(80), Existing: true}}
	kept.Neighbours = []site.Neighbour{{From: ft(10), To: ft(40), Side: site.Left, Gap: ft(1)}}
	add("keep-outs", one(kept, site.Obstacle{ID: "culvert", Path: []measure.Point{at(70, -12), at(80, 12)}, Clearance: ft(1)}), plain, nil)

	pen := run("pen", at(16, 1), at(16, -20))
	pen.Start.LinePostOf = "back"
	add("crossing", site.Site{Runs: []site.Run{run("back", at(0, 0), at(90, 0)), run("cross", at(60, -24), at(60, 24)), pen}}, plain, nil)

	loop := run("loop", at(19, 0), at(40, 0), at(40, 30), at(0, 30), at(0, 0))
	loop.Closed = true
	add("loop-from-a-side", one(loop), plain, nil)

	drive := run("drive", at(0, 0), at(0, 40), at(-5, 55), at(-18, 66), at(-400, 66))
	drive.Chords = []int{1, 2, 3}
	add("curve-with-pulls", one(drive), plain, func(f *spec.Spec) {
		f.Alignment.Rules = "highway-chain-link"
		f.Curves = []arc.Limit{{Radius: ft(100), Spacing: ft(8)}, {Radius: ft(1), Spacing: ft(6)}}
	})
}
