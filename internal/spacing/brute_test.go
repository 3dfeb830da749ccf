package spacing

import (
	"errors"
	"slices"
	"testing"

	"wattle/internal/measure"

	"pgregory.net/rapid"
)

// reachFunc is Limits given by a function.
type reachFunc func(x measure.Length, first, last bool) measure.Length

func (f reachFunc) Reach(x measure.Length, first, last bool) measure.Length { return f(x, first, last) }

// enumerated is what trying every place, one by one, finds: the places of the
// best row with posts on whole multiples of grid from the start only, its
// number of bays (0: there is no row) and its departure.
type enumerated struct {
	bays   int
	places []measure.Length
	cost   measure.Length
}

// enumerate tries every row on the grid. It knows the rules from the package
// comment only: nothing of it is shared with what it checks but the request.
func enumerate(r Request, grid measure.Length) enumerated {
	if r.Limits.Reach(r.Start, true, true) >= r.End {
		return enumerated{bays: 1}
	}
	least := max(r.Least, 1)
	var at []measure.Length
	for x := r.Start + grid; x < r.End; x += grid {
		if !slices.ContainsFunc(r.Barred, func(b Interval) bool { return b.Low < x && x < b.High }) {
			at = append(at, x)
		}
	}
	joined := func(a, b measure.Length, first, last bool) bool {
		return b-a >= least && b <= r.Limits.Reach(a, first, last)
	}
	// ends[k][j]: a row of k bays ends with a post at place j.
	ends := [][]bool{nil, make([]bool, len(at))}
	for j, x := range at {
		ends[1][j] = joined(r.Start, x, true, false)
	}
	bays := 0
	for n := 2; n <= len(at)+1 && bays == 0; n++ {
		next := make([]bool, len(at))
		for j, x := range at {
			if !ends[n-1][j] {
				continue
			}
			if joined(x, r.End, false, true) {
				bays = n
			}
			for k, y := range at {
				next[k] = next[k] || joined(x, y, false, false)
			}
		}
		ends = append(ends, next)
	}
	if bays == 0 {
		return enumerated{}
	}
	targets := r.Targets(bays)
	const none = measure.Length(1) << 60
	// rest[i][j]: the least departure of posts i.. with post i at place j.
	rest := make([][]measure.Length, bays)
	for i := bays - 1; i > 0; i-- {
		rest[i] = make([]measure.Length, len(at))
		for j, x := range at {
			rest[i][j] = none
			if i == bays-1 {
				if joined(x, r.End, false, true) {
					rest[i][j] = (x - targets[i-1]).Abs()
				}
				continue
			}
			for k, y := range at {
				if rest[i+1][k] < none && joined(x, y, false, false) {
					rest[i][j] = min(rest[i][j], (x-targets[i-1]).Abs()+rest[i+1][k])
				}
			}
		}
	}
	found := enumerated{bays: bays}
	before := r.Start
	for i := 1; i < bays; i++ {
		best, cost := -1, none
		for j, x := range at {
			if joined(before, x, i == 1, false) && rest[i][j] < cost {
				best, cost = j, rest[i][j]
			}
		}
		if i == 1 {
			found.cost = cost
		}
		before = at[best]
		found.places = append(found.places, before)
	}
	return found
}

func departure(r Request, places []measure.Length) (sum measure.Length) {
	if len(places) == 0 {
		return 0
	}
	for i, t := range r.Targets(len(places) + 1) {
		sum += (places[i] - t).Abs()
	}
	return sum
}

// broken is the first rule that places break, "" for none.
func broken(r Request, places []measure.Length) string {
	row := slices.Concat([]measure.Length{r.Start}, places, []measure.Length{r.End})
	for i := 1; i < len(row); i++ {
		switch a, b := row[i-1], row[i]; {
		case b > r.Limits.Reach(a, i == 1, i == len(row)-1):
			return "a bay is past its limit"
		case len(places) > 0 && b-a < max(r.Least, 1):
			return "a bay is under the least width"
		}
	}
	for _, x := range places {
		for _, b := range r.Barred {
			if b.Low < x && x < b.High {
				return "a post stands in a barred interval"
			}
		}
	}
	return ""
}

// even are targets evenly spaced.
func even(start, end measure.Length) func(int) []measure.Length {
	return func(n int) []measure.Length {
		targets := make([]measure.Length, n-1)
		for i := range targets {
			along, _ := measure.MulDivRound(int64(end-start), int64(i+1), int64(n))
			targets[i] = start + measure.Length(along)
		}
		return targets
	}
}

func lengthIn(lo, hi measure.Length) *rapid.Generator[measure.Length] {
	return rapid.Map(rapid.Int64Range(int64(lo), int64(hi)), func(v int64) measure.Length { return measure.Length(v) })
}

// tiny draws a stretch of up to 60 nanometres.
func tiny(t *rapid.T) Request {
	start := lengthIn(-20, 20).Draw(t, "start")
	length := lengthIn(1, 60).Draw(t, "length")
	limit := lengthIn(0, 12)
	c := Constant{limit.Draw(t, "single"), limit.Draw(t, "first"), limit.Draw(t, "inner"), limit.Draw(t, "last")}
	if rapid.Bool().Draw(t, "alike") {
		c = Constant{c.Inner, c.Inner, c.Inner, c.Inner}
	}
	r := Request{Start: start, End: start + length, Limits: c, Least: lengthIn(-1, 4).Draw(t, "least")}
	width := lengthIn(0, rapid.SampledFrom([]measure.Length{2, 4, 10}).Draw(t, "widest"))
	for range rapid.IntRange(0, 8).Draw(t, "barred") {
		low := lengthIn(start-3, start+length+1).Draw(t, "low")
		r.Barred = append(r.Barred, Interval{low, low + width.Draw(t, "width")})
	}
	r.Targets = even(r.Start, r.End)
	if rapid.Bool().Draw(t, "anywhere") {
		// Targets in no order, and off the stretch, ask for the same search.
		anywhere := rapid.SliceOfN(lengthIn(start-5, start+length+5), 60, 60).Draw(t, "targets")
		r.Targets = func(n int) []measure.Length { return anywhere[:n-1] }
	}
	return r
}

// sameAsEnumerated holds Fewest and Place against the enumeration, the places
// to the nanometre.
func sameAsEnumerated(t *rapid.T, r Request, grain measure.Length) enumerated {
	want := enumerate(r, 1)
	n, err := Fewest(r)
	places, placeErr := place(r, grain)
	if want.bays == 0 {
		for _, err := range []error{err, placeErr} {
			if _, ok := errors.AsType[*Blocked](err); !ok {
				t.Fatalf("there is no row, but the error is %v", err)
			}
		}
		return want
	}
	if err != nil || placeErr != nil {
		t.Fatalf("there is a row of %d bays at %d, but the errors are %v and %v", want.bays, want.places, err, placeErr)
	}
	if n != want.bays || len(places) != n-1 {
		t.Fatalf("fewest are %d bays, placed %d; enumeration finds %d", n, len(places)+1, want.bays)
	}
	return want
}

func TestPlaceIsWhatEnumerationFinds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := tiny(t)
		want := sameAsEnumerated(t, r, Grain)
		if places, err := Place(r); err == nil && !slices.Equal(places, want.places) {
			t.Fatalf("placed %d departing %d, enumeration %d departing %d (targets %d)", places, departure(r, places), want.places, want.cost, r.Targets(want.bays))
		}
	})
}
