package measure

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// dms is degrees, minutes and seconds to the nearest nanodegree.
func dms(d, m, s int64) Angle {
	nano, _ := MulDivRound((d*60+m)*60+s, int64(Degree), 3600)
	return Angle(nano)
}

func TestParseBearing(t *testing.T) {
	north, west, south := 90*Degree, 180*Degree, 270*Degree
	for text, want := range map[string]Angle{
		// quadrant bearings
		`N 45-30-00 E`:             dms(44, 30, 0),
		`S68-05-35W`:               south - dms(68, 5, 35),
		`N 45°30'00" E`:            dms(44, 30, 0),
		`N 45 30 00 E`:             dms(44, 30, 0),
		`N 45.5 E`:                 dms(44, 30, 0),
		`N 45d30m E`:               dms(44, 30, 0),
		`n45d30m00se`:              dms(44, 30, 0),
		`N45E`:                     dms(45, 0, 0),
		`S 10-15 E`:                south + dms(10, 15, 0),
		`N 45° 30.5' W`:            north + dms(45, 30, 30),
		`N 45º-30′-15.5″ W`:        north + Angle(45_504_305_556), // 45 + 30/60 + 15.5/3600
		`N 45 deg 30 min 15 sec E`: north - dms(45, 30, 15),
		`North 45:30 East`:         dms(44, 30, 0),
		`N. 45 - 30 – 00 E.`:       dms(44, 30, 0),
		"  s\u00a045 E ":           south + dms(45, 0, 0),
		`N 0-00-01 E`:              north - 277_778, // 277,777.78 nanodegrees
		`S 0-00-01 W`:              south - 277_778,
		`N 0 E`:                    north,
		`N 90-00-00 E`:             0,
		`S 90 W`:                   west,
		`S 90 E`:                   0,
		// azimuths
		`Az 68-05-35`:           dms(21, 54, 25),
		`azimuth 248.0931 deg`:  201_906_900_000, // 450 - 248.0931
		`248-05-35`:             450*Degree - dms(248, 5, 35),
		`AZ. 248`:               dms(202, 0, 0),
		`azimuth: 248°05'35"`:   450*Degree - dms(248, 5, 35),
		`248° 05' 35"`:          450*Degree - dms(248, 5, 35),
		`248.5°`:                dms(201, 30, 0),
		`0 deg`:                 north,
		`Az 360`:                north,
		`Az 359.999999999`:      north + 1,
		`az 90-00-00.000000001`: 0,
		// quarters
		`due east`: 0, `E`: 0, `Due North`: north, `n`: north, `west`: west, `due S`: south,
	} {
		got, err := ParseBearing(text)
		if err != nil || got != want {
			t.Errorf("ParseBearing(%q) = %d, %v; want %d", text, int64(got), err, int64(want))
		}
	}
}

func TestParseBearingSaysWhatIsWrong(t *testing.T) {
	for text, why := range map[string]string{
		`N 45-95-00 E`:                        `"N 45-95-00 E" is not a bearing: 95 minutes; expected less than 60`,
		`N 45-30-60 E`:                        "60 seconds; expected less than 60",
		`N 95-00-00 E`:                        "95 deg is more than 90 deg, the most that a quadrant bearing turns from N",
		`N 90-00-01 E`:                        "90.000277778 deg is more than 90 deg",
		`S 400 E`:                             "400 degrees; expected at most 360",
		`Az 360-00-01`:                        "more than 360 deg, the most of an azimuth",
		`361-00-00`:                           "361 degrees; expected at most 360",
		`N NaN E`:                             `expected degrees: found "NaN E"`,
		`N inf E`:                             `expected degrees: found "inf E"`,
		`NaN`:                                 "expected a bearing such as N 45-30-00 E, Az 248-05-35 or due east",
		`inf`:                                 "expected a bearing such as",
		`hello`:                               "expected a bearing such as",
		``:                                    "expected a bearing such as",
		`due`:                                 "expected a bearing such as",
		`NE`:                                  "expected a bearing such as",
		`N E`:                                 `expected degrees: found "E"`,
		`-10-20-30`:                           "expected a bearing such as",
		`Az -10`:                              `expected degrees: found "-10"`,
		`Az`:                                  "expected degrees: found the end",
		`N 45-30-00`:                          `expected E or W after the angle, found ""; straight N is written due N`,
		`N 45-30-00 S`:                        `expected E or W after the angle, found "s"`,
		`N 45-30 S`:                           `expected E or W after the angle, found "s"`,
		`N 50 ft`:                             `expected E or W after the angle, found "ft"; straight N is written due N`,
		`45-30-00 E`:                          "expected N or S before the angle",
		`E 45-30-00 N`:                        "a quadrant bearing is written from N or S",
		`248`:                                 "expected N, S or Az before a number alone, or its unit",
		`248.0931`:                            "expected N, S or Az before a number alone",
		`248 05 35`:                           "expected N, S or Az before a number alone",
		`Az 248 05 35`:                        `expected nothing after it, found "05 35"`,
		`N 45.5-30 E`:                         "expected E or W",
		`N 45-30-00, E`:                       "expected E or W",
		`N 45- E`:                             `expected minutes: found "E"`,
		`N 45-30-00-10 E`:                     "expected E or W",
		`N 45. E`:                             "no digits after the decimal point",
		`N 45.0123456789 E`:                   "expected at most nine decimals in the degrees",
		`N 99999999999999999999`:              "at most 18 digits",
		`N 45 E 20 ft`:                        `expected nothing after it, found "20 ft"`,
		`due east ` + strings.Repeat(" ", 64): "expected at most 64 characters",
	} {
		if got, err := ParseBearing(text); err == nil || !strings.Contains(err.Error(), why) {
			t.Errorf("ParseBearing(%q) = %v, %v; want an error saying %q", text, got, err, why)
		}
	}
}

// What follows a bearing is never taken for a part of it in silence.
func TestCutBearing(t *testing.T) {
	for text, want := range map[string]string{
		`N 45-30-00 E 120.50 ft`:    `120.50 ft`,
		`S 10-15 E, 88' 6"`:         `, 88' 6"`,
		`N45E177.50 ft slope 3 %`:   `177.50 ft slope 3 %`,
		`due east 20 ft`:            `20 ft`,
		`E 20 ft`:                   `20 ft`,
		`N, 20 ft`:                  `, 20 ft`,
		`248-05-35 472.68 ft`:       `472.68 ft`,
		`248-05 50 ft`:              `50 ft`,
		`Az 248 50 ft`:              `50 ft`,
		`Az 248.5 deg 50 ft`:        `50 ft`,
		`Az 248 deg 50 ft`:          `50 ft`,
		`Az 248° 05' 35" 50' 6"`:    `50' 6"`,
		`Az 248°05'35" 50 ft`:       `50 ft`,
		`Az 248° 50 m`:              `50 m`,
		`Az 248-05 50 m`:            `50 m`,
		`Az 248°05 50 ft`:           `50 ft`,
		`Az 248-05-35.5 29-1/2 in`:  `29-1/2 in`,
		`S 68-05-35 W 144 m thence`: `144 m thence`,
	} {
		if _, rest, err := CutBearing(text); err != nil || rest != want {
			t.Errorf("CutBearing(%q) leaves %q, %v; want %q", text, rest, err, want)
		}
	}
}

func TestBearingText(t *testing.T) {
	for _, c := range []struct {
		direction Angle
		places    int
		want      string
	}{
		{dms(44, 30, 0), 0, "N 45-30-00 E"},
		{0, 6, "N 90-00-00 E"},
		{90 * Degree, 6, "N 0-00-00 E"},
		{180 * Degree, 6, "N 90-00-00 W"},
		{270 * Degree, 6, "S 0-00-00 E"},
		{-90 * Degree, 6, "S 0-00-00 E"},
		{-dms(80, 0, 0), 6, "S 10-00-00 E"},
		{270*Degree - dms(68, 5, 35), 6, "S 68-05-35 W"}, // rounded to a nanodegree, yet 35 whole seconds
		{Degree / 2, 0, "N 89-30-00 E"},
		{90*Degree - 1, 0, "N 0-00-00 E"},
		{90*Degree - 1, 6, "N 0-00-00.000004 E"},
		{90*Degree - 34_722_222, 2, "N 0-02-05 E"},     // 125 s exactly, to a nanodegree
		{90*Degree - 3_480_556, 2, "N 0-00-12.53 E"},   // 12.53 s
		{90*Degree - 3_480_000, 2, "N 0-00-12.53 E"},   // 12.528 s
		{90*Degree - 16_666_528, 3, "N 0-01-00.000 E"}, // 59.9995008 s
		{1, 0, "N 90-00-00 E"},
	} {
		if got := BearingText(c.direction, c.places); got != c.want {
			t.Errorf("BearingText(%d, %d) = %q, want %q", int64(c.direction), c.places, got, c.want)
		}
	}
}

// Six decimals of a second read back as the same direction, and half a turn
// further is written with the other two letters and the same figures.
func TestBearingTextReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := Angle(rapid.Int64Range(0, int64(360*Degree)-1).Draw(t, "a"))
		text := BearingText(a, 6)
		if got, err := ParseBearing(text); err != nil || got != a {
			t.Fatalf("%q reads %d, %v; want %d", text, int64(got), err, int64(a))
		}
		for b := range int64(4) { // no quarter is its own opposite
			if a == Angle(b)*90*Degree {
				return
			}
		}
		opposite := strings.NewReplacer("N", "S", "S", "N", "E", "W", "W", "E").Replace(text)
		if got := BearingText(a+180*Degree, 6); got != opposite {
			t.Fatalf("opposite %q is %q", text, got)
		}
	})
}

func FuzzCutBearing(f *testing.F) {
	for _, seed := range []string{`N 45-30-00 E 120.50 ft`, `Az 248° 05' 35" 50' 6"`, "due east", "N 45d30m E", "248.5°", "S 0-0-59.999999999 w"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		a, rest, err := CutBearing(text)
		switch {
		case err != nil:
			return
		case a < 0 || a >= 360*Degree:
			t.Fatalf("CutBearing(%q) = %d", text, int64(a))
		case !strings.Contains(text, rest):
			t.Fatalf("CutBearing(%q) leaves %q", text, rest)
		}
		if again, err := ParseBearing(BearingText(a, 6)); err != nil || again != a {
			t.Fatalf("%q reads %d, %v; want %d", BearingText(a, 6), int64(again), err, int64(a))
		}
	})
}
