package chart

import (
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
	"pgregory.net/rapid"

	"wattle/internal/civil"
)

// hairline is what two boxes may share by rounding.
const hairline = 1e-6

// Names lie within the page, apart from each other and from the plot, with their
// values whole, in the order of what they name.
func TestNamesDoNotOverlap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		high := rapid.Float64Range(1, 1e6).Draw(t, "high")
		f := overTime(rapid.StringN(0, 200, 400).Draw(t, "title"), "USD per ft", civil.Must("2022-01-01"), civil.Must("2026-06-30"), 0, high)
		for range rapid.IntRange(1, mostLines).Draw(t, "names") {
			text := strings.Repeat(rapid.SampledFrom([]string{"Main office", "W", "a yard ", "nowordsatall"}).Draw(t, "text"), rapid.IntRange(0, 9).Draw(t, "times"))
			f.names = append(f.names, name{text: text, value: decimal.MustNew(rapid.Int64Range(0, 1e9).Draw(t, "value"), 2), x: 1600, y: high * rapid.Float64Range(0, 1).Draw(t, "y")})
		}
		page := draw.Crop(draw.New(vgsvg.New(width, height)), margin, -margin, margin, -margin)
		area := heading(page, f.title, "")
		n := f.place(area)
		placed := slices.Clone(n.placed)
		slices.SortFunc(placed, func(a, b placedName) int {
			if a.box.Min.Y < b.box.Min.Y {
				return -1
			}
			return 1
		})
		for i, p := range placed {
			if p.box.Min.Y < area.Min.Y-hairline || p.box.Max.Y > area.Max.Y+hairline || p.box.Max.X > page.Max.X+hairline || p.box.Min.X < n.plot.Max.X {
				t.Fatalf("%v lies outside %v", p.box, area)
			}
			if i > 0 && (placed[i-1].box.Max.Y > p.box.Min.Y+hairline || placed[i-1].from.Y > p.from.Y+hairline) {
				t.Fatalf("%v overlaps %v, or stands on the wrong side of it", placed[i-1], p)
			}
			if last := p.lines[len(p.lines)-1]; !strings.Contains(strings.Join(p.lines, " "), p.value.String()) {
				t.Fatalf("the value %v is cut in %q", p.value, last)
			}
		}
		if data := f.plot.DataCanvas(n.plot); data.Max.X-data.Min.X < 3*vg.Inch {
			t.Fatalf("the plot is left %v points", data.Max.X-data.Min.X)
		}
	})
}

// What has room is not moved; what is moved stays in its bounds and order, touches
// at most, and lies about where it wanted to be.
func TestSpread(t *testing.T) {
	if got := spread([]float64{50, 10, 52}, []float64{10, 10, 10}, 0, 100); !slices.Equal(got, []float64{46, 10, 56}) {
		t.Errorf("%v", got)
	}
	if got := spread([]float64{-5, 200}, []float64{10, 10}, 0, 100); !slices.Equal(got, []float64{5, 95}) {
		t.Errorf("%v", got)
	}
	if got := spread([]float64{1, 1}, []float64{100, 100}, 0, 100); !slices.Equal(got, []float64{25, 75}) {
		t.Errorf("%v", got)
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 20).Draw(t, "n")
		wanted := rapid.SliceOfN(rapid.Float64Range(-50, 350), n, n).Draw(t, "wanted")
		sizes := rapid.SliceOfN(rapid.Float64Range(1, 15), n, n).Draw(t, "sizes")
		got := spread(wanted, sizes, 0, 300)
		for i := range n {
			if got[i]-sizes[i]/2 < -hairline || got[i]+sizes[i]/2 > 300+hairline {
				t.Fatalf("%v is out of bounds", got[i])
			}
			crowded := wanted[i]-sizes[i]/2 < 0 || wanted[i]+sizes[i]/2 > 300
			for j := range n {
				if i == j {
					continue
				}
				if apart := max(got[i]-got[j], got[j]-got[i]); apart < (sizes[i]+sizes[j])/2-hairline {
					t.Fatalf("%d and %d overlap: %v", i, j, got)
				}
				if wanted[i] < wanted[j] && got[i] > got[j] {
					t.Fatalf("%d and %d changed places: %v", i, j, got)
				}
				if apart := max(got[i]-got[j], got[j]-got[i]); apart < (sizes[i]+sizes[j])/2+hairline {
					crowded = true
				}
			}
			if !crowded && max(got[i]-wanted[i], wanted[i]-got[i]) > hairline {
				t.Fatalf("%d has room at %v and is at %v", i, wanted[i], got[i])
			}
		}
	})
}

// Marks of any span stand in order within it, few enough that their words have
// room: 300 points of plot and more.
func TestDateMarks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := civil.Must("2020-01-01").AddDays(rapid.IntRange(0, 4000).Draw(t, "from"))
		days := rapid.OneOf(rapid.IntRange(0, 60), rapid.IntRange(0, 3000), rapid.IntRange(0, 40_000)).Draw(t, "days")
		style, last, wide := plain(tickSize), -1.0, vg.Length(0)
		for _, tick := range dates(from, from.AddDays(days)) {
			if tick.Value < 0 || tick.Value > float64(days) || tick.Label != "" && tick.Value <= last {
				t.Fatalf("%d days: %v", days, tick)
			}
			if tick.Label != "" {
				last = tick.Value
				wide += style.Width(tick.Label) + 4
			}
		}
		if wide > 300 {
			t.Fatalf("%d days have words of %v points", days, wide)
		}
	})
}

// Marks of figures are round, few and within their range.
func TestNumberMarks(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		want      string
	}{
		{37.4, 45.4, "38 40 42 44"}, {0, 1, "0.0 0.2 0.4 0.6 0.8 1.0"}, {-0.47, 0.52, "-0.4 -0.2 0.0 0.2 0.4"}, {0.001, 0.0013, "0.00100 0.00105 0.00110 0.00115 0.00120 0.00125 0.00130"}, {98, 118, "100 105 110 115"},
	} {
		var got []string
		for _, tick := range numbers(c.low, c.high) {
			got = append(got, tick.Label)
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%v to %v: %v", c.low, c.high, got)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		low, high := roomy(rapid.OneOf(rapid.Float64Range(-1e18, -1e-15), rapid.Float64Range(1e-15, 1e18)).Draw(t, "a"), 0)
		if low > high {
			low, high = high, low
		}
		if n := len(numbers(low, high)); n < 2 || n > 8 {
			t.Fatalf("%v to %v has %d marks", low, high, n)
		}
	})
}
