package spacing

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"wattle/internal/measure"

	"pgregory.net/rapid"
)

func TestBlocked(t *testing.T) {
	short := func(first, last string) Constant {
		c := alike("8 ft")
		c.First, c.Last = measure.Must(first), measure.Must(last)
		return c
	}
	for _, c := range []struct {
		name, length string
		limits       Constant
		barred       string
		want         string // low..high, limit, the farthest post
	}{
		{"wider than a bay", "40 ft", alike("8 ft"), "10 ft..18 ft 1 in", "10 ft..18 ft 1 in 8 ft from 10 ft"},
		{"merged it is wider", "40 ft", alike("8 ft"), "15 ft..19 ft, 10 ft..16 ft", "10 ft..19 ft 8 ft from 10 ft"},
		{"a sliver between two is reached, and no use", "40 ft", alike("8 ft"), "10 ft..17 ft 6 in, 17 ft 7 in..25 ft 8 in", "17 ft 7 in..25 ft 8 in 8 ft from 17 ft 7 in"},
		{"a sliver out of reach from the farthest post", "40 ft", alike("8 ft"), "2 ft..9 ft 11 in, 10 ft..18 ft 1 in", "10 ft..18 ft 1 in 8 ft from 10 ft"},
		{"at the start", "40 ft", short("7 ft", "8 ft"), "-1 ft..7 ft 1 in", "-1 ft..7 ft 1 in 7 ft from 0 in"},
		{"at the end", "40 ft", short("8 ft", "7 ft"), "32 ft 6 in..41 ft", "32 ft 6 in..41 ft 7 ft from 32 ft 6 in"},
		{"up to a place too near the end", "40 ft", alike("8 ft"), "31 ft 11 in..39 ft 9 in", "31 ft 11 in..39 ft 9 in 8 ft from 31 ft 11 in"},
		{"at the start, before a place too near it", "40 ft", alike("8 ft"), "3 in..8 ft 3 in", "3 in..8 ft 3 in 8 ft from 0 in"},
		{"everything", "40 ft", alike("8 ft"), "-1 ft..41 ft", "-1 ft..41 ft 8 ft from 0 in"},
		{"the last bay, well before the end", "40 ft", short("8 ft", "3 in"), "", "39 ft 8 in..40 ft 3 in from 39 ft 8 in, too near"},
		{"a least width past the limits", "40 ft", alike("3 in"), "", "0 in..4 in 3 in from 0 in, too near"},
		{"shorter than the least width and past the limit", "3 in", alike("2 in"), "", "0 in..4 in 2 in from 0 in, too near"},
	} {
		for name, f := range map[string]func(Request) error{
			"Fewest": func(r Request) error { _, err := Fewest(r); return err },
			"Place":  func(r Request) error { _, err := Place(r); return err },
		} {
			err := f(feet(c.length, c.limits, c.barred))
			b, ok := errors.AsType[*Blocked](err)
			if !ok {
				t.Errorf("%s: %s gives %v", c.name, name, err)
				continue
			}
			got := fmt.Sprintf("%v..%v %v from %v", b.Low, b.High, b.Limit, b.From)
			if b.TooNear {
				got += ", too near"
			}
			if got != c.want {
				t.Errorf("%s: %s gives %s, want %s", c.name, name, got, c.want)
			}
		}
	}
}

// Rows of a thousand million bays lead to the interval too; that there is no
// row is clear without following them.
func TestBlockedWithNoLeastWidth(t *testing.T) {
	r := feet("40 ft", alike("8 ft"), "10 ft..18 ft 1 in")
	r.Least = 0
	if _, err := Fewest(r); err == nil || !strings.Contains(err.Error(), "between 10 ft and 18 ft 1 in") {
		t.Error(err)
	}
}

func TestBlockedSaysWhatAndHowFar(t *testing.T) {
	_, err := Fewest(feet("40 ft", alike("8 ft"), "10 ft..18 ft 1 in"))
	if want := "no post may stand between 10 ft and 18 ft 1 in, and the bay over it, from the post at 10 ft, may be 8 ft wide"; err == nil || err.Error() != want {
		t.Errorf("%v, want %s", err, want)
	}
	_, err = Fewest(feet("40 ft", alike("3 in"), ""))
	if want := "a bay after the post at 0 in may be 3 in wide, and no post within that keeps the least width of 4 in from the next"; err == nil || err.Error() != want {
		t.Errorf("%v, want %s", err, want)
	}
}

// What Blocked says is so: the interval is barred from edge to edge, the post
// it starts from can be had and no farther one, and the limit is the one of a
// bay there that does not span what is in the way.
func TestBlockedIsAProof(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := tiny(t)
		if rapid.Bool().Draw(t, "uneven") {
			r.Limits = uneven(t, r)
		}
		_, err := Fewest(r)
		b, ok := errors.AsType[*Blocked](err)
		if !ok {
			return
		}
		if want := enumerate(r, 1); want.bays != 0 {
			t.Fatalf("%v, but enumeration finds %d", b, want.places)
		}
		// The farthest post, by filling in every place from the left.
		farthest, first := r.Start, true
		least := max(r.Least, 1)
		had := map[measure.Length]bool{r.Start: true}
		for x := r.Start + 1; x <= r.End-least; x++ {
			if slices.ContainsFunc(r.Barred, func(b Interval) bool { return b.Low < x && x < b.High }) {
				continue
			}
			for y := r.Start; y <= x-least; y++ {
				if had[y] && r.Limits.Reach(y, y == r.Start, false) >= x {
					had[x], farthest, first = true, x, false
					break
				}
			}
		}
		if b.From != farthest {
			t.Fatalf("from %d, the farthest post is %d", b.From, farthest)
		}
		toEnd := b.TooNear || b.High > r.End-least
		next, last := r.Limits.Reach(farthest, first, false)-farthest, r.Limits.Reach(farthest, first, true)-farthest
		if b.Limit != max(next, 0) && b.Limit != max(last, 0) || b.Limit == max(next, 0) && b.Limit != max(last, 0) && toEnd && !b.TooNear {
			t.Fatalf("%+v: limits there are %d and, last, %d", b, next, last)
		}
		if b.TooNear {
			if b.Low != b.From || b.High != b.From+least {
				t.Fatalf("%+v: too near is within %d", b, least)
			}
			return
		}
		for x := b.Low + 1; x < b.High; x++ {
			if !slices.ContainsFunc(r.Barred, func(b Interval) bool { return b.Low < x && x < b.High }) {
				t.Fatalf("%+v: %d is not barred", b, x)
			}
		}
		for x := b.From + 1; x <= r.End-least; x++ {
			if x > b.Low && x < b.High {
				continue
			}
			if x >= b.From+least && x <= b.From+next && !slices.ContainsFunc(r.Barred, func(b Interval) bool { return b.Low < x && x < b.High }) {
				t.Fatalf("%+v: a post could stand at %d", b, x)
			}
			if b.From+2*least > r.End && next >= least && r.Limits.Reach(x, false, true) >= r.End {
				t.Fatalf("%+v: the last bay could start at %d", b, x)
			}
		}
		past := b.High // what the bay over it would have to reach
		if toEnd {
			past = r.End
		}
		if b.High <= b.From || b.From+b.Limit >= past {
			t.Fatalf("%+v: the limit spans it", b)
		}
	})
}
