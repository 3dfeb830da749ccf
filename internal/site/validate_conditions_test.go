package site

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/measure"
)

// What no check could take is refused with the rest of the site, each under its
// own field; what the checks take is not.
func TestConditionsThatNoCheckTakes(t *testing.T) {
	dec := decimal.MustParse
	line := func(steps ...measure.Length) (s Sight) {
		for i := range s.Corners {
			s.Corners[i] = measure.Point{East: steps[i], North: 2 * steps[i]}
		}
		return s
	}
	for _, c := range []struct {
		name string
		c    Conditions
		want string
	}{
		{"nothing", Conditions{}, ""},
		{"the least", Conditions{Wind: Wind{Topography: dec("0.01"), Flat: dec("1")}, Footing: Footing{Bearing: dec("1"), FixedS1: dec("1")}, PostStrength: PostStrength{Fb: dec("1"), Source: "a maker"}}, ""},
		{"the most", Conditions{Wind: Wind{Topography: dec("3"), Flat: dec("1000")}, Footing: Footing{Bearing: dec("100000"), FixedS1: dec("100000")}}, ""},
		{"too little", Conditions{Wind: Wind{Topography: dec("0.009"), Flat: dec("0.5")}, Footing: Footing{Bearing: dec("0.9"), FixedS1: dec("-1")}, PostStrength: PostStrength{Fb: dec("0.5"), Source: "a maker"}},
			"footing.bearing footing.fixed_s1 post_strength.fb wind.flat wind.topography"},
		{"too much", Conditions{Wind: Wind{Topography: dec("3.01"), Flat: dec("1001")}, Footing: Footing{Bearing: dec("100001"), FixedS1: dec("100001")}},
			"footing.bearing footing.fixed_s1 wind.flat wind.topography"},
		{"a triangle", Conditions{Sights: []Sight{{Corners: [3]measure.Point{{}, {East: 10}, {North: 10}}}}}, ""},
		{"three points on a line, and one point thrice", Conditions{Sights: []Sight{line(0, 5, 9), line(4, 4, 4)}}, "sights[0].corners sights[1].corners"},
		{"a triangle of the largest site", Conditions{Sights: []Sight{{Corners: [3]measure.Point{{East: -measure.MaxLength}, {East: measure.MaxLength}, {North: measure.MaxLength}}}}}, ""},
		{"notice without an hour", Conditions{Notice: &Notice{Rule: "Texas", Given: civil.Must("2026-03-02")}}, ""},
		{"a rule nobody knows, and an hour past the day", Conditions{Notice: &Notice{Rule: "atlantis", Given: civil.Must("2026-03-02"), Hour: new(24)}}, "notice.hour notice.rule"},
	} {
		v := &fault.List{}
		c.c.validate(v)
		var got []string
		if e, refused := errors.AsType[*fault.Error](v.Err()); refused {
			for _, x := range e.Violations {
				got = append(got, x.Field)
				if x.Field == "notice.rule" && !strings.Contains(x.Description, "texas, nebraska, alabama") {
					t.Errorf("%s does not name the known rules: %s", c.name, x.Description)
				}
			}
		}
		if slices.Sort(got); strings.Join(got, " ") != c.want {
			t.Errorf("%s: refused %q, want %q", c.name, got, c.want)
		}
	}
}
