package spacing

import (
	"testing"

	"wattle/internal/measure"
)

// scattered bars count targets of the fewest bays, evenly spread, each a little
// more widely and a little further off its middle.
func scattered(b *testing.B, r *Request, count int) {
	n, err := Fewest(*r)
	if err != nil {
		b.Fatal(err)
	}
	targets := r.Targets(n)
	for i := range count {
		t := targets[(2*i+1)*len(targets)/(2*count)]
		width := measure.Inch * measure.Length(6+i%43)
		r.Barred = append(r.Barred, Interval{t - width/3, t - width/3 + width})
	}
}

func BenchmarkPlace(b *testing.B) {
	ft := measure.Foot
	slope := reachFunc(func(x measure.Length, _, _ bool) measure.Length {
		// Limits between 7 ft 9 in and 8 ft, going up and down every 100 ft.
		at := (x / ft) % 100
		return x + 8*ft - measure.Inch*3*min(at, 100-at)/50
	})
	for _, c := range []struct {
		name   string
		length measure.Length
		limits Limits
		barred int
	}{
		{"10000 ft, 200 barred", 10_000 * ft, alike("8 ft"), 200},
		{"10000 ft less 1 in of slack, 200 barred", 10_000*ft - measure.Inch, alike("8 ft"), 200},
		{"9993 ft, 200 barred", 9_993 * ft, alike("8 ft"), 200},
		{"9997 ft, 1 barred", 9_997 * ft, alike("8 ft"), 1},
		{"79999 ft, 1 barred", 79_999 * ft, alike("8 ft"), 1},
		{"79993 ft, 1 barred", 79_993 * ft, alike("8 ft"), 1},
		{"79993 ft, 1000 barred", 79_993 * ft, alike("8 ft"), 1000},
		{"100000 bays", 800_000 * ft, alike("8 ft"), 0},
		{"9993 ft, 200 barred, uneven", 9_993 * ft, slope, 200},
		{"79993 ft, 1 barred, uneven", 79_993 * ft, slope, 1},
		{"799993 ft, 1 barred, uneven", 799_993 * ft, slope, 1},
		{"193 ft, 4 barred, uneven", 193 * ft, slope, 4},
	} {
		b.Run(c.name, func(b *testing.B) {
			r := Request{End: c.length, Limits: c.limits, Least: 4 * measure.Inch, Targets: even(0, c.length)}
			if c.barred > 0 {
				scattered(b, &r, c.barred)
			}
			b.ReportAllocs()
			n := 0
			for b.Loop() {
				places, err := Place(r)
				if err != nil {
					b.Fatal(err)
				}
				n = len(places) + 1
			}
			b.ReportMetric(float64(n), "bays")
		})
	}
}
