package chart_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image/png"
	"io"
	"strings"
	"sync"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/chart"
	"wattle/internal/civil"
	"wattle/internal/costindex"
	"wattle/internal/money"
)

// texts are what stands in an SVG, which must be well-formed.
func texts(t *testing.T, svg []byte) (all []string) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(svg))
	within := false
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatal(err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			within = e.Name.Local == "text"
		case xml.EndElement:
			within = false
		case xml.CharData:
			if within {
				all = append(all, string(e))
			}
		}
	}
}

func TestWhatStandsInThem(t *testing.T) {
	all := samples(t)
	for name, want := range map[string][]string{
		"cost": {
			"Cost per foot of a 6 ft cedar privacy fence, by office", "USD per ft", "2023", "2024", "2025", "2026", "Main office 41.97", "North yard 41.83",
			"Lakeside crew and repairs, with a", "Harbor 41.84",
		},
		"cost-point":  {"One day", "2026-03-16", "Main office 23.41"},
		"cost-months": {"2022-03", "2022-05", "2022-07", "2022-09"},
		"stack":       {"posts 4.55", "rails 3.24", "boards 10.54", "concrete 2.26", "hardware 1.30", "gates 1.62", "labour 18.47", "USD per ft", "0", "40"},
		"indices":     {"index, 2023-01-01 = 100", "100", "Laspeyres 111.75", "Törnqvist 108.01"},
		"movers": {
			"37.1268 to 37.7623 USD per ft, +0.6355", "Lattice panel, added", "+5.6088", "Lattice panel, removed", "-5.5827", "Crew hour", "+0.4871",
			"Terminal post 2-7/8 in, schedule 40,", "5 others", "USD per ft",
		},
	} {
		got := "\n" + strings.Join(texts(t, drawn(t, all[name], chart.SVG)), "\n") + "\n"
		for _, text := range want {
			if !strings.Contains(got, "\n"+text+"\n") {
				t.Errorf("%s has no %q:%s", name, text, got)
			}
		}
	}
}

// The same input gives the same bytes, also where several are drawn at once.
func TestSameBytes(t *testing.T) {
	for name, d := range samples(t) {
		for _, f := range []chart.Format{chart.SVG, chart.PNG} {
			if f == chart.PNG && name != "cost" {
				continue // pictures take their time
			}
			want := drawn(t, d, f)
			var wait sync.WaitGroup
			for range 2 {
				wait.Go(func() {
					var b bytes.Buffer
					if err := d.Draw(&b, f); err != nil || !bytes.Equal(b.Bytes(), want) {
						t.Errorf("%s differs when drawn again: %v", name, err)
					}
				})
			}
			wait.Wait()
		}
	}
}

func TestPNG(t *testing.T) {
	image, err := png.Decode(bytes.NewReader(drawn(t, samples(t)["cost"], chart.PNG)))
	if err != nil || image.Bounds().Dx() != 1382 || image.Bounds().Dy() != 864 { // 7.2 by 4.5 in of 192 dots
		t.Fatalf("%v, %v", image.Bounds(), err)
	}
}

// A gap is a break: where no step is known, no line is drawn.
func TestGapIsABreak(t *testing.T) {
	count := func(gaps ...int) int {
		c := chart.Cost{Currency: money.USD, Lines: []chart.Line{{Name: "a", Series: history(1, gaps...)}}}
		return bytes.Count(drawn(t, c, chart.SVG), []byte("stroke-width:1.4"))
	}
	if whole, two := count(), count(10, 20, 21); two != whole+2 {
		t.Errorf("%d pieces without a gap, %d with two", whole, two)
	}
}

// What people call things is no markup, and has nothing in it that XML may not
// hold.
func TestNamesArePlainText(t *testing.T) {
	s := until(history(1), "2022-06-01")
	c := chart.Cost{Title: "<script> \"&\x00\n title", Currency: money.USD, Lines: []chart.Line{{Name: "a\tb\x1b\ufffe</text>\xff", Series: s}}}
	got := strings.Join(texts(t, drawn(t, c, chart.SVG)), "|")
	if !strings.Contains(got, `<script> "& title`) || !strings.Contains(got, "a b</text>?") {
		t.Errorf("%q", got)
	}
	if other := chart.Cost.Draw(c, io.Discard, chart.Format(7)); other == nil {
		t.Error("drawn in a format that is none")
	}
}

func TestNothingToDraw(t *testing.T) {
	one := until(history(1), "2022-02-01")
	gap := costindex.Series{Parts: components, To: civil.Must("2026-01-01"), Steps: []costindex.Step{{From: civil.Must("2026-01-01"), Missing: []string{"post"}}}}
	negative := until(history(1), "2022-02-01")
	negative.Steps = []costindex.Step{{From: one.Steps[0].From, Parts: append([]decimal.Decimal{cents(-1, 0)}, one.Steps[0].Parts[1:]...)}}
	still, err := costindex.Explain(nil, []costindex.ItemCost{{Item: "a"}}, 1, money.USD)
	if err != nil {
		t.Fatal(err)
	}
	days := []civil.Date{civil.Must("2026-01-01"), civil.Must("2026-01-01")}
	for want, d := range map[string]drawer{
		"lines: there are none":                                     chart.Cost{},
		"lines[0].series.steps: there are none":                     chart.Cost{Lines: []chart.Line{{Name: "a"}}},
		"lines[0].series: a has no value on any day":                chart.Cost{Lines: []chart.Line{{Name: "a", Series: gap}}},
		"lines: 13 of them; at most 12":                             chart.Cost{Lines: make([]chart.Line, 13)},
		"series.steps: there are none":                              chart.Stack{},
		"series: it has no value on any day":                        chart.Stack{Series: gap},
		"series.steps[0].parts[0]: -1; a stack has no part below 0": chart.Stack{Series: negative},
		"on: there are no days":                                     chart.Indices{},
		"on[1]: 2026-01-01 is not after the day before":             chart.Indices{On: days},
		"lines[0].values: a has 0 for 2 days":                       chart.Indices{On: days, Lines: []chart.IndexLine{{Name: "a"}}},
		"change: nothing moved":                                     chart.Movers{Change: still},
	} {
		var b bytes.Buffer
		if err := d.Draw(&b, chart.SVG); err == nil || !strings.Contains(err.Error(), want) || b.Len() > 0 {
			t.Errorf("%v and %d bytes, want %q", err, b.Len(), want)
		}
	}
}
