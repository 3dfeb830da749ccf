package section

import (
	"testing"

	"wattle/internal/measure"
)

func TestSections(t *testing.T) {
	for _, c := range []struct {
		name           string
		kind           Kind
		width, nominal string
		words          string
	}{
		{"4x4", Sawn, "3-1/2 in", "4 in", "4x4"},
		{"6x6", Sawn, "5-1/2 in", "6 in", "6x6"},
		{"2.375od", Pipe, "2-3/8 in", "2-3/8 in", "2.375 in OD pipe"},
		{"2sq", Tube, "2 in", "2 in", "2 in square tube"},
		{"5vinyl", Vinyl, "5 in", "5 in", "5 in vinyl"},
		{"4rd", RoundWood, "4 in", "4 in", "4 in round"},
		{"tee", TPost, "1-3/8 in", "1-3/8 in", "steel T"},
	} {
		s, err := Parse(c.name)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		if s.Kind() != c.kind || s.Width() != measure.Must(c.width) || s.Nominal() != measure.Must(c.nominal) || s.Describe() != c.words {
			t.Errorf("%s: kind %d, %s wide, nominally %s, %q", c.name, s.Kind(), s.Width(), s.Nominal(), s.Describe())
		}
		if s.Wood() == (s.Metal() || c.kind == Vinyl) {
			t.Errorf("%s: wood %v, metal %v", c.name, s.Wood(), s.Metal())
		}
	}
	for _, name := range []string{"", "4", "od", "-2od", "0od", "1e3od", "99od", "4X4", "2..3od", "2 od", "3x7"} {
		if s, err := Parse(name); err == nil {
			t.Errorf("%q is taken as %q, %s wide", name, s, s.Width())
		}
		if Section(name).Width() != 0 {
			t.Errorf("%q is %s wide", name, Section(name).Width())
		}
	}
}

// A foot of post takes its section out of the concrete.
func TestDisplacesFt3(t *testing.T) {
	for name, want := range map[Section]string{"4x4": "0.0851", "2.375od": "0.0308", "4rd": "0.0873", "2sq": "0.0278", "tee": "0.0000"} {
		if got := name.DisplacesFt3(measure.Foot).Fixed(4); got != want {
			t.Errorf("%s: %s ft3 a foot, want %s", name, got, want)
		}
	}
}
