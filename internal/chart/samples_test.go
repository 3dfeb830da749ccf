package chart_test

import (
	"bytes"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/chart"
	"wattle/internal/civil"
	"wattle/internal/costindex"
	"wattle/internal/measure"
	"wattle/internal/money"
)

var out = flag.String("out", "", "write every sample into this folder, as SVG and PNG, to be looked at")

type drawer interface {
	Draw(io.Writer, chart.Format) error
}

func drawn(t testing.TB, d drawer, f chart.Format) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := d.Draw(&b, f); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func cents(n, scale int) decimal.Decimal { return decimal.MustNew(int64(n), scale) }

// walk is a made-up history of a price in cents: it drifts, jumps by the season and
// by a number that looks drawn, and is the same each time.
func walk(start, seed, n int) []int {
	values, state := make([]int, n), uint32(seed)
	for i := range values {
		values[i] = start
		state = state*1664525 + 1013904223
		start += int(state>>24)*start/128/40 - start/45
	}
	return values
}

var components = []string{"posts", "rails", "boards", "concrete", "hardware", "gates", "labour"}

// history is four and a half years of seven components, a step every six weeks or
// so, with gaps as asked for.
func history(seed int, gaps ...int) costindex.Series {
	s := costindex.Series{Parts: components, To: civil.Must("2026-07-15")}
	starts := []int{41000, 28000, 92000, 21000, 9000, 16000, 185000}
	walks := make([][]int, len(starts))
	for i, start := range starts {
		walks[i] = walk(start, seed*31+i, 40)
	}
	day := civil.Must("2022-01-03")
	for i := range 40 {
		step := costindex.Step{From: day.AddDays(41*i + i%3)}
		for part := range components {
			step.Parts = append(step.Parts, cents(walks[part][i], 4))
		}
		for _, gap := range gaps {
			if i == gap {
				step.Parts, step.Missing = nil, []string{"Board 1x6, 6 ft"}
			}
		}
		s.Steps = append(s.Steps, step)
	}
	return s
}

func change(t testing.TB, items int) costindex.Change {
	t.Helper()
	names := []string{
		"Board 1x6, 6 ft", "Rail 2x4, 8 ft", "Post 4x4, 8 ft", "Concrete, 60 lb", "Nail 8d, hot-dip galvanized, ring shank", "Gate hinge",
		"Terminal post 2-7/8 in, schedule 40, galvanized after welding, with cap and hardware", "Crew hour", "Stain, semi-transparent, cedar tone, 5 gal", "Board 1x4, 6 ft",
		"Rail 2x4, 16 ft", "Gravel", "Screw 3 in", "Lattice panel",
	}
	var from, to []costindex.ItemCost
	for i, name := range names[:items] {
		item := costindex.ItemCost{Item: name, Description: name, Component: components[i%7], Unit: "each", Quantity: cents(20+i*7, 0), Price: cents(400+i*35, 2), Since: civil.Must("2026-01-01"), Revision: 1}
		from = append(from, item)
		item.Price, item.Since, item.Revision = cents(400+i*35+[]int{43, -31, 12, 90, -4, 7, 55, 120, -80, 3, 2, -1, 1, 4}[i], 2), civil.Must("2026-07-01"), 2
		to = append(to, item)
	}
	to[len(to)-1].Unit = "box"
	c, err := costindex.Explain(from, to, 170*measure.Foot, money.USD)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func indices() chart.Indices {
	x := chart.Indices{Title: "Price index of fence materials, fixed base", Base: 12}
	for i := range 48 {
		x.On = append(x.On, civil.Of(civil.Must("2022-01-01").Time().AddDate(0, i, 0)))
	}
	for n, name := range []string{"Laspeyres", "Paasche", "Fisher", "Törnqvist", "Walsh"} {
		line := chart.IndexLine{Name: name}
		base := walk(100_000, 5, 48)
		for i, v := range base {
			line.Values = append(line.Values, cents(100_0000*(v+(i-12)*(i-12)*(2-n))/base[12], 4))
		}
		x.Lines = append(x.Lines, line)
	}
	return x
}

func known(name string, s costindex.Series) chart.Line { return chart.Line{Name: name, Series: s} }

func until(s costindex.Series, to string) costindex.Series {
	s.To = civil.Must(to)
	for len(s.Steps) > 0 && s.Steps[len(s.Steps)-1].From.Compare(s.To) > 0 {
		s.Steps = s.Steps[:len(s.Steps)-1]
	}
	return s
}

func samples(t testing.TB) map[string]drawer {
	all := map[string]drawer{
		"cost": chart.Cost{Title: "Cost per foot of a 6 ft cedar privacy fence, by office", Currency: money.USD, Lines: []chart.Line{
			known("Main office", history(1)), known("North yard", history(2, 12, 13)), known("Lakeside crew and repairs, with a name that is far too long for one line", history(3)), known("Harbor", until(history(4, 3), "2025-02-10")),
		}},
		"cost-then": chart.Cost{Title: "As known now and as known on 2025-01-01", Currency: money.USD, Lines: []chart.Line{
			known("known now", history(1)), known("known on 2025-01-01", until(history(1), "2024-12-31")),
		}},
		"cost-point": chart.Cost{Title: "One day", Currency: money.USD, Lines: []chart.Line{
			known("Main office", costindex.Series{Parts: []string{"all"}, To: civil.Must("2026-03-16"), Steps: []costindex.Step{{From: civil.Must("2026-03-16"), Parts: []decimal.Decimal{cents(2341, 2)}}}}),
		}},
		"cost-months": chart.Cost{Title: "Nine months", Currency: money.USD, Lines: []chart.Line{known("Main office", until(history(1), "2022-09-30"))}},
		"stack":       chart.Stack{Title: "Cost per foot of a 6 ft cedar privacy fence, by component", Currency: money.USD, Series: history(1, 20, 21)},
		"stack-point": chart.Stack{Currency: money.USD, Series: until(history(1), "2022-01-03")},
		"indices":     indices(),
		"movers":      chart.Movers{Title: "What moved cost per foot between 2026-01-01 and 2026-07-01", Change: change(t, 14)},
		"movers-one":  chart.Movers{Title: "One", Change: change(t, 1)},
	}
	twelve := chart.Cost{Title: "Twelve offices, a title that is so long that it has to go onto a second line, and says so in many words, which is more than a title should, however patient its readers are with what it says", Currency: money.USD}
	for i := range 12 {
		twelve.Lines = append(twelve.Lines, known(fmt.Sprintf("Office number %d of the northern counties", i+1), history(i+1)))
	}
	all["cost-twelve"] = twelve
	return all
}

// Written where asked for, so that people look at them.
func TestSamples(t *testing.T) {
	for name, d := range samples(t) {
		for ext, f := range map[string]chart.Format{"svg": chart.SVG, "png": chart.PNG} {
			if *out == "" && f == chart.PNG {
				continue
			}
			b := drawn(t, d, f)
			if *out == "" {
				continue
			}
			if err := os.WriteFile(filepath.Join(*out, name+"."+ext), b, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}
