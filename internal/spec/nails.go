package spec

import (
	"maps"

	"wattle/internal/measure"
)

// nails are the common nails that can be named, by penny size.
//
// Lengths are from memory. Counts per pound are FAS-1 as recalled there (a
// published page differs by up to 8 %); they are a default that a spec may
// replace, since box nails, ring shanks and coatings weigh differently.
var nails = []struct {
	penny    string
	length   measure.Length
	perPound int
}{
	{"6d", 2 * measure.Inch, 181},
	{"8d", measure.Inch * 5 / 2, 106},
	{"10d", 3 * measure.Inch, 69},
	{"12d", measure.Inch * 13 / 4, 63},
	{"16d", measure.Inch * 7 / 2, 49},
	{"20d", 4 * measure.Inch, 31},
}

// NailLength is the length of a common nail; ok is false for a penny size that
// is not known here.
func NailLength(penny string) (length measure.Length, ok bool) {
	for _, n := range nails {
		if n.penny == penny {
			return n.length, true
		}
	}
	return 0, false
}

// NailSizes are the penny sizes known here, short before long.
func NailSizes() []string {
	sizes := make([]string, len(nails))
	for i, n := range nails {
		sizes[i] = n.penny
	}
	return sizes
}

// NailFor is the shortest nail at least three times as long as the thickness it
// holds [FAS-2: 5/8 in takes 6d, 3/4 in takes 8d]; past the longest known it is
// that one.
func NailFor(thickness measure.Length) string {
	for _, n := range nails {
		if n.length >= 3*thickness {
			return n.penny
		}
	}
	return nails[len(nails)-1].penny
}

// published are the table's counts, by penny size.
var published = func() map[string]int {
	all := make(map[string]int, len(nails))
	for _, n := range nails {
		all[n.penny] = n.perPound
	}
	return all
}()

// nailsPerPound is the table, with what the spec says over it.
func nailsPerPound(own map[string]int) map[string]int {
	all := maps.Clone(published)
	maps.Copy(all, own)
	return all
}

// NailCaution is a sentence where the board nail is longer than what it goes
// through, board and rail, and comes out at the back; empty where it does not,
// or where a size is not known.
func (s *Spec) NailCaution() string {
	length, ok := NailLength(s.Fasteners.BoardNail)
	board, rail := s.Boards.Thickness, s.RailThickness()
	if !ok || rail == 0 || length <= board+rail {
		return ""
	}
	return "Board nails of " + s.Fasteners.BoardNail + " are " + length.Imperial() + " long and come out " + (length - board - rail).Imperial() +
		" behind a board of " + board.Imperial() + " on a rail of " + rail.Imperial() + "."
}

func knownNail(penny string) bool {
	_, ok := NailLength(penny)
	return ok
}
