package measure

import (
	"fmt"
	"strings"
)

// Parse reads a length as a tape or a plan gives it: 54' 6", 7' 6-1/2",
// 7'6 1/2", 8'-2", 6 ft 3 in, 5.5 in, 1/2 in, 3 yd, 2.4 m, 2400 mm, 12345 nm;
// typeset primes and quotation marks serve as ' and ". Miles, yards, feet and
// inches may follow one another, the larger first; other units stand alone.
//
// A unit is always required. A leading minus, for coordinates, applies to the
// whole. The length must be a whole number of nanometres (1/3 in is not one,
// 0.333 in is) of at most MaxSiteTotal; nothing is ever rounded.
func Parse(s string) (Length, error) {
	fail := func(format string, args ...any) (Length, error) {
		return 0, fmt.Errorf("%s is not a length: %s", quoted(s), fmt.Sprintf(format, args...))
	}
	if len(s) > maxText {
		return fail("expected at most %d characters", maxText)
	}
	r := reader{rest: strings.TrimSpace(s)}
	if r.rest == "" {
		return fail(`expected a number with its unit, as in 7' 6-1/2" or 2.4 m`)
	}
	negative := r.minus()
	var total uint64
	for last := Length(0); ; {
		n, err := r.number()
		if err != nil {
			return fail("%v", err)
		}
		r.space()
		name := r.word()
		unit, known := unitNamed(name)
		switch {
		case name == "":
			return fail(`it needs a unit, as in 8 ft, 7' 6-1/2" or 2.4 m`)
		case !known:
			return fail("unknown unit %s; expected mi, yd, ft, in, m, cm, mm or nm", quoted(name))
		case last != 0 && !(imperial(last) && imperial(unit) && unit < last):
			return fail("only yards, feet and inches may follow one another, the larger unit first")
		}
		mag, exact, ok := n.times(uint64(unit))
		if total += mag; !ok || mag > uint64(MaxSiteTotal) || total > uint64(MaxSiteTotal) {
			return fail("expected at most %s", MaxSiteTotal)
		}
		if !exact {
			return fail("it is no whole number of nanometres; give a decimal or a fraction over a power of two")
		}
		last = unit
		if rest, ok := strings.CutPrefix(r.rest, "-"); ok { // 8'-2"
			r.rest = rest
		} else if r.space(); r.rest == "" {
			break
		}
	}
	v, _ := signed(negative, total)
	return Length(v), nil
}

// Must is Parse for constants and tests; it panics on error.
func Must(s string) Length {
	l, err := Parse(s)
	if err != nil {
		panic(err)
	}
	return l
}

func imperial(unit Length) bool { return unit >= Inch && unit%Inch == 0 }
