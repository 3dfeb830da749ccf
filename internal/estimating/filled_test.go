package estimating_test

import (
	"reflect"
	"testing"

	"wattle/internal/measure"
	"wattle/internal/spec"
)

// A spec that has its defaults is given no others, of any family, so it may be
// planned as it is.
func TestDefaultsTwice(t *testing.T) {
	for _, family := range spec.Families() {
		for _, layout := range []spec.Layout{
			{}, {Method: spec.Feathered}, {Method: spec.Remainder, Hang: spec.Between}, {Hang: spec.Free}, {MaxBay: 7 * measure.Foot},
		} {
			for _, s := range []spec.Spec{
				{}, {CornerAngle: 5 * measure.Degree}, {Alignment: spec.Alignment{Rules: "highway-steel"}}, {Alignment: spec.Alignment{Rules: "woven-wire"}},
				{Concrete: spec.Concrete{Set: spec.Driven}}, {Posts: spec.Posts{Size: "2.375od", TerminalSize: "2.875od"}},
				{Boards: spec.Boards{Pattern: spec.ShadowBox}}, {Holes: spec.Holes{Rules: "published-chain-link"}}, {Labour: spec.Labour{By: spec.ByTasks}},
				{Moisture: spec.Moisture{Species: "western redcedar", ApplyGap: true}}, {Extras: spec.Extras{Trim: "1x4", Lattice: measure.Foot}},
			} {
				for height := range 11 * measure.Foot / (6 * measure.Inch) {
					s.Family, s.Layout, s.Height = family, layout, height*6*measure.Inch
					once := s.WithDefaults()
					if twice := once.WithDefaults(); !reflect.DeepEqual(once, twice) {
						t.Fatalf("%+v\nbecomes  %+v\nand then %+v", s, once, twice)
					}
				}
			}
		}
	}
}
