package measure

import (
	"fmt"
	"slices"
	"strings"
)

// sexagesimalParts are the parts of an angle and the marks they may carry, a
// mark before its own beginnings.
var sexagesimalParts = []struct {
	name  string
	marks []string
}{
	{"degrees", []string{"degrees", "degree", "deg", "d", "°", "º"}},
	{"minutes", []string{"minutes", "minute", "min", "m", "′", "’", "‘", "'"}},
	{"seconds", []string{"seconds", "second", "sec", "s", `"`, "″", "”", "“", "''", "′′", "’’"}},
}

// sexagesimal takes degrees, or degrees and minutes, or those and seconds, to
// the nearest nanodegree. Where spaced, a space alone joins two parts. Lone is
// a number without mark or second part.
func (r *reader) sexagesimal(spaced bool) (a Angle, lone bool, err error) {
	var total, div int64 = 0, 1 // total/div of the part just read
	for i, part := range sexagesimalParts {
		n, err := r.plainNumber()
		switch {
		case err != nil:
			return 0, false, fmt.Errorf("expected %s: %w", part.name, err)
		case n.den > uint64(Degree):
			return 0, false, fmt.Errorf("expected at most nine decimals in the %s", part.name)
		case i == 0 && n.num > 360*n.den:
			return 0, false, fmt.Errorf("%s degrees; expected at most 360", n)
		case i > 0 && n.num >= 60*n.den:
			return 0, false, fmt.Errorf("%s %s; expected less than 60", n, part.name)
		}
		div = int64(n.den)
		total = total*60*div + int64(n.num)
		marked := r.mark(part.marks)
		lone = i == 0 && !marked
		if last := i == len(sexagesimalParts)-1; last || n.den > 1 || !r.joined(marked, spaced, i) {
			for range i {
				div *= 60
			}
			break
		}
	}
	nano, _ := MulDivRound(total, int64(Degree), div)
	return Angle(nano), lone, nil
}

// joined takes what joins part i to the next, if it is followed by one: a dash
// or colon; nothing, after a mark; a space, where the number after it has a mark
// too; or a space anyway, where spaced.
func (r *reader) joined(marked, spaced bool, i int) bool {
	after := *r
	glued := after.digitNext()
	after.space()
	dashed := slices.ContainsFunc([]string{"-", "–", "−", ":"}, func(dash string) bool {
		rest, ok := strings.CutPrefix(after.rest, dash)
		if ok {
			after.rest = rest
		}
		return ok
	})
	after.space()
	if !dashed && !after.digitNext() {
		return false
	}
	number := after
	_, err := number.plainNumber()
	if !dashed && !spaced && !(marked && (glued || err == nil && number.mark(sexagesimalParts[i+1].marks))) {
		return false
	}
	*r = after
	return true
}

// mark takes one of the marks, with spaces before it, except that d, m and s
// stand right after their number: the S in 45-30-00 S is south, the m in 45 m a
// metre.
func (r *reader) mark(marks []string) bool {
	after := *r
	after.space()
	glued := len(after.rest) == len(r.rest)
	for _, m := range marks {
		letter := len(m) == 1 && 'a' <= m[0] && m[0] <= 'z'
		if len(after.rest) >= len(m) && strings.EqualFold(after.rest[:len(m)], m) && (glued || !letter) {
			r.rest = after.rest[len(m):]
			return true
		}
	}
	return false
}

func (r *reader) digitNext() bool {
	return r.rest != "" && '0' <= r.rest[0] && r.rest[0] <= '9'
}

// plainNumber takes 45 or 45.5; a fraction would swallow what follows.
func (r *reader) plainNumber() (ratio, error) {
	whole, decimals := r.digits(), ""
	if whole == "" {
		if r.rest == "" {
			return ratio{}, fmt.Errorf("found the end")
		}
		return ratio{}, fmt.Errorf("found %s", quoted(r.rest))
	}
	if rest, ok := strings.CutPrefix(r.rest, "."); ok {
		r.rest = rest
		if decimals = r.digits(); decimals == "" {
			return ratio{}, fmt.Errorf("no digits after the decimal point")
		}
	}
	return decimal(whole, decimals)
}

// String is n as a decimal of at most nine digits.
func (n ratio) String() string { return decimalText(int64(n.num), int64(n.den), 9) }
