package spec

import (
	"slices"
	"strings"
	"testing"

	"wattle/internal/measure"
)

// 2 up to 4 ft, 3 up to 6 ft, 4 up to 8 ft (common practice).
func TestRailCount(t *testing.T) {
	for _, c := range []struct {
		height measure.Length
		want   int
	}{
		{0, 0}, {3 * ft, 2}, {4 * ft, 2}, {4*ft + 1, 3}, {6 * ft, 3}, {6*ft + 1, 4}, {8 * ft, 4}, {8*ft + 1, 0},
	} {
		if got := filled(Spec{Height: c.height}).RailCount(); got != c.want {
			t.Errorf("%s: %d rails, want %d", c.height, got, c.want)
		}
	}
}

// Reveals of 6 in to the outer edges of 3-1/2 in rails: on a 6 ft fence 2 in
// above grade the bottom rail's centre is at 2 + 6 + 1-3/4, the top rail's at
// 72 - 6 - 1-3/4 (trade 5, computed here).
func TestRailCentres(t *testing.T) {
	for _, c := range []struct {
		height measure.Length
		want   []measure.Length
	}{
		{6 * ft, []measure.Length{in * 39 / 4, 37 * in, in * 257 / 4}},
		{4 * ft, []measure.Length{in * 39 / 4, in * 161 / 4}},
		{8 * ft, []measure.Length{in * 39 / 4, in*39/4 + 664_633_333, in*39/4 + 1_329_266_667, in * 353 / 4}},
		{0, nil},
	} {
		if got := filled(Spec{Height: c.height}).RailCentres(); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.height, got, c.want)
		}
	}
}

// 2 hinges, 3 on a leaf over 5 ft high (common practice).
func TestHingesPerLeaf(t *testing.T) {
	for _, c := range []struct {
		height measure.Length
		own    int
		want   int
	}{{4 * ft, 0, 2}, {62 * in, 0, 2}, {62*in + 1, 0, 3}, {6 * ft, 2, 2}} {
		s := Spec{Height: c.height, Gates: Gates{HingesPerLeaf: c.own}}.WithDefaults()
		if got := s.HingesPerLeaf(); got != c.want || s.Gates.HingesPerLeaf != c.want {
			t.Errorf("%s: %d, want %d", c.height, got, c.want)
		}
	}
}

// FAS-2 (US Navy 14119, seen): a nail at least 3 x the thickness held, 5/8 in
// takes 6d, 3/4 in takes 8d.
func TestNailFor(t *testing.T) {
	for _, c := range []struct {
		thickness measure.Length
		want      string
	}{{in * 5 / 8, "6d"}, {in * 3 / 4, "8d"}, {in, "10d"}, {in * 3 / 2, "20d"}} {
		if got := NailFor(c.thickness); got != c.want {
			t.Errorf("%s takes %s, want %s", c.thickness, got, c.want)
		}
	}
}

// FAS-1: what a seen page gives, within the 8 % that the table there allows.
func TestNailsPerPound(t *testing.T) {
	ours := Spec{}.WithDefaults().Fasteners.NailsPerPound
	for penny, seen := range map[string]int{"6d": 170, "8d": 100, "10d": 65, "12d": 60, "16d": 50, "20d": 30} {
		if off := ours[penny] - seen; off*100 > seen*8 || -off*100 > seen*8 {
			t.Errorf("%s: %d to the pound, seen %d", penny, ours[penny], seen)
		}
	}
	if len(ours) != len(NailSizes()) {
		t.Errorf("%d sizes with a count, %d known", len(ours), len(NailSizes()))
	}
}

// Nail lengths are from memory: 8d is 2-1/2 in, a 1x6 on a 2x4 is 2-1/4 in.
func TestNailCaution(t *testing.T) {
	s := sixFoot()
	if got := filled(s).NailCaution(); !strings.Contains(got, "come out 1/4 in behind a board of 3/4 in on a rail of 1-1/2 in") {
		t.Errorf("8d: %q", got)
	}
	s.Fasteners.BoardNail = "6d"
	if got := filled(s).NailCaution(); got != "" {
		t.Errorf("6d: %q", got)
	}
}
