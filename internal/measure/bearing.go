package measure

import (
	"fmt"
	"strconv"
	"strings"
)

// ParseBearing reads a bearing as a plat gives it and answers the direction it
// points in, counterclockwise from east in [0, 360) degrees, as Direction gives
// it and Step takes it:
//
//   - quadrant bearings, from north or south toward east or west, at most 90
//     degrees: N 45-30-00 E, S68-05-35W, N 45°30'00" E, N 45 30 00 E,
//     N 45d30m E, N 45.5 E, North 45-30 East;
//   - azimuths, clockwise from north, at most 360 degrees: Az 68-05-35,
//     azimuth 248.0931 deg, 248-05-35. Dashes, colons or marks join their parts,
//     never a space alone: what closes a quadrant bearing is its last letter,
//     and an azimuth has none;
//   - the four quarters: E, due east, North.
//
// Case does not matter. Minutes and seconds are below 60, and only the last
// part may have decimals (at most nine). A second is 277,777.78 nanodegrees: the
// whole bearing is rounded once, to the nearest nanodegree, which is at most
// 0.0000018 seconds, or 9 nm in a kilometre. Opposite bearings stay opposite.
func ParseBearing(s string) (Angle, error) {
	a, rest, err := CutBearing(s)
	switch {
	case len(s) > maxText:
		return 0, fmt.Errorf("%s is not a bearing: expected at most %d characters", quoted(s), maxText)
	case err != nil:
		return 0, err
	case rest != "":
		return 0, fmt.Errorf("%s is not a bearing: expected nothing after it, found %s; a quadrant bearing is written from N or S, as N 45-30-00 E", quoted(s), quoted(rest))
	}
	return a, nil
}

// CutBearing reads the bearing at the start of s, as ParseBearing does, and
// gives what follows it, without the spaces around.
func CutBearing(s string) (direction Angle, rest string, err error) {
	r := reader{rest: strings.TrimSpace(s)}
	a, err := r.bearing()
	if err != nil {
		return 0, s, fmt.Errorf("%s is not a bearing: %w", quoted(s), err)
	}
	r.space()
	return a, r.rest, nil
}

// BearingText is the quadrant bearing of a direction: "N 45-30-00 E". Its
// seconds have the fewest decimals with which ParseBearing reads the same
// direction again, but no more than places; six always suffice. 0 gives the
// nearest second, as plats do.
func BearingText(direction Angle, places int) string {
	a := direction % (360 * Degree)
	if a < 0 {
		a += 360 * Degree
	}
	from, toward := "N", "E"
	if a > 180*Degree {
		from, a = "S", 360*Degree-a
	}
	if a > 90*Degree {
		toward, a = "W", 180*Degree-a
	}
	a = 90*Degree - a
	for decimals, per := 0, int64(1); ; decimals, per = decimals+1, per*10 {
		parts, _ := MulDivRound(int64(a), 3600*per, int64(Degree)) // of a second
		again, _ := MulDivRound(parts, int64(Degree), 3600*per)
		if again != int64(a) && decimals < min(places, 6) {
			continue
		}
		seconds, fraction := parts/per, ""
		if decimals > 0 {
			fraction = "." + strconv.FormatInt(per+parts%per, 10)[1:]
		}
		return fmt.Sprintf("%s %d-%02d-%02d%s %s", from, seconds/3600, seconds/60%60, seconds%60, fraction, toward)
	}
}

// quarter is a quarter of the horizon by the start of its name.
func quarter(word string) (name string, direction Angle, ok bool) {
	switch word {
	case "e", "east":
		return "E", 0, true
	case "n", "north":
		return "N", 90 * Degree, true
	case "w", "west":
		return "W", 180 * Degree, true
	case "s", "south":
		return "S", 270 * Degree, true
	}
	return "", 0, false
}

// name takes a word without regard to case and to a full stop or colon after it.
func (r *reader) name() string {
	r.space()
	return strings.TrimRight(strings.ToLower(r.word()), ".:")
}

func (r *reader) bearing() (Angle, error) {
	if r.digitNext() {
		return r.azimuth(false)
	}
	word := r.name()
	due := word == "due"
	if due {
		word = r.name()
	}
	from, direction, ok := quarter(word)
	r.space()
	switch {
	case !ok && (word == "az" || word == "azimuth"):
		return r.azimuth(true)
	case !ok:
		return 0, fmt.Errorf("expected a bearing such as N 45-30-00 E, Az 248-05-35 or due east")
	case due || from == "E" || from == "W" || r.rest == "" || r.rest[0] == ',':
		return direction, nil
	}
	a, _, err := r.sexagesimal(true)
	if err != nil {
		return 0, err
	}
	found := r.name()
	toward, _, _ := quarter(found)
	switch {
	case toward != "E" && toward != "W":
		return 0, fmt.Errorf("expected E or W after the angle, found %s; straight %s is written due %[2]s", quoted(found), from)
	case a > 90*Degree:
		return 0, fmt.Errorf("%v is more than 90 deg, the most that a quadrant bearing turns from %s", a, from)
	}
	if (from == "N") == (toward == "W") { // counterclockwise
		return (direction + a) % (360 * Degree), nil
	}
	return direction - a, nil
}

// azimuth takes an angle clockwise from north. A number alone is one only where
// it was called one; it may be a distance otherwise.
func (r *reader) azimuth(called bool) (Angle, error) {
	a, lone, err := r.sexagesimal(false)
	if err != nil {
		return 0, err
	}
	after := *r
	_, _, lettered := quarter(after.name())
	switch {
	case lettered:
		return 0, fmt.Errorf("expected N or S before the angle, as in N 45-30-00 E")
	case lone && !called:
		return 0, fmt.Errorf("expected N, S or Az before a number alone, or its unit, as in Az 248.5 or 248.5 deg")
	case a > 360*Degree:
		return 0, fmt.Errorf("%v is more than 360 deg, the most of an azimuth", a)
	}
	return (450*Degree - a) % (360 * Degree), nil
}
