package spacing

import (
	"errors"
	"slices"
	"testing"

	"wattle/internal/measure"

	"pgregory.net/rapid"
)

// uneven draws limits that never fall as x grows, are no Constant, and leave
// every inner bay at least the least width, or none.
func uneven(t *rapid.T, r Request) Limits {
	table := func(name string, lo, hi measure.Length) func(measure.Length) measure.Length {
		at := make([]measure.Length, r.End-r.Start+1)
		top := r.Start
		for i := range at {
			top = max(top, r.Start+measure.Length(i)+lengthIn(lo, hi).Draw(t, name))
			at[i] = top
		}
		return func(x measure.Length) measure.Length { return at[x-r.Start] }
	}
	least := max(r.Least, 1)
	inner := table("inner", least, 9)
	if rapid.IntRange(0, 9).Draw(t, "dead") == 0 {
		inner = func(x measure.Length) measure.Length { return x + least - 1 }
	}
	single, first, last := table("single", 0, 9), table("first", 0, 9), table("last", 0, 9)
	return reachFunc(func(x measure.Length, isFirst, isLast bool) measure.Length {
		switch {
		case isFirst && isLast:
			return single(x)
		case isFirst:
			return first(x)
		case isLast:
			return last(x)
		}
		return inner(x)
	})
}

// On ground that changes grade: the count and whether there is a row are
// exact at any grain; read at every place the row is the best one.
func TestPlaceUnderAnyReach(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := tiny(t)
		r.Limits = uneven(t, r)
		want := sameAsEnumerated(t, r, Grain)
		if want.bays == 0 {
			return
		}
		if places, err := place(r, 1); err != nil || !slices.Equal(places, want.places) {
			t.Fatalf("grain 1: placed %d departing %d (%v), enumeration %d departing %d", places, departure(r, places), err, want.places, want.cost)
		}
		for _, grain := range []measure.Length{2, 3, 7, Grain} {
			places, err := place(r, grain)
			if err != nil || len(places) != want.bays-1 {
				t.Fatalf("grain %d: placed %d: %v", grain, places, err)
			}
			if why := broken(r, places); why != "" {
				t.Fatalf("grain %d: placed %d: %s", grain, places, why)
			}
			// The promise of Place: whoever reads inner limits a grain early
			// does no better.
			early := r
			early.Limits = reachFunc(func(x measure.Length, first, last bool) measure.Length {
				if first || last {
					return r.Limits.Reach(x, first, last)
				}
				return r.Limits.Reach(max(x-grain, r.Start), false, false)
			})
			if e := enumerate(early, 1); e.bays == want.bays && departure(r, places) > e.cost {
				t.Fatalf("grain %d: departs %d, with limits read early %d", grain, departure(r, places), e.cost)
			}
		}
	})
}

// inches draws a stretch as fences have them, all on whole inches.
func inches(t *rapid.T) Request {
	length := measure.Inch * lengthIn(1, 300).Draw(t, "length")
	limit := func(name string) measure.Length { return measure.Inch * lengthIn(48, 96).Draw(t, name) }
	inner := limit("inner")
	c := Constant{inner, inner, inner, inner}
	if rapid.Bool().Draw(t, "differ") {
		c.Single, c.First, c.Last = limit("single"), limit("first"), limit("last")
	}
	r := Request{End: length, Limits: c, Least: 4 * measure.Inch, Targets: even(0, length)}
	for range rapid.IntRange(0, 4).Draw(t, "barred") {
		low := measure.Inch * lengthIn(-20, 300).Draw(t, "low")
		r.Barred = append(r.Barred, Interval{low, low + measure.Inch*lengthIn(0, 100).Draw(t, "width")})
	}
	return r
}

func TestPlaceIsNoWorseThanAnInchGrid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := inches(t)
		grid := enumerate(r, measure.Inch)
		places, err := Place(r)
		if err != nil {
			if _, ok := errors.AsType[*Blocked](err); !ok || grid.bays != 0 {
				t.Fatalf("%v; the grid has %v", err, grid.places)
			}
			return
		}
		if why := broken(r, places); why != "" {
			t.Fatalf("%v: %s", places, why)
		}
		if n := len(places) + 1; grid.bays != 0 && n > grid.bays {
			t.Fatalf("%d bays, the grid has %d", n, grid.bays)
		} else if n == grid.bays && departure(r, places) > grid.cost {
			t.Fatalf("%v departs %v, the grid's %v %v", places, departure(r, places), grid.places, grid.cost)
		}
	})
}

// bays is the fewest bays, a number past all where there is no row.
func bays(t *rapid.T, r Request) int {
	n, err := Fewest(r)
	if _, ok := errors.AsType[*Blocked](err); ok {
		return MaxBays + 1
	} else if err != nil {
		t.Fatal(err)
	}
	return n
}

func TestBarringMoreNeverSavesABay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := inches(t)
		before := bays(t, r)
		more := r
		if k := len(r.Barred); k > 0 && rapid.Bool().Draw(t, "widen") {
			more.Barred = slices.Clone(r.Barred)
			more.Barred[k-1].Low -= measure.Inch * lengthIn(0, 12).Draw(t, "down")
			more.Barred[k-1].High += measure.Inch * lengthIn(0, 12).Draw(t, "up")
		} else {
			low := lengthIn(0, r.End).Draw(t, "low")
			more.Barred = append(slices.Clone(r.Barred), Interval{low, low + lengthIn(0, 50*measure.Inch).Draw(t, "width")})
		}
		if after := bays(t, more); after < before {
			t.Fatalf("%d bays, with more barred %d", before, after)
		}
	})
}

func TestMirroredIsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.SampledFrom([]func(*rapid.T) Request{inches, tiny}).Draw(t, "size")(t)
		c := r.Limits.(Constant)
		m := r
		m.Start, m.End = -r.End, -r.Start
		m.Limits = Constant{c.Single, c.Last, c.Inner, c.First}
		m.Barred = nil
		for _, b := range r.Barred {
			m.Barred = append(m.Barred, Interval{-b.High, -b.Low})
		}
		m.Targets = func(n int) []measure.Length {
			targets := slices.Clone(r.Targets(n))
			slices.Reverse(targets)
			for i := range targets {
				targets[i] = -targets[i]
			}
			return targets
		}
		places, err := Place(r)
		mirrored, mErr := Place(m)
		if (err == nil) != (mErr == nil) || len(places) != len(mirrored) || departure(r, places) != departure(m, mirrored) {
			t.Fatalf("%d %v, departing %v; mirrored %d %v, departing %v", places, err, departure(r, places), mirrored, mErr, departure(m, mirrored))
		}
	})
}

// The order of the barred intervals, and saying one twice or in two parts that
// overlap, changes nothing.
func TestBarredInAnyOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := inches(t)
		want, wantErr := Place(r)
		var parts []Interval
		for _, b := range r.Barred {
			mid := (b.Low + b.High) / 2
			parts = append(parts, Interval{mid, b.High}, b, Interval{b.Low, mid})
		}
		r.Barred = rapid.Permutation(parts).Draw(t, "parts")
		got, err := Place(r)
		if !slices.Equal(got, want) || (err == nil) != (wantErr == nil) || err != nil && err.Error() != wantErr.Error() {
			t.Fatalf("%v %v, before %v %v", got, err, want, wantErr)
		}
	})
}

func TestTargetsThatKeepTheRulesAreTheAnswer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := inches(t)
		n := bays(t, r)
		if n < 2 || n > MaxBays {
			return
		}
		if targets := r.Targets(n); broken(r, targets) == "" {
			if places, err := Place(r); err != nil || !slices.Equal(places, targets) {
				t.Fatalf("%v %v, targets %v", places, err, targets)
			}
		}
		// Nothing moves from an answer: as targets it is the answer again.
		places, err := Place(r)
		if err != nil {
			t.Fatal(err)
		}
		r.Targets = func(int) []measure.Length { return places }
		if again, err := Place(r); err != nil || !slices.Equal(again, places) {
			t.Fatalf("%v %v, before %v", again, err, places)
		}
	})
}
