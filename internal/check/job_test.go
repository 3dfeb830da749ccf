package check_test

import (
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/check"
	"wattle/internal/civil"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

const ft = measure.Foot

// line is 48 ft of a fence with a gate of 4 ft, under the given conditions.
func line(t *testing.T, c site.Conditions, change ...func(*spec.Spec)) takeoff.Job {
	t.Helper()
	s := spec.Spec{Height: 6 * ft}
	for _, f := range change {
		f(&s)
	}
	s = s.WithDefaults()
	st := site.Site{Conditions: c, Runs: []site.Run{{ID: "back", Vertices: []measure.Point{{}, {East: 48 * ft}},
		Gates: []site.Gate{{ID: "walk", Station: 20 * ft, Width: 4 * ft, Leaves: 1}}}}}
	l, err := layout.Plan(st, s)
	if err != nil {
		t.Fatal(err)
	}
	return takeoff.Job{Layout: l, Spec: s, Conditions: c}
}

var june = civil.Must("2026-06-01")

// told is every result as "code outcome".
func told(results []check.Result) string {
	var all []string
	for _, r := range results {
		all = append(all, r.Code+" "+string(r.Outcome))
	}
	return strings.Join(all, "\n")
}

// A job that says nothing of its surroundings is asked nothing.
func TestJobWithoutConditions(t *testing.T) {
	if got := told(check.Job(line(t, site.Conditions{}), june)); got != "" {
		t.Errorf("got\n%s", got)
	}
}

// Every condition has its checks, under its own path.
func TestJobUnderConditions(t *testing.T) {
	no := false
	c := site.Conditions{
		SoilClass:    5,
		Wind:         site.Wind{Speed: 115, Exposure: "B"},
		PostStrength: site.PostStrength{Species: "southern pine", Grade: "No.2"},
		Pool:         &site.Pool{OpensOutward: &no},
		Yard:         site.Yard{Name: "front", MaxHeight: 4 * ft, PermitOver: 7 * ft},
		Sights:       []site.Sight{{Name: "corner", Corners: [3]measure.Point{{}, {East: 10 * ft}, {North: 10 * ft}}, MaxHeight: 3 * ft}},
		Notice:       &site.Notice{Rule: "texas", Given: civil.Must("2026-11-27"), Hour: 10},
		RailSpan:     8 * ft,
	}
	j := line(t, c, func(s *spec.Spec) {
		s.Holes.FrostDepth = 36 * measure.Inch
		s.Rails.TopReveal = new(8 * measure.Inch)
	})
	j.Layout.Posts[0].Existing = true
	results := check.Job(j, june)
	want := `wind-load advisory
post-spacing-high-wind advisory
footing-embedment fail
post-bending fail
post-bending not-enough-data
post-choice not-enough-data
pool-height pass
pool-gap-grade pass
pool-gap-deck pass
pool-opening pass
pool-rails-side not-enough-data
pool-vertical-gap pass
pool-mesh pass
pool-gate-outward fail
pool-gate-closing not-enough-data
pool-gate-latching not-enough-data
pool-latch-side not-enough-data
pool-latch-below not-enough-data
pool-latch-shield not-enough-data
yard-height fail
permit-height pass
sight-triangle fail
dig-notice advisory
board-reveal advisory
reused-posts advisory
rail-span pass
frost-depth pass`
	if got := told(results); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	for _, r := range results {
		if !strings.HasPrefix(r.Field, "site.") && !strings.HasPrefix(r.Field, "spec.") {
			t.Errorf("%s is under %q, which is no path of a request", r.Code, r.Field)
		}
		if !strings.Contains(r.Text, "Advisory") || r.Source == "" || r.Decides == "" {
			t.Errorf("%s: %q, source %q, decides %q", r.Code, r.Text, r.Source, r.Decides)
		}
		// [PZ-4, Texas] notice Friday 10:00, earliest Tuesday 10:00 (computed).
		if r.Code == check.DigNotice && !strings.Contains(r.Text, "2026-12-01 10:00") {
			t.Errorf("notice: %s", r.Text)
		}
	}
}

// What a check cannot take is told as that, not dropped.
func TestJobPastWhatIsCovered(t *testing.T) {
	c := site.Conditions{Wind: site.Wind{Flat: decimal.MustNew(30, 0)}, Notice: &site.Notice{Rule: "atlantis", Given: june}, Unsuitable: true}
	j := line(t, c)
	j.Spec.Height = 40 * ft
	if got := told(check.Job(j, june)); got != "wind-load not-enough-data\ndig-notice not-enough-data" {
		t.Errorf("got\n%s", got)
	}
}
