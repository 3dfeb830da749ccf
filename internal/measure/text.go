package measure

import (
	"bytes"
	"fmt"
	"math/bits"
	"slices"
	"strconv"
	"strings"
)

// maxText is the longest text that is read as one quantity.
const maxText = 64

// lengthUnits are the units of length that text may use, the spellings after
// the one that is printed.
var lengthUnits = []struct {
	unit      Length
	spellings []string
}{
	{Mile, []string{"mi", "mile", "miles"}},
	{Yard, []string{"yd", "yds", "yard", "yards"}},
	{Foot, []string{"ft", "foot", "feet", "'", "′", "’", "‘"}},
	{Inch, []string{"in", "ins", "inch", "inches", `"`, "″", "”", "“", "''", "′′", "’’"}},
	{Metre, []string{"m", "metre", "metres", "meter", "meters"}},
	{Centimetre, []string{"cm"}},
	{Millimetre, []string{"mm"}},
	{Nanometre, []string{"nm"}},
}

func unitNamed(s string) (Length, bool) {
	s = strings.ToLower(s)
	for _, u := range lengthUnits {
		if slices.Contains(u.spellings, s) {
			return u.unit, true
		}
	}
	return 0, false
}

func symbol(unit Length) (string, bool) {
	for _, u := range lengthUnits {
		if u.unit == unit {
			return u.spellings[0], true
		}
	}
	return "", false
}

// reader takes one quantity's text apart from the left.
type reader struct{ rest string }

func (r *reader) space() {
	for n := spaceAt(r.rest); n > 0; n = spaceAt(r.rest) {
		r.rest = r.rest[n:]
	}
}

// spaceAt is how many bytes the space takes that s begins with, zero for none.
// (Package strings would look every letter up among these.)
func spaceAt(s string) int {
	switch {
	case s != "" && (s[0] == ' ' || s[0] == '\t'):
		return 1
	case strings.HasPrefix(s, "\u00a0"):
		return len("\u00a0")
	default:
		return 0
	}
}

// minus takes a leading minus sign, typed or typeset.
func (r *reader) minus() bool {
	for _, sign := range []string{"-", "−"} {
		if rest, ok := strings.CutPrefix(r.rest, sign); ok {
			r.rest = rest
			r.space()
			return true
		}
	}
	return false
}

func (r *reader) digits() string {
	end := 0
	for end < len(r.rest) && '0' <= r.rest[end] && r.rest[end] <= '9' {
		end++
	}
	d := r.rest[:end]
	r.rest = r.rest[end:]
	return d
}

// word takes a unit: letters, or marks such as ' and ″.
func (r *reader) word() string {
	end := 0
	for end < len(r.rest) && !endsWord(r.rest[end:]) {
		end++
	}
	w := r.rest[:end]
	r.rest = r.rest[end:]
	return w
}

// endsWord reports whether what s begins with is of no word.
func endsWord(s string) bool {
	return '0' <= s[0] && s[0] <= '9' || s[0] == '-' || s[0] == ',' || strings.HasPrefix(s, "−") || spaceAt(s) > 0
}

// ratio is a number as written: num/den, den > 0.
type ratio struct{ num, den uint64 }

// times is n of the unit; not exact where a remainder was cut off, not ok where
// the result passes 64 bits.
func (n ratio) times(unit uint64) (quo uint64, exact, ok bool) {
	p := product(n.num, unit)
	if p.hi >= n.den {
		return 0, false, false
	}
	quo, rem := bits.Div64(p.hi, p.lo, n.den)
	return quo, rem == 0, true
}

// number takes 8, 5.5, 1/2, 6-1/2 or 6 1/2.
func (r *reader) number() (ratio, error) {
	whole := r.digits()
	if whole == "" {
		if r.rest == "" {
			return ratio{}, fmt.Errorf("expected a number, found the end")
		}
		return ratio{}, fmt.Errorf("expected a number, found %s", quoted(r.rest))
	}
	if rest, ok := strings.CutPrefix(r.rest, "."); ok {
		r.rest = rest
		decimals := r.digits()
		if decimals == "" {
			return ratio{}, fmt.Errorf("expected digits after the decimal point")
		}
		return decimal(whole, decimals)
	}
	if rest, ok := strings.CutPrefix(r.rest, "/"); ok {
		r.rest = rest
		return fraction("0", whole, r.digits())
	}
	// A fraction may follow, as in 6-1/2; anything else is the next part's.
	after := reader{rest: r.rest}
	if rest, ok := strings.CutPrefix(after.rest, "-"); ok {
		after.rest = rest
	}
	after.space()
	num := after.digits()
	if rest, ok := strings.CutPrefix(after.rest, "/"); ok && num != "" && after.rest != r.rest {
		after.rest = rest
		n, err := fraction(whole, num, after.digits())
		r.rest = after.rest
		return n, err
	}
	return decimal(whole, "")
}

func decimal(whole, decimals string) (ratio, error) {
	decimals = strings.TrimRight(decimals, "0")
	digits := strings.TrimLeft(whole+decimals, "0")
	if len(digits) > 18 || len(decimals) > 18 {
		return ratio{}, fmt.Errorf("expected at most 18 digits")
	}
	n := ratio{den: 1}
	if digits != "" {
		n.num, _ = strconv.ParseUint(digits, 10, 64)
	}
	for range decimals {
		n.den *= 10
	}
	return n, nil
}

func fraction(whole, num, den string) (ratio, error) {
	var v [3]uint64
	for i, s := range []string{whole, num, den} {
		if s == "" {
			return ratio{}, fmt.Errorf("expected a fraction such as 1/2")
		}
		if len(strings.TrimLeft(s, "0")) > 9 {
			return ratio{}, fmt.Errorf("expected at most 9 digits in each part of a fraction")
		}
		v[i], _ = strconv.ParseUint(s, 10, 64)
	}
	if v[2] == 0 {
		return ratio{}, fmt.Errorf("a fraction cannot have 0 below the line")
	}
	return ratio{v[0]*v[2] + v[1], v[2]}, nil
}

// Decimal is so many of the unit, for a plain decimal without a sign, of at most
// nine digits on either side, that comes to whole nanometres: what In writes, for
// most lengths. False for anything else; Parse says what is wrong with it.
func Decimal(number string, unit Length) (Length, bool) {
	whole, decimals, point := strings.Cut(number, ".")
	if whole == "" || len(whole) > 9 || len(decimals) > 9 || point && decimals == "" {
		return 0, false
	}
	value, den := uint64(0), uint64(1)
	for _, digits := range []string{whole, decimals} {
		for i := range len(digits) {
			d := digits[i] - '0'
			if d > 9 {
				return 0, false
			}
			value = 10*value + uint64(d)
		}
	}
	for range decimals {
		den *= 10
	}
	nm, exact, ok := ratio{value, den}.times(uint64(unit))
	return Length(nm), ok && exact && Length(nm) <= MaxLength && unit > 0
}

// quoted is s for an error message, shortened where it is long.
func quoted(s string) string {
	if len(s) > maxText {
		s = s[:maxText-3] + "..."
	}
	return strconv.Quote(s)
}

// decimalText is v/unit as a decimal of at most places digits, rounded halves
// away from zero, trailing zeros dropped. unit > 0.
func decimalText(v, unit int64, places int) string {
	return string(appendDecimal(make([]byte, 0, shortText), v, unit, places))
}

// shortText holds nearly every figure, so that its text is made where it stands.
const shortText = 32

func appendDecimal(b []byte, v, unit int64, places int) []byte {
	if v%unit == 0 {
		places = 0 // all of them would be dropped again
	}
	b = appendFixed(b, v, unit, places)
	if places > 0 {
		b = bytes.TrimRight(bytes.TrimRight(b, "0"), ".")
	}
	return b
}

// fixedText is v/unit as a decimal of exactly places digits, rounded halves
// away from zero. unit > 0.
func fixedText(v, unit int64, places int) string {
	return string(appendFixed(make([]byte, 0, shortText), v, unit, places))
}

// appendFixed appends it to b, which is empty.
func appendFixed(b []byte, v, unit int64, places int) []byte {
	mag, div := magnitude(v), uint64(unit)
	whole, rest := mag/div, mag%div
	if v < 0 {
		b = append(b, '-')
	}
	b = strconv.AppendUint(b, whole, 10)
	if places > 0 {
		b = append(b, '.')
	}
	for range places {
		hi, lo := bits.Mul64(rest, 10)
		var d uint64
		d, rest = bits.Div64(hi, lo, div)
		b = append(b, byte('0'+d))
	}
	if rest >= div-rest {
		b = roundUp(b)
	}
	if v < 0 && len(bytes.Trim(b, "-0.")) == 0 {
		b = b[1:]
	}
	return b
}

// roundUp adds one to the last digit of a decimal, and carries.
func roundUp(b []byte) []byte {
	for i := len(b) - 1; i >= 0; i-- {
		switch b[i] {
		case '.':
		case '-':
			return slices.Insert(b, i+1, '1')
		case '9':
			b[i] = '0'
		default:
			b[i]++
			return b
		}
	}
	return slices.Insert(b, 0, '1')
}
