package layout_test

import (
	"fmt"
	"runtime"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// BenchmarkPlan plans from 10 to 100,000 bays, as one straight run, as yards of
// 30 bays with a gate each, and as 10,000 runs that share posts. Design 8 wants
// time per bay within 1.5 x from 100 to 100,000 bays, layout and take-off
// together under 2 us.
func BenchmarkPlan(b *testing.B) {
	for _, shape := range []struct {
		name string
		site func(bays int) site.Site
	}{{"line", lineOf}, {"yards", yardsOf}, {"grid", gridOf}} {
		for _, bays := range []int{10, 100, 1_000, 10_000, 100_000} {
			s, f := shape.site(bays), sixFoot(spec.Layout{})
			b.Run(fmt.Sprintf("%s/%d", shape.name, bays), func(b *testing.B) { benchmark(b, s, f) })
		}
	}
}

func benchmark(b *testing.B, s site.Site, f spec.Spec) {
	var before, after runtime.MemStats
	placed := 0
	b.ReportAllocs()
	runtime.ReadMemStats(&before)
	for b.Loop() {
		l, err := layout.Plan(s, f)
		if err != nil {
			b.Fatal(err)
		}
		placed = len(l.Bays)
	}
	runtime.ReadMemStats(&after)
	all := float64(b.N) * float64(placed)
	b.ReportMetric(float64(placed), "bays")
	b.ReportMetric(float64(b.Elapsed())/all, "ns/bay")
	b.ReportMetric(float64(after.Mallocs-before.Mallocs)/all, "allocs/bay")
}

func lineOf(bays int) site.Site {
	return site.Site{Runs: []site.Run{{ID: "a", Vertices: []measure.Point{{}, {East: measure.Length(bays) * 7 * ft, North: ft}}}}}
}

// yardsOf is a row of back yards, each of three sides, 100 ft deep and wide.
func yardsOf(bays int) site.Site {
	var s site.Site
	for i := range max(bays/39, 1) {
		x := measure.Length(i) * 120 * ft
		s.Runs = append(s.Runs, site.Run{
			ID:       fmt.Sprint("yard", i),
			Vertices: []measure.Point{{East: x}, {East: x, North: 100 * ft}, {East: x + 100*ft, North: 100 * ft}, {East: x + 100*ft}},
			Start:    site.Terminus{TieIn: true}, End: site.Terminus{TieIn: true},
			Gates: []site.Gate{{ID: fmt.Sprint("gate", i), Station: 50 * ft, Width: 4 * ft, Leaves: 1}},
		})
	}
	return s
}

// gridOf is a field of square plots, every side a run of 10 bays.
func gridOf(bays int) site.Site {
	var s site.Site
	n := 1
	for 2*n*(n+1)*10 < bays {
		n++
	}
	at := func(i, j int) measure.Point {
		return measure.Point{East: measure.Length(i) * 78 * ft, North: measure.Length(j) * 78 * ft}
	}
	for i := range n + 1 {
		for j := range n {
			s.Runs = append(s.Runs,
				site.Run{ID: fmt.Sprint("n", i, "-", j), Vertices: []measure.Point{at(i, j), at(i, j+1)}},
				site.Run{ID: fmt.Sprint("e", i, "-", j), Vertices: []measure.Point{at(j, i), at(j+1, i)}})
		}
	}
	return s
}
