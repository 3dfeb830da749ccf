package check_test

import (
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/check"
	"wattle/internal/measure"
)

// fit is a barrier that keeps every usual limit: close rails on the pool side, a
// low latch well shielded.
func fit() check.Barrier {
	return check.Barrier{
		Height: long("48 in"), GapOverGrade: long("2 in"), GapOverDeck: long("4 in"), VerticalGap: long("1-3/4 in"),
		RailsOn: check.PoolSide, RailSpacing: long("44 in"), ChainLink: new(true), Mesh: long("1-1/4 in"),
		OpensOutward: new(true), SelfClosing: new(true), SelfLatching: new(true),
		LatchOn: check.PoolSide, LatchHeight: long("45 in"), LatchBelowTop: long("3 in"), LatchOpening: long("1/2 in"),
	}
}

func outcomes(t *testing.T, b check.Barrier, l check.PoolLimits) map[string]check.Outcome {
	t.Helper()
	results, err := b.Check(l)
	if err != nil {
		t.Fatal(err)
	}
	sound(t, results...)
	m := make(map[string]check.Outcome)
	for _, r := range results {
		m[r.Code] = r.Outcome
	}
	if len(m) != 13 || len(results) != 13 {
		t.Errorf("%d results for %d limits, want 13", len(results), len(m))
	}
	return m
}

// PB-1..PB-12: seen, as towns publish them; PB-7 CPSC 362 and the old IRC
// Appendix G. Each case changes the barrier that keeps every limit, and what is
// not named passes.
func TestPoolLimits(t *testing.T) {
	const pass, fail, lacks = check.Pass, check.Fail, check.NotEnoughData
	type want map[string]check.Outcome
	for _, c := range []struct {
		name   string
		change func(*check.Barrier)
		want   want
	}{
		{"everything kept", func(*check.Barrier) {}, want{}},
		{"PB-1 low", func(b *check.Barrier) { b.Height = long("47-15/16 in") }, want{check.PoolHeight: fail}},
		{"PB-2 gap over grade", func(b *check.Barrier) { b.GapOverGrade = long("2-1/16 in") }, want{check.PoolGapGrade: fail}},
		{"PB-3 gap over a deck", func(b *check.Barrier) { b.GapOverDeck = long("4-1/16 in") }, want{check.PoolGapDeck: fail}},
		{"PB-3 no deck", func(b *check.Barrier) { b.GapOverDeck, b.HasDeck = nil, new(false) }, want{}},
		{"PB-4 a 4 in ball passes 4 in", func(b *check.Barrier) { b.Opening = long("4 in") }, want{check.PoolOpening: fail}},
		{"PB-4 a hair less", func(b *check.Barrier) { b.Opening = long("3-63/64 in") }, want{}},
		{"PB-5 rails outside", func(b *check.Barrier) { b.RailsOn = check.OuterSide }, want{check.PoolRailsSide: fail}},
		{"PB-5 wide gaps by close rails", func(b *check.Barrier) { b.VerticalGap = long("1-13/16 in") }, want{check.PoolVerticalGap: fail}},
		{"PB-6 rails far apart", func(b *check.Barrier) {
			b.RailsOn, b.RailSpacing, b.VerticalGap = check.OuterSide, long("45 in"), long("3-1/2 in")
		}, want{}},
		{"PB-6 gaps of 4 in pass it, and PB-4 not", func(b *check.Barrier) { b.RailSpacing, b.VerticalGap = long("45 in"), long("4 in") },
			want{check.PoolOpening: fail}},
		{"PB-6 over 4 in", func(b *check.Barrier) { b.RailSpacing, b.VerticalGap = long("45 in"), long("4-1/16 in") },
			want{check.PoolVerticalGap: fail, check.PoolOpening: fail}},
		{"spacing unknown, small gaps", func(b *check.Barrier) { b.RailSpacing = nil }, want{}},
		{"spacing unknown, gaps between", func(b *check.Barrier) { b.RailSpacing, b.VerticalGap = nil, long("2 in") },
			want{check.PoolVerticalGap: lacks}},
		{"spacing unknown, gaps too wide for either", func(b *check.Barrier) { b.RailSpacing, b.VerticalGap = nil, long("5 in") },
			want{check.PoolVerticalGap: fail, check.PoolOpening: fail}},
		{"spacing unknown, rails outside", func(b *check.Barrier) { b.RailSpacing, b.RailsOn = nil, check.OuterSide },
			want{check.PoolRailsSide: lacks}},
		{"side of rails unknown", func(b *check.Barrier) { b.RailsOn = "" }, want{check.PoolRailsSide: lacks}},
		{"PB-7 wide mesh", func(b *check.Barrier) { b.Mesh, b.Slatted = long("2 in"), new(false) }, want{check.PoolMesh: fail}},
		{"PB-7 slatted", func(b *check.Barrier) { b.Mesh, b.Slatted = long("2 in"), new(true) }, want{}},
		{"PB-7 slats unknown", func(b *check.Barrier) { b.Mesh = long("2 in") }, want{check.PoolMesh: lacks}},
		{"PB-7 no chain link", func(b *check.Barrier) { b.ChainLink, b.Mesh = new(false), nil }, want{}},
		{"PB-9 opens inward", func(b *check.Barrier) { b.OpensOutward = new(false) }, want{check.PoolGateOutward: fail}},
		{"PB-9 does not close", func(b *check.Barrier) { b.SelfClosing = new(false) }, want{check.PoolGateClosing: fail}},
		{"PB-9 does not latch", func(b *check.Barrier) { b.SelfLatching = new(false) }, want{check.PoolGateLatching: fail}},
		{"PB-10 latch outside", func(b *check.Barrier) { b.LatchOn = check.OuterSide }, want{check.PoolLatchSide: fail}},
		{"PB-11 near the top", func(b *check.Barrier) { b.LatchBelowTop = long("2-15/16 in") }, want{check.PoolLatchBelow: fail}},
		{"PB-12 a wide opening", func(b *check.Barrier) { b.LatchOpening = long("9/16 in") }, want{check.PoolLatchShield: fail}},
		{"a high latch needs none of PB-10..12", func(b *check.Barrier) {
			b.LatchHeight, b.LatchOn, b.LatchBelowTop, b.LatchOpening = long("54 in"), check.OuterSide, nil, long("2 in")
		}, want{}},
		{"just under 54 in does", func(b *check.Barrier) { b.LatchHeight, b.LatchOn = long("53-15/16 in"), check.OuterSide },
			want{check.PoolLatchSide: fail}},
		{"latch height unknown", func(b *check.Barrier) { b.LatchHeight, b.LatchOn = nil, check.OuterSide },
			want{check.PoolLatchSide: lacks}},
		{"no gate", func(b *check.Barrier) { b.HasGate, b.OpensOutward, b.LatchHeight, b.LatchOn = new(false), nil, nil, "" }, want{}},
	} {
		b := fit()
		c.change(&b)
		for code, got := range outcomes(t, b, check.PoolDefaults()) {
			w := c.want[code]
			if w == "" {
				w = pass
			}
			if got != w {
				t.Errorf("%s: %s is %s, want %s", c.name, code, got, w)
			}
		}
	}
}

// Of a barrier nothing is known of, nothing is judged.
func TestUnknownBarrier(t *testing.T) {
	for code, got := range outcomes(t, check.Barrier{}, check.PoolDefaults()) {
		if got != check.NotEnoughData {
			t.Errorf("%s is %s", code, got)
		}
	}
}

// PB-1: some towns ask for 60 in; the town's own source stands beside it.
func TestTownsDiffer(t *testing.T) {
	limits := check.PoolDefaults()
	limits.Height, limits.Source, limits.Edition = must("60 in"), "the town's pool code", "2024"
	results, err := fit().Check(limits)
	if err != nil || results[0].Outcome != check.Fail || results[0].Source != "the town's pool code" || results[0].Edition != "2024" {
		t.Errorf("%+v, %v", results, err)
	}
	const want = "The height above grade on the outer side is 48 in; at least 60 in is asked for. Advisory only: the pool code official decides."
	if results[0].Text != want {
		t.Errorf("got %q", results[0].Text)
	}
}

func TestBadBarriers(t *testing.T) {
	limits := check.PoolDefaults()
	limits.Mesh, limits.GapCloseRails = 0, must("5 in")
	_, err := check.Barrier{Height: new(measure.Length(-1)), Mesh: long("101 ft"), RailsOn: "left", LatchOn: "right"}.Check(limits)
	if got := fields(err); got != "height mesh rails_on latch_on limits.mesh limits.gap_close_rails" {
		t.Errorf("violations of %s", got)
	}
}

// A higher barrier with smaller openings and a lower gap never turns a pass to
// anything else.
func TestStricterBarrierIsNoWorse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sixteenths := func(label string, most int64) *measure.Length {
			if rapid.IntRange(0, 4).Draw(t, label+" known") == 0 {
				return nil
			}
			return new(measure.Sixteenth * measure.Length(rapid.Int64Range(0, most).Draw(t, label)))
		}
		b := check.Barrier{
			Height: sixteenths("height", 1600), GapOverGrade: sixteenths("over grade", 80), GapOverDeck: sixteenths("over deck", 80),
			VerticalGap: sixteenths("gap", 100), Opening: sixteenths("opening", 100), RailSpacing: sixteenths("rails", 1000),
			Mesh: sixteenths("mesh", 40), LatchHeight: sixteenths("latch", 1200), LatchBelowTop: sixteenths("below", 80),
			LatchOpening: sixteenths("shield", 16), RailsOn: rapid.SampledFrom([]check.Side{"", check.PoolSide, check.OuterSide}).Draw(t, "side"),
			LatchOn: rapid.SampledFrom([]check.Side{"", check.PoolSide, check.OuterSide}).Draw(t, "latch side"),
		}
		better := b
		for _, up := range []**measure.Length{&better.Height, &better.RailSpacing, &better.LatchHeight, &better.LatchBelowTop} {
			if *up != nil {
				*up = new(**up + measure.Inch)
			}
		}
		for _, down := range []**measure.Length{&better.GapOverGrade, &better.GapOverDeck, &better.VerticalGap, &better.Opening, &better.Mesh, &better.LatchOpening} {
			if *down != nil {
				*down = new(**down / 2)
			}
		}
		before, err := b.Check(check.PoolDefaults())
		after, err2 := better.Check(check.PoolDefaults())
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		sound(t, before...)
		for i, r := range before {
			if r.Outcome == check.Pass && after[i].Outcome != check.Pass {
				t.Fatalf("%s\nthen\n%s", r.Text, after[i].Text)
			}
		}
	})
}
