package spacing

import (
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// alike are limits the same for every bay.
func alike(width string) Constant {
	w := measure.Must(width)
	return Constant{w, w, w, w}
}

// stretch of feet from zero, even targets, posts 4 in apart at least, barred
// as "low..high, low..high".
func feet(length string, limits Limits, barred string) Request {
	r := Request{End: measure.Must(length), Limits: limits, Least: 4 * measure.Inch}
	for part := range strings.SplitSeq(barred, ", ") {
		if low, high, ok := strings.Cut(part, ".."); ok {
			r.Barred = append(r.Barred, Interval{measure.Must(low), measure.Must(high)})
		}
	}
	r.Targets = even(r.Start, r.End)
	return r
}

func shown(places []measure.Length) string {
	var s []string
	for _, x := range places {
		s = append(s, x.String())
	}
	return strings.Join(s, ", ")
}

// Every row can be checked by hand: n bays of L/n, then the least push.
func TestPlace(t *testing.T) {
	for _, c := range []struct {
		name, length, limit, barred string
		want                        string
	}{
		{"one bay", "8 ft", "8 ft", "", ""},
		{"one bay, all of it barred", "8 ft", "8 ft", "-1 ft..9 ft", ""},
		{"shorter than the least width", "2 in", "8 ft", "", ""},
		{"nothing barred", "24 ft", "8 ft", "", "8 ft, 16 ft"},
		{"a post pushed to the nearer edge", "20 ft", "8 ft", "6 ft..8 ft", "6 ft, 13 ft 4 in"},
		{"no slack, the edge is enough", "16 ft", "8 ft", "8 ft..9 ft", "8 ft"},
		{"no slack, a bay more", "16 ft", "8 ft", "7 ft..9 ft", "5 ft 4 in, 10 ft 8 in"},
		{"a tie goes to the lower station", "14 ft", "8 ft", "6 ft 6 in..7 ft 6 in", "6 ft 6 in"},
		{"the limit pulls the next post along", "23 ft", "8 ft", "7 ft..8 ft 1 in", "7 ft, 15 ft"},
		{"the nearer edge is past the limit", "23 ft 6 in", "8 ft", "7 ft 6 in..8 ft 1 in", "7 ft 6 in, 15 ft 6 in"},
		{"the nearer edge would move the next post too", "23 ft 9 in", "8 ft", "7 ft 6 in..8 ft", "8 ft, 15 ft 10 in"},
		{"two overlapping, one inside, unsorted", "16 ft 3 in", "8 ft", "5 ft 6 in..6 ft 6 in, 5 ft..6 ft, 5 ft 3 in..5 ft 6 in", "5 ft, 10 ft 10 in"},
		{"a sliver between two", "16 ft", "8 ft 6 in", "7 ft 6 in..8 ft 1 in, 8 ft 2 in..9 ft", "8 ft 1 in"},
	} {
		got, err := Place(feet(c.length, alike(c.limit), c.barred))
		if err != nil || shown(got) != c.want {
			t.Errorf("%s: %s (%v), want %s", c.name, shown(got), err, c.want)
		}
	}
}

func TestPlaceWithLimitsThatDiffer(t *testing.T) {
	f := measure.Foot
	for _, c := range []struct {
		name   string
		length measure.Length
		limits Constant
		want   string
	}{
		{"a single bay has its own limit", 9 * f, Constant{9 * f, 1 * f, 1 * f, 1 * f}, ""},
		{"the first bay is short", 20 * f, Constant{8 * f, 5 * f, 8 * f, 8 * f}, "5 ft, 13 ft"},
		{"the last bay is short", 20 * f, Constant{8 * f, 8 * f, 8 * f, 5 * f}, "7 ft, 15 ft"},
		{"two bays where no inner bay can be", 10 * f, Constant{0, 5 * f, 0, 5 * f}, "5 ft"},
	} {
		r := feet(c.length.String(), c.limits, "")
		if got, err := Place(r); err != nil || shown(got) != c.want {
			t.Errorf("%s: %s (%v), want %s", c.name, shown(got), err, c.want)
		}
	}
}

// push is a stretch of n bays of 8 ft with a foot of slack in all. A tenth of
// the way the post is barred from 9 in below its target to 1 in above.
func push(n int) Request {
	r := feet((measure.Length(n)*8*measure.Foot - measure.Foot).String(), alike("8 ft"), "")
	pushed := r.Targets(n)[n/10]
	r.Barred = []Interval{{pushed - 9*measure.Inch, pushed + measure.Inch}}
	return r
}

// The push goes up, being shorter that way, and takes along the posts below it
// until their slack has used it up: each no farther than the one above asks.
func TestLongPush(t *testing.T) {
	const n = 10_000
	r := push(n)
	want := r.Targets(n)
	pushed, along := n/10, 0
	want[pushed] = r.Barred[0].High
	for i := pushed - 1; want[i] < want[i+1]-8*measure.Foot; i-- {
		want[i], along = want[i+1]-8*measure.Foot, along+1
	}
	if got, err := Place(r); err != nil || !slices.Equal(got, want) || along != 833 {
		t.Errorf("%d posts pushed along: %v; want 833 and no other post moved: %d placed", along, err, len(got))
	}
}

func TestRefused(t *testing.T) {
	with := func(change func(*Request)) Request {
		r := feet("40 ft", alike("8 ft"), "7 ft..9 ft")
		change(&r)
		return r
	}
	kept := push(5_000)
	kept.Least = measure.Must("7 ft 11 in")
	for _, c := range []struct {
		name  string
		r     Request
		kind  fault.Kind
		field string
	}{
		{"no length", with(func(r *Request) { r.End = r.Start }), fault.Invalid, "end"},
		{"backwards", with(func(r *Request) { r.Start = r.End + 1 }), fault.Invalid, "end"},
		{"too far out", with(func(r *Request) { r.End = measure.MaxSiteTotal + 1 }), fault.Invalid, "end"},
		{"too far back", with(func(r *Request) { r.Start = math.MinInt64 }), fault.Invalid, "start"},
		{"no limits", with(func(r *Request) { r.Limits = nil }), fault.Invalid, "limits"},
		{"barred backwards", with(func(r *Request) { r.Barred = []Interval{{}, {2, 1}} }), fault.Invalid, "barred[1].high"},
		{"no targets", with(func(r *Request) { r.Targets = nil }), fault.Invalid, "targets"},
		{"a target too few", with(func(r *Request) { r.Targets = func(n int) []measure.Length { return make([]measure.Length, n-2) } }), fault.Invalid, "targets"},
		{"too many barred", with(func(r *Request) { r.Barred = make([]Interval, MaxBarred+1) }), fault.Exhausted, ""},
		{"too many bays", with(func(r *Request) { r.End = MaxBays*measure.Foot + 1; r.Limits = alike("1 ft"); r.Barred = nil }), fault.Exhausted, ""},
		{"too long a push down to the least width", kept, fault.Exhausted, ""},
	} {
		_, err := Place(c.r)
		e, ok := errors.AsType[*fault.Error](err)
		if !ok || e.Kind != c.kind || c.field != "" && (len(e.Violations) != 1 || e.Violations[0].Field != c.field) {
			t.Errorf("%s: %v, want %v of %q", c.name, err, c.kind, c.field)
		}
	}
}

// At the ends of what is allowed, and with numbers that have no room to be
// added to, nothing overflows.
func TestHugeNumbers(t *testing.T) {
	const huge, far = measure.Length(math.MaxInt64), measure.MaxSiteTotal
	wide := Constant{huge, huge, huge, huge}
	for _, c := range []struct {
		name string
		r    Request
		want string
	}{
		{"one bay of all there is", Request{Start: -far, End: far, Limits: wide}, "1"},
		{"a least width past everything", Request{Start: -far, End: far, Limits: wide, Least: huge}, "1"},
		{"barred from end to end of the numbers", Request{Start: -far, End: far, Limits: wide, Barred: []Interval{{math.MinInt64, huge}, {huge, huge}, {math.MinInt64, math.MinInt64}}}, "1"},
		{"barred, and no single bay", Request{Start: -far, End: far, Limits: Constant{0, huge, huge, huge}, Barred: []Interval{{math.MinInt64, huge}}}, "blocked"},
		{"any two bays", Request{Start: -far, End: far, Limits: Constant{math.MinInt64, huge, huge, huge}, Barred: []Interval{{-far, far - 1}}}, "2: " + (far - 1).String()},
		{"a least width that leaves no second bay", Request{Start: -far, End: far, Limits: Constant{0, huge, huge, huge}, Least: far + 1}, "blocked"},
		{"targets past everything", Request{Start: measure.MaxLength - 20, End: measure.MaxLength, Limits: Constant{8, 8, 8, 8},
			Targets: func(int) []measure.Length { return []measure.Length{math.MinInt64, huge} }}, "3: " + shown([]measure.Length{measure.MaxLength - 16, measure.MaxLength - 8})},
		{"the longest run in bays of 8 ft", Request{End: measure.MaxLength, Limits: alike("8 ft"), Least: measure.Inch, Barred: []Interval{{measure.Foot, 2 * measure.Foot}}}, "205053"},
	} {
		if c.r.Targets == nil {
			c.r.Targets = func(n int) []measure.Length { return make([]measure.Length, n-1) }
		}
		n, err := Fewest(c.r)
		got := strconv.Itoa(n)
		if _, ok := errors.AsType[*Blocked](err); ok {
			got = "blocked"
		} else if err != nil {
			got = err.Error()
		} else if n < 10 && n > 1 {
			places, err := Place(c.r)
			got += ": " + shown(places)
			if err != nil {
				got = err.Error()
			}
		}
		if got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}
