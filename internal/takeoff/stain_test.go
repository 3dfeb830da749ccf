package takeoff

import (
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// once is a coat of 100 ft2 a gallon, by the coverage alone.
func once(s *spec.Spec) { s.Extras.Stain.Coverage = decimal.Hundred }

// A leaf of lying boards is stained as the fence is: 26 ft less the posts of a
// gate of 4 ft, and its leaf of 3 ft 11 in, both sides, 5 ft 10 in high.
func TestStainOfLyingLeaves(t *testing.T) {
	s := spec.Spec{Family: spec.HorizontalBoards, Height: 6 * ft}
	once(&s)
	s = s.WithDefaults()
	if s.Extras.Stain.Coats != 1 {
		t.Fatalf("a coverage without coats is %d coats", s.Extras.Stain.Coats)
	}
	st := straight()
	k := countedAt(t, st, s)
	area := ft2(k.NetLength+47*measure.Inch, 70*measure.Inch).Mul(whole(2))
	want, err := decimalOf(area.Quo(whole(100)))
	if got := lineOf(t, k, "stain").Net; err != nil || got.Cmp(want) != 0 {
		t.Errorf("%s gal, want %s", got, want)
	}
	says(t, k, "stain", "Gate walk: 1 leaf of 3 ft 11 in x 5 ft 10 in x 2 sides = 45.6944... ft2.")
}

// Boards are stained as long as they stand: of two stepped bays one stands 8 in
// over the ground, which takes 78 in for each of its 18 boards; of a racked one
// those that are bought longer. 2 x 5-1/2 in around. Common practice.
func TestStainOfLongerBoards(t *testing.T) {
	s := sixFoot(once)
	for _, c := range []struct {
		name    string
		steps   bool
		said    []string
		gallons string
	}{
		{"stepped", true, []string{"18 boards x 11 in around x 5 ft 10 in = 96.25 ft2.", "18 boards x 11 in around x 6 ft 6 in = 107.25 ft2.",
			"96.25 ft2 of boards of 5 ft 10 in + 107.25 ft2 of boards of 6 ft 6 in = 203.5 ft2."}, "2.035"},
		{"racked", false, []string{"18 boards x 11 in around x 6 ft 6 in = 107.25 ft2."}, ""},
	} {
		change := []func(*layout.Layout){gaps("0 in, 8 in")}
		if c.steps {
			change = append(change, stepped)
		}
		k := tookOff(t, hill("8 ft, 8 ft", change...), s, nil)
		says(t, k, "stain", c.said...)
		if got := lineOf(t, k, "stain").Net.String(); c.gallons != "" && got != c.gallons {
			t.Errorf("%s: %s gal, want %s", c.name, got, c.gallons)
		}
	}
}
