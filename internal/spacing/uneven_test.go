package spacing

import (
	"errors"
	"slices"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/measure"

	"pgregory.net/rapid"
)

// A limit worked out place by place is off by what rounding does to it. That
// costs no more than rounding does.
func TestRoundedReachIsAsGoodAsConstant(t *testing.T) {
	limits := alike("8 ft")
	rounded := reachFunc(func(x measure.Length, first, last bool) measure.Length {
		return limits.Reach(x, first, last) - min(x%Grain, 1) // less between nodes
	})
	for _, c := range []struct{ length, barred string }{
		{"47 ft 8 in", "15 ft 9-61/64 in..15 ft 11-3/4 in"}, // 0.72 in down, and the next post down with it
		{"63 ft 8 in", "15 ft 8-61/64 in..15 ft 11-63/64 in"},
		{"47 ft 11 in", "7 ft 11-1/2 in..8 ft 2 in, 23 ft 11 in..24 ft 3 in"},
	} {
		exact := feet(c.length, limits, c.barred)
		want, err := Place(exact)
		if err != nil {
			t.Fatal(err)
		}
		r := exact
		r.Limits = rounded
		got, err := Place(r)
		if err != nil || broken(r, got) != "" || len(got) != len(want) {
			t.Fatalf("%s: %v (%v), with constant limits %v", c.length, got, err, want)
		}
		if more := departure(r, got) - departure(exact, want); more > measure.Millimetre {
			t.Errorf("%s: %v departs %v more than %v", c.length, got, more, want)
		}
	}
}

// A reach that goes up in steps of an inch is met exactly: its steps lie on
// nodes.
func TestReachInSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := inches(t)
		c := r.Limits.(Constant)
		r.Limits = reachFunc(func(x measure.Length, first, last bool) measure.Length {
			return c.Reach(x-x%measure.Inch, first, last)
		})
		n := bays(t, r)
		if n < 2 || n > MaxBays {
			return
		}
		// Targets on the grid, so that the best row is.
		targets := r.Targets(n)
		for i := range targets {
			targets[i] = measure.RoundTo(targets[i], measure.Inch)
		}
		r.Targets = func(int) []measure.Length { return targets }
		want := enumerate(r, measure.Inch)
		if got, err := Place(r); err != nil || want.bays == n && !slices.Equal(got, want.places) {
			t.Fatalf("%v departing %v (%v), on the grid %v departing %v", got, departure(r, got), err, want.places, want.cost)
		}
	})
}

// Where no row has a grain to spare there is one all the same, its posts as
// near their targets as can be, one by one, and the lower of two as near.
func TestNothingToSpare(t *testing.T) {
	limits := reachFunc(func(x measure.Length, first, last bool) measure.Length {
		switch {
		case first && last:
			return 0
		case first:
			return 4
		case last:
			return x + 4
		case x >= 4:
			return max(x+1, 9)
		}
		return 4
	})
	for _, c := range []struct {
		name         string
		target, want measure.Length
	}{
		{"a tie", 8, 7}, {"nearer above", 9, 9}, {"far above", 100, 9}, {"nearer below", 7, 7}, {"far below", -100, 7},
	} {
		r := Request{End: 11, Limits: limits, Barred: []Interval{{7, 9}},
			Targets: func(int) []measure.Length { return []measure.Length{3, c.target} }}
		if got, err := Place(r); err != nil || !slices.Equal(got, []measure.Length{4, c.want}) {
			t.Errorf("%s: %d (%v), want 4 and %d", c.name, got, err, c.want)
		}
	}
}

// A reach that keeps no promise gets an error or a row that keeps every rule.
func TestLawlessReach(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := tiny(t)
		reaches := rapid.SliceOfN(lengthIn(-20, 30), 244, 244).Draw(t, "reaches")
		r.Limits = reachFunc(func(x measure.Length, first, last bool) measure.Length {
			i := int(x-r.Start) * 4
			if first {
				i++
			}
			if last {
				i += 2
			}
			return x + reaches[i]
		})
		for _, grain := range []measure.Length{1, 5, Grain} {
			places, err := place(r, grain)
			_, blocked := errors.AsType[*Blocked](err)
			switch {
			case err == nil:
				if why := broken(r, places); why != "" {
					t.Fatalf("placed %d: %s", places, why)
				}
			case !blocked && fault.KindOf(err) != fault.Invalid:
				t.Fatal(err)
			}
		}
	})
	// Least is within the limit at 5 and not at 4, so a bay from 4 or 5 to 8
	// looks possible.
	r := Request{End: 12, Least: 4, Barred: []Interval{{8, 10}}, Targets: even(0, 12)}
	r.Limits = reachFunc(func(x measure.Length, first, last bool) measure.Length {
		switch {
		case first && last:
			return 0
		case first:
			return 5
		case last:
			return x + 4
		case x < 5:
			return x + 3
		}
		return x + 5
	})
	if places, err := Place(r); fault.KindOf(err) != fault.Invalid {
		t.Errorf("placed %d (%v), want the limits refused", places, err)
	}
}
