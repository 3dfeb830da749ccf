package spacing

import (
	"maps"
	"math"
	"slices"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/measure"

	"pgregory.net/rapid"
)

// These hold the parts against the same thing done place by place.

type set map[measure.Length]bool

func setOf(list []span) set {
	s := set{}
	for _, p := range list {
		for x := p.lo; x <= p.hi; x++ {
			s[x] = true
		}
	}
	return s
}

// spans draws a list of them from 0 to about 60.
func spans(t *rapid.T, name string) (list []span) {
	lo := measure.Length(0)
	for range rapid.IntRange(0, 6).Draw(t, name) {
		lo += lengthIn(0, 5).Draw(t, "gap")
		hi := lo + lengthIn(-1, 6).Draw(t, "length")
		list = join(list, span{lo, hi})
	}
	return list
}

func TestSpans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := spans(t, "a"), spans(t, "b")
		lo, joined := measure.Length(0), []span(nil)
		apart := set{}
		for range rapid.IntRange(0, 6).Draw(t, "joined") {
			lo += lengthIn(0, 4).Draw(t, "on")
			s := span{lo, lo + lengthIn(-1, 6).Draw(t, "length")}
			joined = join(joined, s)
			maps.Copy(apart, setOf([]span{s}))
		}
		if !maps.Equal(setOf(joined), apart) {
			t.Fatalf("joined they are %v, apart %v", joined, apart)
		}
		for i := 1; i < len(a); i++ {
			if a[i].lo <= a[i-1].hi+1 {
				t.Fatalf("no place between two of %v", a)
			}
		}
		both := setOf(a)
		maps.DeleteFunc(both, func(x measure.Length, _ bool) bool { return !setOf(b)[x] })
		if got := meet(nil, a, b); !maps.Equal(setOf(got), both) {
			t.Fatalf("%v and %v have %v in common", a, b, got)
		}
		x := lengthIn(-2, 70).Draw(t, "x")
		lower, upper := measure.Length(-100), measure.Length(100)
		for y := range setOf(a) {
			if y <= x {
				lower = max(lower, y)
			}
			if y >= x {
				upper = min(upper, y)
			}
		}
		if y, ok := floor(a, x); ok != (lower > -100) || ok && y != lower {
			t.Fatalf("floor of %d in %v is %d %t", x, a, y, ok)
		}
		if y, ok := ceil(a, x); ok != (upper < 100) || ok && y != upper {
			t.Fatalf("ceil of %d in %v is %d %t", x, a, y, ok)
		}
	})
}

// values are a curve's, place by place; none where pieces are out of order.
func values(c curve) map[measure.Length]measure.Length {
	at := map[measure.Length]measure.Length{}
	for i, p := range c {
		if p.lo > p.hi || i > 0 && p.lo <= c[i-1].hi {
			return nil
		}
		for x := p.lo; x <= p.hi; x++ {
			at[x] = p.value(x)
		}
	}
	return at
}

func TestSlidingLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var of curve
		want := map[measure.Length]measure.Length{}
		at := measure.Length(0)
		for range rapid.IntRange(0, 8).Draw(t, "pieces") {
			lo := at + max(0, lengthIn(-3, 3).Draw(t, "gap"))
			hi := lo + lengthIn(0, 5).Draw(t, "length")
			p := piece{span{lo, hi}, lengthIn(0, 12).Draw(t, "at"), lengthIn(-4, 4).Draw(t, "slope")}
			for x := lo; x <= hi; x++ {
				want[x] = p.value(x)
			}
			of, at = of.draw(p), hi+1
		}
		if got := values(of); !maps.Equal(got, want) {
			t.Fatalf("drawn %v, want %v", got, want)
		}
		{
			a, b := lengthIn(0, at).Draw(t, "from"), lengthIn(0, at).Draw(t, "to")
			best, found := measure.Length(0), false
			for x := a; x <= b; x++ {
				if v, ok := want[x]; ok && (!found || v < want[best]) {
					best, found = x, true
				}
			}
			if x, ok := of.lowest(a, b); ok != found || x != best {
				t.Fatalf("lowest of %v from %d to %d is %d %t, want %d %t", want, a, b, x, ok, best, found)
			}
		}
		least, target := lengthIn(1, 4).Draw(t, "least"), lengthIn(-3, 40).Draw(t, "target")
		var sum sliding
		sum.start(of, least)
		var got curve
		expected := map[measure.Length]measure.Length{}
		x, to := lengthIn(-5, 5).Draw(t, "first"), lengthIn(-3, 10).Draw(t, "reach")
		for range rapid.IntRange(1, 6).Draw(t, "ramps") {
			r := ramp{span{x, x + lengthIn(0, 9).Draw(t, "length")}, to, rapid.Bool().Draw(t, "climbs")}
			got = sum.over(r, target, got)
			for ; x <= r.hi; x++ {
				for y := x + least; y <= to; y++ {
					if v, ok := want[y]; ok {
						v += (x - target).Abs()
						if old, had := expected[x]; !had || v < old {
							expected[x] = v
						}
					}
				}
				if r.climbs && x < r.hi {
					to++
				}
			}
			x += max(0, lengthIn(-3, 3).Draw(t, "hole"))
			to += max(0, lengthIn(-5, 8).Draw(t, "jump"))
		}
		if v := values(got); !maps.Equal(v, expected) {
			t.Fatalf("%v, want %v", v, expected)
		}
	})
}

// The new lows of a curve, and of the least up to a reach.
func TestRisingLeast(t *testing.T) {
	followed := 0 // curves of several pieces, which the draws must not miss
	rapid.Check(t, func(t *rapid.T) {
		var all, of curve
		at := measure.Length(0)
		value := lengthIn(0, 60).Draw(t, "value")
		for range rapid.IntRange(0, 8).Draw(t, "pieces") {
			lo := at + max(0, lengthIn(-9, 3).Draw(t, "gap"))
			p := piece{span{lo, lo + lengthIn(0, 3).Draw(t, "length")}, value, lengthIn(-3, 0).Draw(t, "slope")}
			if rapid.IntRange(0, 9).Draw(t, "up") == 0 {
				p.slope = 1
			}
			all, of, at = all.draw(p), of.drawLow(p), p.hi+1
			value = p.value(at) + min(max(lengthIn(-9, 9).Draw(t, "step"), -3), 1)
		}
		// lows keeps of the values at some places those under all before.
		lows := func(c map[measure.Length]measure.Length) map[measure.Length]measure.Length {
			kept := map[measure.Length]measure.Length{}
			least := measure.Length(math.MaxInt64)
			for x := measure.Length(-100); x <= 200; x++ {
				if v, ok := c[x]; ok && v < least {
					kept[x], least = v, v
				}
			}
			return kept
		}
		want := lows(values(all))
		if got := values(of); !maps.Equal(got, want) {
			t.Fatalf("new lows of %v are %v, want %v", all, got, want)
		}
		places := set{}
		for x := range want {
			places[x] = true
		}
		if got := of.lows(); !maps.Equal(setOf(got), places) {
			t.Fatalf("new lows %v of %v, want %v", got, all, want)
		}
		target := lengthIn(-3, 20).Draw(t, "target")
		rise := rising{of: of}
		var got curve
		expected := map[measure.Length]measure.Length{}
		x, to := lengthIn(-5, 5).Draw(t, "first"), lengthIn(-3, 10).Draw(t, "reach")
		for range rapid.IntRange(1, 6).Draw(t, "ramps") {
			r := ramp{span{x, x + lengthIn(0, 30).Draw(t, "length")}, to, rapid.Bool().Draw(t, "climbs")}
			got = rise.over(r, target, got)
			for ; x <= r.hi; x++ {
				for y, v := range want {
					v += (x - target).Abs()
					if old, had := expected[x]; y <= to && (!had || v < old) {
						expected[x] = v
					}
				}
				if r.climbs && x < r.hi {
					to++
				}
			}
			x += max(0, lengthIn(-3, 3).Draw(t, "hole"))
			to += max(0, lengthIn(-5, 8).Draw(t, "jump"))
		}
		if len(got) > 2 {
			followed++
		}
		if v := values(got); !maps.Equal(v, lows(expected)) {
			t.Fatalf("%v, want %v", v, lows(expected))
		}
	})
	if followed < 2 {
		t.Errorf("%d curves had more than two pieces", followed)
	}
}

func TestStairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := Request{Start: lengthIn(-9, 9).Draw(t, "start")}
		r.End = r.Start + lengthIn(1, 40).Draw(t, "length")
		// Even for a way, then otherwise, as ground is.
		var reaches []measure.Length
		for to := r.Start; r.Start+measure.Length(len(reaches)) <= r.End; {
			to += lengthIn(0, 6).Draw(t, "jump")
			step := lengthIn(0, 2).Draw(t, "step")
			for range rapid.IntRange(1, 12).Draw(t, "for") {
				reaches = append(reaches, to)
				to += step
			}
		}
		reach := func(x measure.Length) measure.Length { return reaches[x-r.Start] }
		r.Limits = reachFunc(func(x measure.Length, _, _ bool) measure.Length { return reach(x) })
		s, err := prepare(r)
		if err != nil {
			t.Fatal(err)
		}
		grain := lengthIn(1, 12).Draw(t, "grain")
		over := span{lengthIn(r.Start, r.End-1).Draw(t, "lo"), r.End - 1}
		over.hi = lengthIn(over.lo, r.End-1).Draw(t, "hi")
		all := s.inners(grain)
		for i, in := range all {
			var at []measure.Length
			ramps := in.ramps(nil, over)
			for _, p := range ramps {
				if p.lo != over.lo+measure.Length(len(at)) {
					t.Fatalf("ramps %v over %v", ramps, over)
				}
				for to := p.to; over.lo+measure.Length(len(at)) <= p.hi; {
					at = append(at, to)
					if p.climbs {
						to++
					}
				}
			}
			for x := over.lo; x <= over.hi; x++ {
				to := in.at(x)
				if k := int(x - over.lo); k >= len(at) || at[k] != to {
					t.Fatalf("ramps %v do not give the reach %d at %d", ramps, to, x)
				}
				if early := reach(max(x-grain, r.Start)); to < early {
					t.Fatalf("stairs %d reach %d from %d, a grain before it is %d already", i, to, x, early)
				}
				if i == len(all)-1 && to > reach(x) {
					t.Fatalf("steps reach %d from %d, past %d", to, x, reach(x))
				}
				if node := (x-r.Start)%grain == 0; node && to != reach(x) {
					t.Fatalf("stairs %d reach %d from the node %d, want %d", i, to, x, reach(x))
				}
			}
			// Between nodes an even reach is met exactly.
			if a := over.lo - (over.lo-r.Start)%grain; i == 0 && a+grain <= r.End {
				level := true
				for x := a; x <= a+grain; x++ {
					level = level && reach(x)-x == reach(a)-a
				}
				if level && in.at(over.lo) != reach(over.lo) {
					t.Fatalf("reach is %d from %d on even ground, want %d", in.at(over.lo), over.lo, reach(over.lo))
				}
				if level && a+grain > over.hi && len(ramps) > 1 && over.lo > a {
					t.Fatalf("even ground has ramps %v", ramps)
				}
			}
		}
	})
}

// A search for long gives up.
func TestSearchIsBounded(t *testing.T) {
	r := push(1000)
	for _, c := range []struct {
		pieces int
		want   fault.Kind
	}{{20_000, fault.Exhausted}, {MaxPieces, 0}} {
		s, _ := prepare(r)
		layers, _ := s.layers()
		s.pieces = c.pieces
		in := s.inners(Grain)[0]
		row := row{stretch: s, layers: layers, inner: in.at}
		row.open()
		if places, err := row.best(in, r.Targets(1000)); fault.KindOf(err) != c.want || (places == nil) != (err != nil) {
			t.Errorf("with %d pieces: %d placed, %v", c.pieces, len(places), err)
		}
	}
}

// The windows hold every row that keeps the rules, and what narrow takes from
// them is no part of a best one.
func TestNarrowLosesNothing(t *testing.T) {
	narrower := 0
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.SampledFrom([]func(*rapid.T) Request{inches, tiny}).Draw(t, "size")(t)
		s, err := prepare(r)
		if err != nil {
			t.Fatal(err)
		}
		layers, err := s.layers()
		if err != nil || len(layers) < 2 {
			return
		}
		in := s.inners(Grain)[0]
		whole := row{stretch: s, layers: layers, inner: in.at}
		if !whole.open() {
			t.Fatal("there is a row, but no windows")
		}
		cut := whole
		cut.windows = slices.Clone(whole.windows)
		targets := r.Targets(len(layers))
		cut.narrow(targets)
		for i := range cut.windows {
			if !slices.Equal(cut.windows[i], whole.windows[i]) {
				narrower++
			}
		}
		want, _ := whole.best(in, targets)
		if got, _ := cut.best(in, targets); !slices.Equal(got, want) || broken(r, got) != "" {
			t.Fatalf("in windows %v %v, narrowed to %v %v", whole.windows, want, cut.windows, got)
		}
	})
	if narrower == 0 {
		t.Error("nothing was narrowed")
	}
}
