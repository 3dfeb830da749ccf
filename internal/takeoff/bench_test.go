package takeoff_test

import (
	"fmt"
	"testing"

	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/takeoff"
)

// BenchmarkCount counts jobs of 10 to 100,000 bays: one long run, and runs of
// ten bays all of different lengths.
func BenchmarkCount(b *testing.B) {
	for _, bays := range []int{10, 100, 1000, 10_000, 100_000} {
		b.Run(fmt.Sprintf("one-run/bays=%d", bays), func(b *testing.B) {
			benchmark(b, site.Site{Runs: []site.Run{run(fmt.Sprintf("0,0 %d,0", bays*8))}})
		})
	}
	for _, bays := range []int{10, 100, 1000, 10_000, 100_000} {
		b.Run(fmt.Sprintf("equal-runs/bays=%d", bays), func(b *testing.B) { benchmark(b, comb(bays/10, 0)) })
	}
	for _, bays := range []int{100, 1000} {
		b.Run(fmt.Sprintf("unequal-runs/bays=%d", bays), func(b *testing.B) { benchmark(b, comb(bays/10, measure.Inch/4)) })
	}
}

// comb is n runs of about ten bays, each longer than the one before.
func comb(n int, longer measure.Length) site.Site {
	var st site.Site
	for i := range n {
		north := measure.Length(i) * 10 * ft
		st.Runs = append(st.Runs, site.Run{ID: fmt.Sprintf("r%d", i), Vertices: []measure.Point{
			{North: north}, {North: north, East: 78*ft + measure.Length(i%100)*longer}}})
	}
	return st
}

// BenchmarkSentences tells a yard's derivations in words.
func BenchmarkSentences(b *testing.B) {
	k := count(b, yard(), sixFoot(), nil)
	b.ReportAllocs()
	steps := 0
	for b.Loop() {
		for _, l := range k.Lines {
			steps += len(l.Derivation.Sentences())
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(steps), "ns/sentence")
}

func benchmark(b *testing.B, st site.Site) {
	s := sixFoot()
	l := plan(b, st, s)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := takeoff.Count(l, s, nil); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(l.Bays)), "ns/bay")
}
