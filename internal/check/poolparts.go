package check

import "fmt"

// panels are the limits on the fence itself [PB-1..PB-7].
func (b Barrier) panels(l PoolLimits) []Result {
	deck := most(PoolGapDeck, "gap_over_deck", "The gap under the barrier over a solid deck", b.GapOverDeck, l.GapOverDeck)
	if no(b.HasDeck) {
		deck = spared(PoolGapDeck, "has_deck", "The barrier stands over no deck")
	}
	return []Result{
		least(PoolHeight, "height", "The height above grade on the outer side", b.Height, l.Height),
		most(PoolGapGrade, "gap_over_grade", "The gap under the barrier over grade", b.GapOverGrade, l.GapOverGrade),
		deck,
		b.sphere(l),
		b.railsSide(l),
		b.verticalGap(l),
		b.mesh(l),
	}
}

// sphere: an opening as wide as the ball lets it pass.
func (b Barrier) sphere(l PoolLimits) Result {
	opening, field := b.Opening, "opening"
	if b.VerticalGap != nil && (opening == nil || *b.VerticalGap > *opening) {
		opening, field = b.VerticalGap, "vertical_gap"
	}
	if opening == nil {
		return notKnown(PoolOpening, field, "The largest opening of the barrier")
	}
	return held(PoolOpening, field, "The largest opening of the barrier", *opening, "less than", l.Sphere, *opening < l.Sphere)
}

func (b Barrier) closeRails(l PoolLimits) bool {
	return b.RailSpacing != nil && *b.RailSpacing < l.RailSpacing
}
func (b Barrier) farRails(l PoolLimits) bool {
	return b.RailSpacing != nil && *b.RailSpacing >= l.RailSpacing
}

func (b Barrier) railsSide(l PoolLimits) Result {
	switch {
	case b.farRails(l):
		return spared(PoolRailsSide, "rail_spacing", fmt.Sprintf("Rails are %s apart, top to top, which is %s or more", b.RailSpacing.Inches(3), l.RailSpacing.Inches(3)))
	case b.RailsOn == PoolSide:
		return result(PoolRailsSide, Pass, "rails_on", "The rails are on the pool side, as rails nearer than "+l.RailSpacing.Inches(3)+" must be.")
	case b.closeRails(l) && b.RailsOn == OuterSide:
		return result(PoolRailsSide, Fail, "rails_on", fmt.Sprintf(
			"Rails %s apart, top to top, are on the outer side; nearer than %s they belong on the pool side.", b.RailSpacing.Inches(3), l.RailSpacing.Inches(3)),
			inInches("found", *b.RailSpacing), inInches("limit", l.RailSpacing))
	case b.RailSpacing == nil:
		return notKnown(PoolRailsSide, "rail_spacing", "How far the rails are apart")
	default:
		return notKnown(PoolRailsSide, "rails_on", "Which side the rails are on")
	}
}

// verticalGap needs no rail spacing where the gap keeps the tighter of its two
// limits, or breaks the wider.
func (b Barrier) verticalGap(l PoolLimits) Result {
	const what = "The largest gap between uprights"
	switch {
	case b.VerticalGap == nil:
		return notKnown(PoolVerticalGap, "vertical_gap", what)
	case b.closeRails(l), b.RailSpacing == nil && *b.VerticalGap <= l.GapCloseRails:
		return most(PoolVerticalGap, "vertical_gap", what, b.VerticalGap, l.GapCloseRails)
	case b.farRails(l), *b.VerticalGap > l.GapFarRails:
		return most(PoolVerticalGap, "vertical_gap", what, b.VerticalGap, l.GapFarRails)
	default:
		return notKnown(PoolVerticalGap, "rail_spacing", fmt.Sprintf("Whether %s or %s is the limit for gaps of %s, which how far rails are apart decides,",
			l.GapCloseRails.Inches(3), l.GapFarRails.Inches(3), b.VerticalGap.Inches(3)))
	}
}

func (b Barrier) mesh(l PoolLimits) Result {
	const what = "The mesh of the chain link"
	switch {
	case no(b.ChainLink):
		return spared(PoolMesh, "chain_link", "The barrier is no chain link")
	case yes(b.Slatted):
		return spared(PoolMesh, "slatted", "The chain link has slats")
	case b.Mesh != nil && *b.Mesh > l.Mesh && b.Slatted == nil:
		return notKnown(PoolMesh, "slatted", fmt.Sprintf("Whether the chain link has slats, which a mesh of %s over %s needs,", b.Mesh.Inches(3), l.Mesh.Inches(3)))
	default:
		return most(PoolMesh, "mesh", what, b.Mesh, l.Mesh)
	}
}

// gate are the limits on gates [PB-9..PB-12].
func (b Barrier) gate(l PoolLimits) []Result {
	results := append([]Result{
		must(PoolGateOutward, "opens_outward", "open away from the pool", b.OpensOutward),
		must(PoolGateClosing, "self_closing", "close by itself", b.SelfClosing),
		must(PoolGateLatching, "self_latching", "latch by itself", b.SelfLatching),
	}, b.latch(l)...)
	if no(b.HasGate) {
		for i, r := range results {
			results[i] = spared(r.Code, "has_gate", "The barrier has no gate")
		}
	}
	return results
}

// latch are the limits on a low release. What keeps them keeps them at any
// height.
func (b Barrier) latch(l PoolLimits) []Result {
	low := l.LatchHeight.Inches(3)
	side := notKnown(PoolLatchSide, "latch_on", "The side of the latch release")
	if b.LatchOn != "" {
		side = result(PoolLatchSide, passIf(b.LatchOn == PoolSide), "latch_on",
			fmt.Sprintf("The latch release is on the %s side; under %s above grade it belongs on the pool side.", b.LatchOn, low))
	}
	results := []Result{
		side,
		least(PoolLatchBelow, "latch_below_top", "The latch release's distance below the top of the gate", b.LatchBelowTop, l.LatchBelow),
		most(PoolLatchShield, "latch_opening", "The largest opening within "+l.LatchReach.Inches(3)+" of the latch release", b.LatchOpening, l.LatchOpening),
	}
	for i, r := range results {
		switch {
		case b.LatchHeight == nil && r.Outcome != Pass:
			results[i] = notKnown(r.Code, "latch_height", "The height of the latch release")
		case b.LatchHeight != nil && *b.LatchHeight >= l.LatchHeight:
			results[i] = spared(r.Code, "latch_height", "The latch release is at "+b.LatchHeight.Inches(3)+", "+low+" or more")
		}
	}
	return results
}

func must(code, field, do string, does *bool) Result {
	switch {
	case does == nil:
		return notKnown(code, field, "Whether the gate can "+do)
	case *does:
		return result(code, Pass, field, "The gate does "+do+", as it must.")
	default:
		return result(code, Fail, field, "The gate does not "+do+"; it must.")
	}
}
