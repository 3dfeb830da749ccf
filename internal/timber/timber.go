// Package timber knows sawn softwood: what a nominal size measures once
// dressed, what it weighs, how many board feet it counts as, and how its width
// moves with its moisture.
package timber

import (
	"fmt"
	"strings"

	"wattle/internal/measure"
	"wattle/internal/rational"
)

// Size is a nominal size, thickness by width in inches, as lumber is asked for
// by name: "1x6", "2x4", "4x4". The zero Size is "none".
type Size string

// ParseSize reads a nominal size that the table holds.
func ParseSize(s string) (Size, error) {
	if size := Size(s); size.Known() {
		return size, nil
	}
	names := make([]string, 0, len(sizes))
	for _, size := range Sizes() {
		names = append(names, string(size))
	}
	return "", fmt.Errorf("%q is not a lumber size known here; expected one of %s", s, strings.Join(names, ", "))
}

// Sizes are all sizes, thin before thick and narrow before wide.
func Sizes() []Size {
	all := make([]Size, len(sizes))
	for i, row := range sizes {
		all[i] = row.size
	}
	return all
}

// Known reports whether the table holds s.
func (s Size) Known() bool {
	_, width := s.Nominal()
	return width != 0
}

func (s Size) String() string { return string(s) }

// Dressed is the actual thickness and width of s, surfaced and dry [LUM-1]: a
// 2x4 is 1-1/2 in by 3-1/2 in. Both are 0 for a size that is not known.
func (s Size) Dressed() (thickness, width measure.Length) {
	row := sizeNamed[s]
	return row.dressedThickness, row.dressedWidth
}

// Nominal is the thickness and width in s's name: 2 in by 4 in. Both are 0 for
// a size that is not known.
func (s Size) Nominal() (thickness, width measure.Length) {
	row := sizeNamed[s]
	return row.nominalThickness, row.nominalWidth
}

// BoardFeet is what a piece of s of the given length counts as; see BoardFeet.
func (s Size) BoardFeet(length measure.Length) rational.Number {
	thickness, width := s.Nominal()
	return BoardFeet(thickness, width, length)
}

// BoardFeet is nominal thickness (in) x nominal width (in) x length (ft) / 12,
// exactly; a thickness under an inch counts as an inch [LUM-3].
func BoardFeet(thickness, width, length measure.Length) rational.Number {
	if thickness > 0 {
		thickness = max(thickness, measure.Inch)
	}
	// A board foot is a twelfth of a cubic foot.
	return measure.BoxFt3(thickness, width, length).Mul(rational.Int(12))
}

// PoundsPerFoot is the weight of one foot of s, dressed, at a density in pounds
// per cubic foot, exactly. 35 lb/ft3 is common for dry construction softwood
// [LUM-1w].
func (s Size) PoundsPerFoot(density int64) rational.Number {
	thickness, width := s.Dressed()
	return measure.BoxFt3(thickness, width, measure.Foot).Mul(rational.Int(density))
}
