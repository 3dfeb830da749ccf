package check

import (
	"fmt"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// Side is a side of a pool barrier.
type Side string

const (
	PoolSide  Side = "pool"
	OuterSide Side = "outer"
)

// Barrier is what is known of a fence around a pool. Nil is "not known" and
// gives NotEnoughData for what needs it; so does the empty Side.
type Barrier struct {
	// Height is the least height of the top above grade, on the side away from
	// the pool.
	Height *measure.Length
	// GapOverGrade and GapOverDeck are the largest gaps at the bottom. HasDeck
	// false says that the barrier stands over no solid deck.
	GapOverGrade, GapOverDeck *measure.Length
	HasDeck                   *bool
	// VerticalGap is the largest gap between uprights, 0 for closed boards.
	// Opening is the largest opening of any kind, measured the narrow way, where
	// there is one larger than that.
	VerticalGap, Opening *measure.Length
	// RailsOn is the side that the rails are on, and RailSpacing the least from
	// the top of a rail to the top of the next above.
	RailsOn     Side
	RailSpacing *measure.Length
	// ChainLink false says that the barrier has no mesh.
	ChainLink, Slatted *bool
	Mesh               *measure.Length
	// HasGate false says that there is no gate, and the rest is not looked at.
	HasGate                                  *bool
	OpensOutward, SelfClosing, SelfLatching  *bool
	LatchOn                                  Side
	LatchHeight, LatchBelowTop, LatchOpening *measure.Length // LatchOpening: the largest near the release
}

// Validate notes every measurement that is negative and every unknown side.
func (b Barrier) Validate(v *fault.List) {
	for _, m := range []struct {
		name string
		l    *measure.Length
	}{
		{"height", b.Height}, {"gap_over_grade", b.GapOverGrade}, {"gap_over_deck", b.GapOverDeck}, {"vertical_gap", b.VerticalGap},
		{"opening", b.Opening}, {"rail_spacing", b.RailSpacing}, {"mesh", b.Mesh}, {"latch_height", b.LatchHeight},
		{"latch_below_top", b.LatchBelowTop}, {"latch_opening", b.LatchOpening},
	} {
		if m.l != nil {
			v.Require(*m.l >= 0 && *m.l <= maxReach, m.name, "expected 0 to %s, found %s", maxReach, *m.l)
		}
	}
	for _, s := range []struct {
		name string
		side Side
	}{{"rails_on", b.RailsOn}, {"latch_on", b.LatchOn}} {
		v.Require(s.side == "" || s.side == PoolSide || s.side == OuterSide, s.name, "expected %q or %q, found %q", PoolSide, OuterSide, s.side)
	}
}

// Check is one result for each limit, always all of them and in one order; an
// Invalid error lists everything wrong with the input, limits under "limits".
func (b Barrier) Check(limits PoolLimits) ([]Result, error) {
	v := new(fault.List)
	b.Validate(v)
	limits.Validate(v.At("limits"))
	if err := v.Err(); err != nil {
		return nil, err
	}
	results := append(b.panels(limits), b.gate(limits)...)
	for i := range results {
		results[i] = results[i].from(limits.Source, limits.Edition)
	}
	return results, nil
}

func no(b *bool) bool  { return b != nil && !*b }
func yes(b *bool) bool { return b != nil && *b }

// notKnown and spared are the two answers that need no measurement.
func notKnown(code, field, what string) Result {
	return result(code, NotEnoughData, field, what+" is not known.")
}

func spared(code, field, why string) Result {
	return result(code, Pass, field, why+", so this limit does not apply.")
}

// most holds a measurement against an upper limit, least against a lower one.
func most(code, field, what string, found *measure.Length, limit measure.Length) Result {
	if found == nil {
		return notKnown(code, field, what)
	}
	return held(code, field, what, *found, "at most", limit, *found <= limit)
}

func least(code, field, what string, found *measure.Length, limit measure.Length) Result {
	if found == nil {
		return notKnown(code, field, what)
	}
	return held(code, field, what, *found, "at least", limit, *found >= limit)
}

func held(code, field, what string, found measure.Length, how string, limit measure.Length, ok bool) Result {
	text := fmt.Sprintf("%s is %s; %s %s is asked for.", what, found.Inches(3), how, limit.Inches(3))
	return result(code, passIf(ok), field, text, inInches("found", found), inInches("limit", limit))
}
