package timber

import (
	"fmt"
	"math/big"
	"strings"
)

// Species is a wood by the name that the trade calls it. The zero Species is
// none.
type Species string

// Where figures come from that the checks do not have.
const (
	fromMemory = "from memory"
	handbook43 = "Wood Handbook FPL-GTR-190 Table 4-3, seen as transcription"
	largestOf3 = "the largest of the loblolly, longleaf and shortleaf pine sold under this name [WOOD-3c]"
)

// wood is what is known of the movement of one species. narrow is C_T, the
// tangential change for a percent of moisture between 6 % and 14 %, in 0.00001;
// wide is S, the tangential shrinkage from green to oven-dry, in 0.1 %. 0 is not
// known.
type wood struct {
	name       Species
	narrow     int64
	narrowFrom string
	wide       int64
	wideFrom   string
}

// Units of narrow, and of wide in percent.
const (
	narrowUnit = 100_000
	wideUnit   = 10
)

// woods is every wood that movement is known of, cedars first. Fence boards are
// mostly flat-sawn, so their width moves tangentially; a quarter-sawn one moves
// about half as much.
var woods = []wood{
	{"western redcedar", 234, "[WOOD-3c]", 50, "[WOOD-5]"},
	{"northern white cedar", 229, "[WOOD-3c]", 49, handbook43},
	{"Atlantic white cedar", 187, fromMemory, 54, handbook43},
	{"incense cedar", 180, fromMemory, 52, handbook43},
	// Sugi, which comes kiln-dried; its shrinkage from green is not known here.
	{"Japanese cedar", 250, fromMemory, 0, ""},
	// The S of [WOOD-5] is that of old growth, the C_T of [WOOD-3c] of young.
	{"redwood", 205, fromMemory, 44, "[WOOD-5]"},
	{"young-growth redwood", 229, "[WOOD-3c]", 49, fromMemory},
	{"bald cypress", 216, fromMemory, 62, fromMemory},
	{"southern pine", 271, largestOf3, 80, "[WOOD-5]"},
	{"loblolly pine", 259, "[WOOD-3c]", 74, fromMemory},
	{"longleaf pine", 263, "[WOOD-3c]", 75, fromMemory},
	{"shortleaf pine", 271, "[WOOD-3c]", 77, fromMemory},
	{"ponderosa pine", 216, fromMemory, 62, fromMemory},
	{"eastern white pine", 212, fromMemory, 61, fromMemory},
	{"Douglas-fir (coast)", 267, "[WOOD-3c]", 76, handbook43},
	{"white fir", 245, "from memory [WOOD-3]", 70, handbook43},
}

// ParseSpecies reads the name of a wood that the table holds, in upper or lower
// case.
func ParseSpecies(s string) (Species, error) {
	for _, w := range woods {
		if strings.EqualFold(string(w.name), s) {
			return w.name, nil
		}
	}
	return "", fmt.Errorf("%.40q is not a wood known here; expected one of %s", s, speciesNames())
}

// AllSpecies are all woods of the table, in its order.
func AllSpecies() []Species {
	all := make([]Species, len(woods))
	for i, w := range woods {
		all[i] = w.name
	}
	return all
}

func speciesNames() string {
	names := make([]string, len(woods))
	for i, w := range woods {
		names[i] = string(w.name)
	}
	return strings.Join(names, ", ")
}

// Known reports whether the table holds s.
func (s Species) Known() bool { return s.wood().name != "" }

func (s Species) String() string { return string(s) }

// Coefficient is C_T, the part of its width by which a flat-sawn board of s
// moves for one percent of moisture between 6 % and 14 %, and where the figure
// comes from: 0.00234 for western redcedar. Not ok where it is not known.
func (s Species) Coefficient() (perPercent *big.Rat, source string, ok bool) {
	w := s.wood()
	return big.NewRat(w.narrow, narrowUnit), w.narrowFrom, w.narrow != 0
}

// Shrinkage is S, the percentage of its green width by which a flat-sawn board
// of s shrinks until it is oven-dry, and where the figure comes from: 5 for
// western redcedar. Not ok where it is not known.
func (s Species) Shrinkage() (percent *big.Rat, source string, ok bool) {
	w := s.wood()
	return big.NewRat(w.wide, wideUnit), w.wideFrom, w.wide != 0
}

// wood is s's row; the zero wood for a species that is not known.
func (s Species) wood() wood {
	for _, w := range woods {
		if w.name == s {
			return w
		}
	}
	return wood{}
}

// has reports whether the table has the figure for a form.
func (s Species) has(f Form) bool {
	if f == Narrow {
		return s.wood().narrow != 0
	}
	return s.wood().wide != 0
}
