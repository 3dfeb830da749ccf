// Package section knows what stands as a post, or frames a leaf: sawn and round
// wood, steel pipe, square tube, vinyl sleeves and steel T posts, each by a
// short name that says what it measures.
package section

import (
	"fmt"
	"strings"

	"wattle/internal/measure"
	"wattle/internal/rational"
	"wattle/internal/timber"
)

// Section is what a post measures across, as a price list names it:
//
//	4x4      sawn wood, by its nominal size (see timber.Size)
//	2.375od  round steel pipe, by its actual outside diameter in inches
//	2sq      square metal tube, by its actual width in inches
//	5vinyl   a square vinyl post, by its actual width in inches
//	4rd      a round wood post, by its diameter in inches
//	tee      a steel T post, which is driven
//
// The zero Section is "none".
type Section string

// Kind is what a section is made as.
type Kind int

const (
	None Kind = iota
	Sawn
	Pipe
	Tube
	Vinyl
	RoundWood
	TPost
)

// suffixes of the kinds whose names begin with a width.
var suffixes = []struct {
	suffix string
	kind   Kind
}{{"od", Pipe}, {"sq", Tube}, {"vinyl", Vinyl}, {"rd", RoundWood}}

// teeWidth is the flange of a common T post (from memory).
const teeWidth = measure.Inch * 11 / 8

// widest is more than any post measures across.
const widest = 2 * measure.Foot

// parse is the kind of s and its width across, both zero where s names none.
func (s Section) parse() (Kind, measure.Length) {
	if s == "tee" {
		return TPost, teeWidth
	}
	if _, width := timber.Size(s).Dressed(); width != 0 {
		return Sawn, width
	}
	for _, x := range suffixes {
		number, found := strings.CutSuffix(string(s), x.suffix)
		if !found || number == "" || strings.Trim(number, "0123456789.") != "" {
			continue
		}
		width, plain := measure.Decimal(number, measure.Inch)
		if !plain {
			var err error
			if width, err = measure.Parse(number + " in"); err != nil {
				return None, 0
			}
		}
		if width <= 0 || width > widest {
			return None, 0
		}
		return x.kind, width
	}
	return None, 0
}

// Parse reads a section's name.
func Parse(text string) (Section, error) {
	if s := Section(text); s.Kind() != None {
		return s, nil
	}
	return "", fmt.Errorf("%q is no section known here; expected one such as 4x4, 2.375od, 2sq, 5vinyl, 4rd or tee", text)
}

// Kind is what s is made as, None where its name is not known.
func (s Section) Kind() Kind {
	kind, _ := s.parse()
	return kind
}

// Known reports whether s names a section.
func (s Section) Known() bool { return s.Kind() != None }

// Width is the actual width or diameter of s; of sawn wood the dressed width.
func (s Section) Width() measure.Length {
	_, width := s.parse()
	return width
}

// Square reports whether s is as thick as it is wide. Only sawn wood may not be.
func (s Section) Square() bool {
	kind, width := s.parse()
	if kind == Sawn {
		thickness, _ := timber.Size(s).Dressed()
		return thickness == width
	}
	return kind != None
}

// Nominal is the width that hole rules go by: of sawn wood the nominal, of
// everything else the actual one.
func (s Section) Nominal() measure.Length {
	kind, width := s.parse()
	if kind == Sawn {
		_, width = timber.Size(s).Nominal()
	}
	return width
}

// Wood reports whether nails go into s.
func (s Section) Wood() bool {
	kind := s.Kind()
	return kind == Sawn || kind == RoundWood
}

// Metal reports whether s is steel or another metal, into which screws go.
func (s Section) Metal() bool {
	kind := s.Kind()
	return kind == Pipe || kind == Tube || kind == TPost
}

// Round reports whether s is round.
func (s Section) Round() bool {
	kind := s.Kind()
	return kind == Pipe || kind == RoundWood
}

// DisplacesFt3 is what a length of s displaces, in cubic feet, exactly.
func (s Section) DisplacesFt3(long measure.Length) rational.Number { return s.Displaces(long).Ft3() }

// Displaces is what a length of s takes out of a hole: hollow posts are closed or
// filled. A T post takes nothing.
func (s Section) Displaces(long measure.Length) measure.Solid {
	switch kind, width := s.parse(); kind {
	case Pipe, RoundWood:
		return measure.Cylinder(width, long)
	case Sawn:
		thickness, width := timber.Size(s).Dressed()
		return measure.Box(thickness, width, long)
	case Tube, Vinyl:
		return measure.Box(width, width, long)
	default:
		return measure.Solid{}
	}
}

// Describe is s in words: "4x4", "2.375 in OD pipe".
func (s Section) Describe() string {
	text := string(s)
	for _, x := range suffixes {
		number, found := strings.CutSuffix(text, x.suffix)
		if !found || s.Kind() != x.kind {
			continue
		}
		switch x.kind {
		case Pipe:
			return number + " in OD pipe"
		case Tube:
			return number + " in square tube"
		case Vinyl:
			return number + " in vinyl"
		default:
			return number + " in round"
		}
	}
	if s == "tee" {
		return "steel T"
	}
	return text
}
