package measure

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

const in, ft, mm = Inch, Foot, Millimetre

func TestParse(t *testing.T) {
	for text, want := range map[string]Length{
		// the forms the main job names
		`54' 6"`:    54*ft + 6*in,
		`7' 6-1/2"`: 7*ft + 6*in + in/2,
		`5.5 in`:    5*in + in/2,
		`2.4 m`:     2400 * mm,

		`7'6 1/2"`:      7*ft + 6*in + in/2,
		`8'-2"`:         8*ft + 2*in,
		`8'-2-1/2"`:     8*ft + 2*in + in/2,
		"7′ 6″":         7*ft + 6*in,
		"7’ 6-1/2”":     7*ft + 6*in + in/2,
		"6''":           6 * in,
		"6′′":           6 * in,
		"6 ft 3 in":     6*ft + 3*in,
		"6ft3in":        6*ft + 3*in,
		"6 feet 1 inch": 6*ft + in,
		"8 ft":          8 * ft,
		"8 FT":          8 * ft,
		"  8 ft  ":      8 * ft,
		"8.25 ft":       8*ft + 3*in,
		"2/3 ft":        8 * in,
		"1/2 in":        in / 2,
		"29/64 in":      29 * SixtyFourth,
		"3 yd":          9 * ft,
		"3 yd 1 ft":     10 * ft,
		"1 mi":          5280 * ft,
		"2400 mm":       2400 * mm,
		"240 cm":        2400 * mm,
		"2.374900001 m": 2374900001,
		"12345 nm":      12345,
		"0.333 in":      8_458_200,
		"0 in":          0,
		"-0 in":         0,
		"-3 ft 6 in":    -(3*ft + 6*in),
		`- 3' 6"`:       -(3*ft + 6*in),
		"−2.4 m":        -2400 * mm,
		"000008 ft":     8 * ft,
		"8.000 ft":      8 * ft,
		"1000000 m":     MaxSiteTotal,
	} {
		got, err := Parse(text)
		if err != nil || got != want {
			t.Errorf("Parse(%q) = %d nm, %v; want %d nm", text, got, err, want)
		}
	}
}

// Each refusal says what was expected.
func TestParseRefuses(t *testing.T) {
	for text, why := range map[string]string{
		"":                      "expected a number with its unit",
		"  ":                    "expected a number with its unit",
		"8":                     "it needs a unit, as in 8 ft",
		"7' 6":                  "it needs a unit",
		"8 6 in":                "it needs a unit",
		"ft":                    `expected a number, found "ft"`,
		"-":                     "expected a number, found the end",
		"--8 ft":                "expected a number",
		"8'-":                   "expected a number, found the end",
		`7' -6"`:                "expected a number", // a sum with a negative part?
		"8 rods":                `unknown unit "rods"; expected mi, yd, ft, in, m, cm, mm or nm`,
		"8 ft, 2 in":            "expected a number",
		"6 in 8 ft":             "larger unit first",
		"6 ft 3 ft":             "larger unit first",
		"2 m 40 cm":             "only yards, feet and inches",
		"6 ft 30 mm":            "only yards, feet and inches",
		"1/3 in":                "no whole number of nanometres",
		"0.0000001 in":          "no whole number of nanometres",
		"0.5 nm":                "no whole number of nanometres",
		"1/0 in":                "cannot have 0 below the line",
		"1/ in":                 "expected a fraction such as 1/2",
		"5. in":                 "expected digits after the decimal point",
		".5 in":                 "expected a number",
		"1e3 mm":                "unknown unit",
		"1,000 mm":              "unit",
		"+8 ft":                 "expected a number",
		"1000000.000000001 m":   "expected at most 1000000000 mm",
		"-1000001 m":            "expected at most",
		"999999 m 1 m":          "only yards, feet and inches",
		"600 mi 600000 yd":      "expected at most",
		"9999999999999999999 m": "at most 18 digits",
		"1234567890/7 in":       "at most 9 digits in each part",
		"999999999999999999 mi": "expected at most",
		strings.Repeat("1", 80): "at most 64 characters",
	} {
		got, err := Parse(text)
		if err == nil || !strings.Contains(err.Error(), why) {
			t.Errorf("Parse(%q) = %v, %v; want an error saying %q", text, got, err, why)
		}
	}
}

func TestMustPanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error(`Must("8") did not panic`)
		}
	}()
	Must("8")
}

// lengths draws lengths that matter: small, whole in 64ths, and any.
func lengths() *rapid.Generator[Length] {
	return rapid.OneOf(
		rapid.Custom(func(t *rapid.T) Length {
			return Length(rapid.Int64Range(-1_000_000, 1_000_000).Draw(t, "64ths")) * SixtyFourth
		}),
		rapid.Custom(func(t *rapid.T) Length {
			return Length(rapid.Int64Range(-int64(MaxSiteTotal), int64(MaxSiteTotal)).Draw(t, "nm"))
		}),
	)
}

func TestStringReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := lengths().Draw(t, "length")
		if got, err := Parse(l.String()); err != nil || got != l {
			t.Fatalf("%d nm prints %q, which reads %d nm, %v", l, l, got, err)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, seed := range []string{
		`54' 6"`, `7' 6-1/2"`, `7'6 1/2"`, `8'-2"`, "5.5 in", "2.4 m", "-2374.900001 mm", "7′ 6″", "1/3 in",
		"1/0 in", "−3 ft", "8", "6 in 8 ft", "", "1000001 m", "999999999/1 mi", "0.000000000000000001 in", "\xff'",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		l, err := Parse(text)
		if err != nil {
			if l != 0 || err.Error() == "" {
				t.Fatalf("Parse(%q) = %d, %q", text, l, err)
			}
			return
		}
		if l.Abs() > MaxSiteTotal {
			t.Fatalf("Parse(%q) = %d nm, past the largest", text, l)
		}
		if again, err := Parse(l.String()); err != nil || again != l {
			t.Fatalf("Parse(%q) = %d nm prints %q, which reads %d nm, %v", text, l, l, again, err)
		}
	})
}

// Decimal reads what In writes as Parse does, or leaves it to Parse.
func TestDecimal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unit := rapid.SampledFrom([]Length{Inch, Millimetre, Foot}).Draw(t, "unit")
		l := Length(rapid.Int64Range(0, int64(MaxLength)).Draw(t, "length"))
		if rapid.Bool().Draw(t, "on the grid") {
			l -= l % SixtyFourth
		}
		text := l.In(unit, rapid.IntRange(0, 9).Draw(t, "places"))
		number, _, _ := strings.Cut(text, " ")
		want, err := Parse(text)
		if got, ok := Decimal(number, unit); ok && (err != nil || got != want) {
			t.Errorf("%s is %v, expected %v, %v", text, got, want, err)
		}
	})
	for _, c := range []struct {
		number string
		want   Length
	}{{"93.4375", 93*Inch + 7*Sixteenth}, {"0", 0}, {"6", 6 * Inch}, {"0.015625", SixtyFourth}} {
		if got, ok := Decimal(c.number, Inch); !ok || got != c.want {
			t.Errorf("%s in is %v, %t", c.number, got, ok)
		}
	}
	for _, number := range []string{"", ".5", "5.", "-1", "+1", "1e3", "1/2", "6 ft 3", "1_000", "0.1234567891", "1234567890", "0.0000000001", "999999999"} {
		if got, ok := Decimal(number, Mile); ok {
			t.Errorf("%q is read as %v", number, got)
		}
	}
}
