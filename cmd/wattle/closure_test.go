package main

import (
	"testing"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/measure"
)

func TestClosureText(t *testing.T) {
	length := func(text string) *wattlev1.Length {
		return &wattlev1.Length{Nanometres: int64(measure.Must(text))}
	}
	for _, c := range []struct {
		closure *wattlev1.Closure
		want    string
	}{
		{&wattlev1.Closure{Run: "lot", Length: length("399 ft"), Misclosure: length("0.4 in"), Precision: 11_970, Balanced: true, Up: length("6 in")},
			`Traverse "lot": 399 ft, misclosure 0.4 in, 1 in 11,970, balanced by the compass rule; elevations miss by 6 in (high), not balanced`},
		{&wattlev1.Closure{Run: "lot", Length: length("140.01 ft"), Misclosure: length("0.12 in"), Precision: 999, Up: length("-1/2 in")},
			`Traverse "lot": 140.01 ft, misclosure 0.12 in, 1 in 999, not balanced; elevations miss by 1/2 in (low), not balanced`},
		{&wattlev1.Closure{Run: "lot", Length: length("140 ft"), Misclosure: length("1 nm"), Precision: 42_672_000_000},
			`Traverse "lot": 140 ft, misclosure under 0.01 in, 1 in 42,672,000,000, not balanced`},
		{&wattlev1.Closure{Run: "lot", Length: length("140 ft"), Misclosure: length("0 in"), Balanced: true, Up: length("0 in")}, `Traverse "lot": 140 ft, closes exactly; elevations close`},
	} {
		if got := closureText(c.closure); got != c.want {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
	}
}
