package check_test

import (
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/check"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// legs is a fence along the given straight legs, each at a right angle to the
// one before.
func legs(t *testing.T, c site.Conditions, s spec.Spec, lengths ...measure.Length) takeoff.Job {
	t.Helper()
	s = s.WithDefaults()
	run := site.Run{ID: "back", Vertices: []measure.Point{{}}}
	for i, l := range lengths {
		at := run.Vertices[i]
		if i%2 == 0 {
			at.East += l
		} else {
			at.North += l
		}
		run.Vertices = append(run.Vertices, at)
	}
	l, err := layout.Plan(site.Site{Conditions: c, Runs: []site.Run{run}}, s)
	if err != nil {
		t.Fatal(err)
	}
	return takeoff.Job{Layout: l, Spec: s, Conditions: c}
}

var windy = site.Conditions{SoilClass: 4, Wind: site.Wind{Speed: 115, Exposure: "B"}}

// A short leg beside a long one with the same bays has the larger force
// coefficient [WL-10]: its load is told, and it is never less than either leg's
// own.
func TestWorstStretch(t *testing.T) {
	wind := func(j takeoff.Job) check.Result { return of(check.Job(j, june), check.WindLoad) }
	s := spec.Spec{Height: 6 * ft}
	both := wind(legs(t, windy, s, 60*ft, 7*ft+ft/2))
	if !strings.Contains(both.Text, "in the stretch from P9 to P10") || figure(both, "where") != "the stretch from P9 to P10" {
		t.Errorf("the worst is %s", both.Text)
	}
	for _, alone := range []measure.Length{60 * ft, 7*ft + ft/2} {
		own := wind(legs(t, windy, s, alone))
		if num(figure(own, "design force")).Cmp(num(figure(both, "design force"))) > 0 {
			t.Errorf("a leg of %s alone has %s lb, the whole %s", alone, figure(own, "design force"), figure(both, "design force"))
		}
	}
	if long := wind(legs(t, windy, s, 60*ft)); num(figure(long, "Cf")).Cmp(num(figure(both, "Cf"))) >= 0 {
		t.Errorf("Cf %s of the long leg, %s told", figure(long, "Cf"), figure(both, "Cf"))
	}
	// By a flat rule the widest bay is the worst, in whichever leg it is.
	flat := site.Conditions{Wind: site.Wind{Flat: decimal.MustNew(30, 0)}}
	r := of(check.Job(legs(t, flat, s, 13*ft, 7*ft), june), check.WindFlatRule)
	if !strings.Contains(r.Text, "a bay 7 ft wide") || !strings.Contains(r.Text, "from P3 to P4") {
		t.Errorf("flat: %s", r.Text)
	}
}

// A fence of one bay has no line post: its footing and its bending are those of
// a terminal post, and told.
func TestFootingWithoutALinePost(t *testing.T) {
	results := check.Job(legs(t, windy, spec.Spec{Height: 6 * ft}, 7*ft), june)
	if r := of(results, check.FootingEmbedment); r.Outcome == check.NotEnoughData || r.Outcome == "" || figure(r, "post") != "P1, end" {
		t.Errorf("footing: %+v", r)
	}
	if r := of(results, check.PostBending); r.Outcome != check.NotEnoughData || !strings.Contains(r.Text, "4x4") {
		t.Errorf("bending: %+v", r)
	}
}

// A square post that stands in soil bears by its diagonal [IBC 1807.3.2.1, and
// checks.md, "b = diameter, or the diagonal of a square"]; 3.5 in x 1.41421 =
// 4.94975 in. A round one, and concrete, by the diameter.
func TestWidthThatBears(t *testing.T) {
	for _, c := range []struct {
		size section.Section
		set  spec.Setting
		want string
	}{{"4x4", spec.NoSet, "0.41"}, {"4rd", spec.NoSet, "0.33"}, {"4x4", spec.WetSet, "1.00"}} {
		s := spec.Spec{Height: 6 * ft, Posts: spec.Posts{Size: c.size}, Concrete: spec.Concrete{Set: c.set}}
		if got := figure(of(check.Job(legs(t, windy, s, 24*ft), june), check.FootingEmbedment), "width"); got != c.want {
			t.Errorf("%s, %s: %s ft bear, want %s", c.size, c.set, got, c.want)
		}
	}
}

// The stated value is for the spec's own posts: of wood, of steel by its modulus
// (2.375 x 0.154: 0.561 in3, from memory), and never for the 6x6 beside them.
func TestBendingByAStatedValue(t *testing.T) {
	c := windy
	c.PostStrength = site.PostStrength{Fb: decimal.MustNew(30_000, 0), Source: "the maker"}
	bending := func(size section.Section) []check.Result {
		var all []check.Result
		for _, r := range check.Job(legs(t, c, spec.Spec{Height: 6 * ft, Posts: spec.Posts{Size: size}}, 24*ft), june) {
			if r.Code == check.PostBending {
				all = append(all, r)
			}
		}
		return all
	}
	for _, x := range []struct{ size, modulus, factor, text string }{
		{"2.375od", "0.5606", "1.00", "2.375 in OD pipe with the 0.154 in wall of schedule 40"},
		// (2^4 - 1.87^4)/(6 x 2) = 0.3142 in3.
		{"2sq", "0.3143", "1.00", "2 in square tube with a wall of 0.065 in"},
		// pi 4^3 / 32
		{"4rd", "6.2832", "1.60", "4 in round wood"},
		{"6x6", "27.7292", "1.60", "6x6"},
	} {
		all := bending(section.Section(x.size))
		if len(all) != 1 || all[0].Outcome == check.NotEnoughData || figure(all[0], "section modulus") != x.modulus ||
			figure(all[0], "load duration factor") != x.factor || !strings.Contains(all[0].Text, x.text) || !strings.Contains(all[0].Source, "the maker") {
			t.Errorf("%s: %+v", x.size, all)
		}
	}
	if all := bending("4x4"); len(all) != 2 || all[0].Outcome == check.NotEnoughData || all[1].Outcome != check.NotEnoughData || !strings.Contains(all[1].Text, "6x6") {
		t.Errorf("4x4 and the 6x6 besides: %+v", all)
	}
	if all := bending("5vinyl"); len(all) != 1 || all[0].Outcome != check.NotEnoughData || !strings.Contains(all[0].Text, "not reckoned here of a 5 in vinyl post") {
		t.Errorf("vinyl: %+v", all)
	}
	c.PostStrength = site.PostStrength{}
	if all := bending("2.375od"); len(all) != 1 || all[0].Outcome != check.NotEnoughData || !strings.Contains(all[0].Text, "the job has to state one") {
		t.Errorf("pipe without a value: %+v", all)
	}
	// A species that the table does not have: what it has is named.
	c.PostStrength = site.PostStrength{Species: "oak", Grade: "No.1"}
	if all := bending("4x4"); all[0].Outcome != check.NotEnoughData || !strings.Contains(all[0].Text, "4x4 of oak No.1") || !strings.Contains(all[0].Text, "southern pine No.2 of 2 in to 4 in") {
		t.Errorf("oak: %s", all[0].Text)
	}
}
