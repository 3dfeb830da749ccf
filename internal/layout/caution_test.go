package layout_test

import (
	"testing"

	"wattle/internal/spec"
)

// The codes that Plan lists, as a person reads them. Crossings and the lay of
// the land have their own tests.
func TestCautions(t *testing.T) {
	frost := sixFoot(spec.Layout{})
	frost.Holes.FrostDepth = 42 * in
	for _, c := range []struct {
		site              string
		spec              spec.Spec
		code, text, field string
	}{
		{"a: 0,0 49,0", sixFoot(noLimit(spec.Layout{Method: spec.Remainder})), "feather-widened",
			`Run "a", 0 in to 49 ft: remainder would leave a bay of 1 ft, under the least of 2 ft 8 in, so 2 bays share the rest, about 4 ft 6 in each.`, "site.runs[0]"},
		{"a: 0,0 189in,0", sixFoot(spec.Layout{Method: spec.Remainder}), "feather-widened",
			`Run "a", 0 in to 15 ft 9 in: remainder would leave nothing for its short bay, under the least of 2 ft 8 in, so 2 bays share the rest, about 3 ft 11-3/8 in each.`, "site.runs[0]"},
		{"a: 0,0 8.5,0", sixFoot(noLimit(spec.Layout{Method: spec.Feathered, Feather: 1})), "even-fallback",
			`Run "a", 0 in to 8 ft 6 in: feathered would leave a bay of 6 in, under the least of 2 ft 8 in, so all 2 bays share the length.`, "site.runs[0]"},
		{"a: 0,0 9,0", sixFoot(spec.Layout{MinBay: new(5 * ft)}), "bay-below-minimum",
			`Run "a", 0 in to 9 ft: its bays are down to 4 ft 6 in, under the least bay of 5 ft.`, "site.runs[0]"},
		{"a: 0,0 2,0", sixFoot(spec.Layout{}), "short-stretch",
			`Run "a", 0 in to 2 ft: the stretch is 2 ft long, under the least bay of 2 ft 8 in.`, "site.runs[0]"},
		// The pair's 6x6 stands at the corner, where the walk gate counts on a 4x4.
		{"a: 0,0 40,0 40,40 gate=g@357.25inx10x2 gate=h@481.75inx3", sixFoot(spec.Layout{}), "clear-opening-differs",
			`Gate "h" is given with a clear opening of 3 ft; its posts stand 2 ft 11 in apart, face to face.`, "site.runs[0].gates[1].width"},
		{"a: 0,0 20,0\nb: 20,0 20,20 right", sixFoot(spec.Layout{}), "boards-change-side",
			`The boards of runs "a" and "b" are on different sides of the fence where the two meet, at 20 ft of the first.`, "site.runs[1].face"},
		{"a: 0,0 20,0", frost, "frost-lengthens-posts",
			"Frost takes holes to 3 ft 6 in, so a post needs 9 ft and is bought at 10 ft instead of 8 ft.", "spec.holes.frost_depth"},
		{"a: 0,0 20,0 gate=g@5x3", sixFoot(spec.Layout{}), "gate-lengthens-posts",
			"Gate posts stand in holes of 3 ft, so they need 8 ft 6 in and are bought at 10 ft instead of 8 ft.", "spec.holes.gate_extra_depth"},
	} {
		t.Run(c.code, func(t *testing.T) {
			l := plan(t, c.site, c.spec)
			for _, got := range l.Cautions {
				if got.Code == c.code {
					if got.Text != c.text || got.Field != c.field {
						t.Errorf("%s\n%s\nwant %s\n%s", got.Field, got.Text, c.field, c.text)
					}
					return
				}
			}
			t.Errorf("no such caution in %v", l.Cautions)
		})
	}
}

// A plain job has nothing to say.
func TestNoCaution(t *testing.T) {
	if l := plan(t, "a: wall 0,0 20,0 20,60 0,60 wall", sixFoot(spec.Layout{})); len(l.Cautions) > 0 {
		t.Errorf("%v", l.Cautions)
	}
}
