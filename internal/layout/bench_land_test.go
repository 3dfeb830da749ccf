package layout_test

import (
	"fmt"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// BenchmarkLand plans one straight run of 100 to 100,000 bays: level, level
// with a keep-out every 50 ft up to 200 of them, on ground whose grade changes
// every 100 ft, and both. Time per bay should not grow.
func BenchmarkLand(b *testing.B) {
	for _, shape := range []struct {
		name string
		site func(bays int) site.Site
	}{
		{"level", lineOf},
		{"keep-outs", func(bays int) site.Site { s := lineOf(bays); keepOutsOn(&s.Runs[0]); return s }},
		{"grades", func(bays int) site.Site { s := lineOf(bays); gradesOn(&s.Runs[0]); return s }},
		{"grades and keep-outs", func(bays int) site.Site {
			s := lineOf(bays)
			keepOutsOn(&s.Runs[0])
			gradesOn(&s.Runs[0])
			return s
		}},
	} {
		for _, bays := range []int{100, 1_000, 10_000, 100_000} {
			s, f := shape.site(bays), sixFoot(spec.Layout{})
			b.Run(fmt.Sprintf("%s/%d", shape.name, bays), func(b *testing.B) { benchmark(b, s, f) })
		}
	}
}

// keepOutsOn bars from half a foot to four feet, up to 200 times.
func keepOutsOn(r *site.Run) {
	length := r.Length()
	n := min(200, length/(50*ft))
	for i := range n {
		from := length/n*i + 20*ft
		r.KeepOuts = append(r.KeepOuts, site.KeepOut{From: from, To: from + (6+i%43)*in})
	}
}

// gradesOn changes the grade every 100 ft, between 10 % up and 10 % down.
func gradesOn(r *site.Run) {
	var up measure.Length
	for i := measure.Length(0); i*100*ft <= r.Length(); i++ {
		r.Ground = append(r.Ground, site.GroundPoint{Station: i * 100 * ft, Elevation: up})
		up += ft * (i*7%21 - 10)
	}
}

// fieldOf is n runs one way and n the other, which all cross.
func fieldOf(n int) site.Site {
	var s site.Site
	side := measure.Length(n) * 10 * ft
	for i := range n {
		at := measure.Length(i)*10*ft + 5*ft
		s.Runs = append(s.Runs,
			site.Run{ID: fmt.Sprint("n", i), Vertices: []measure.Point{{East: at}, {East: at, North: side}}},
			site.Run{ID: fmt.Sprint("e", i), Vertices: []measure.Point{{North: at}, {East: side, North: at}}})
	}
	return s
}

// BenchmarkCrossings plans fields of runs that all cross one another.
func BenchmarkCrossings(b *testing.B) {
	for _, n := range []int{10, 30, 100, 200} {
		s := fieldOf(n)
		b.Run(fmt.Sprint(n, "x", n), func(b *testing.B) {
			for b.Loop() {
				if _, err := layout.Plan(s, sixFoot(spec.Layout{})); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n*n), "ns/crossing")
		})
	}
}
