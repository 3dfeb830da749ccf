package check_test

import (
	"slices"
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
		Notice:       &site.Notice{Rule: "texas", Given: civil.Must("2026-11-27"), Hour: new(10)},
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
		if !slices.Contains(check.RequestPaths(), r.Field) {
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

// What a check cannot take is told as that, not dropped, and so is what rests on
// it.
func TestJobPastWhatIsCovered(t *testing.T) {
	c := site.Conditions{Wind: site.Wind{Flat: decimal.MustNew(30, 0)}, Unsuitable: true}
	j := line(t, c)
	j.Spec.Height = 40 * ft
	if got := told(check.Job(j, june)); got != "wind-flat-rule not-enough-data\nfooting-embedment not-enough-data\npost-bending not-enough-data\npost-bending not-enough-data\npost-choice not-enough-data" {
		t.Errorf("got\n%s", got)
	}
	for i := range j.Layout.Posts {
		j.Layout.Posts[i].Existing = true
	}
	if r := of(check.Job(j, june), check.FootingEmbedment); r.Outcome != check.NotEnoughData || !strings.Contains(r.Text, "all of them are old ones") {
		t.Errorf("old posts only: %+v", r)
	}
	j.Conditions.Notice = &site.Notice{Rule: "atlantis", Given: june}
	if r := of(check.Job(j, june), check.DigNotice); r.Outcome != check.NotEnoughData || r.Field != "site.conditions.notice.rule" {
		t.Errorf("a rule nobody knows: %+v", r)
	}
}

// of is the first result of a code.
func of(results []check.Result, code string) check.Result {
	for _, r := range results {
		if r.Code == code {
			return r
		}
	}
	return check.Result{}
}

// The rules that a site may name are those that are known here.
func TestNoticeRulesAreTheSites(t *testing.T) {
	var known []string
	for _, r := range check.NoticeRules() {
		known = append(known, strings.ToLower(r.Place))
	}
	if got := site.NoticeRules(); !slices.Equal(got, known) {
		t.Errorf("a site may name %v, known are %v", got, known)
	}
}

// Without an hour a notice holds from the end of its day: whatever the hour was,
// digging from then on is not too early.
func TestNoticeWithoutAnHour(t *testing.T) {
	earliest := func(hour *int) string {
		j := line(t, site.Conditions{Notice: &site.Notice{Rule: "texas", Given: civil.Must("2026-11-27"), Hour: hour}})
		return figure(of(check.Job(j, june), check.DigNotice), "earliest")
	}
	none := earliest(nil)
	if none != "2026-12-01 23:59" {
		t.Errorf("without an hour: from %s", none)
	}
	for h := range 24 {
		if got := earliest(&h); got > none {
			t.Errorf("at %d: from %s, later than %s", h, got, none)
		}
	}
}

// A limit without the name of a yard is a limit all the same.
func TestYardWithoutAName(t *testing.T) {
	results := check.Job(line(t, site.Conditions{Yard: site.Yard{MaxHeight: 4 * ft}}), june)
	if got := told(results); got != "yard-height fail\npermit-height advisory" || !strings.HasPrefix(results[0].Text, "The fence in this yard is ") {
		t.Errorf("%s: %s", got, results[0].Text)
	}
}

// A gate in a sight triangle is held against it, its leaves as high as the
// fence; and of two triangles each result is under its own.
func TestSightTriangleAtAGate(t *testing.T) {
	around := func(name string, east measure.Length) site.Sight { // within the gate of 20 to 24 ft
		return site.Sight{Name: name, MaxHeight: 3 * ft, Corners: [3]measure.Point{{East: east, North: -ft}, {East: east + ft, North: -ft}, {East: east, North: ft}}}
	}
	j := line(t, site.Conditions{Sights: []site.Sight{around("yonder", 900*ft), around("drive", 21*ft)}})
	results := check.Job(j, june)
	if len(results) != 1 || results[0].Outcome != check.Fail || results[0].Field != "site.conditions.sights[1].max_height" ||
		!strings.HasPrefix(results[0].Text, "The gate walk in the sight triangle drive is 72 in") {
		t.Errorf("%+v", results)
	}
}

// The mesh and the slats of chain link are the spec's; a mesh that was measured
// is held against the limit, and says that the spec has another.
func TestPoolMeshOfTheSpec(t *testing.T) {
	mesh := func(p site.Pool, details spec.Details) check.Result {
		j := line(t, site.Conditions{Pool: &p}, func(s *spec.Spec) { s.Family, s.Details = spec.ChainLink, details })
		return of(check.Job(j, june), check.PoolMesh)
	}
	for _, c := range []struct {
		name    string
		pool    site.Pool
		details spec.Details
		outcome check.Outcome
		text    string
	}{
		{"the usual 2 in", site.Pool{}, nil, check.Fail, "The mesh of the chain link is 2 in"},
		{"a mesh of 1-1/4 in [PB-7]", site.Pool{}, spec.Details{"mesh": "1.25 in"}, check.Pass, "is 1.25 in"},
		{"slats", site.Pool{}, spec.Details{"slats": "true"}, check.Pass, "has slats"},
		{"the town's own", site.Pool{MaxMesh: 2 * measure.Inch}, nil, check.Pass, "at most 2 in"},
		{"measured otherwise", site.Pool{Mesh: new(measure.Inch)}, nil, check.Pass, "The mesh as measured, 1 in, is held against the limit, not the spec's 2 in."},
		{"measured alike", site.Pool{Mesh: new(2 * measure.Inch)}, nil, check.Fail, "The mesh of the chain link is 2 in"},
	} {
		r := mesh(c.pool, c.details)
		if r.Outcome != c.outcome || !strings.Contains(r.Text, c.text) {
			t.Errorf("%s: %s, %s", c.name, r.Outcome, r.Text)
		}
		if c.pool.MaxMesh > 0 && (!strings.Contains(r.Source, "the mesh as stated by the job") || r.Edition != "as stated") {
			t.Errorf("%s: source %q, %q", c.name, r.Source, r.Edition)
		}
	}
	if r := mesh(site.Pool{MinHeight: 5 * ft}, nil); strings.Contains(r.Source, "stated by the job") {
		t.Errorf("a town's height is not its mesh: %q", r.Source)
	}
}
