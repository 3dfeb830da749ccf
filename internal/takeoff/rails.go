package takeoff

import (
	"fmt"
	"slices"

	"wattle/internal/cutting"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// rails are the rails of all bays and the frames of all leaves, which are of one
// section.
func rails(l *layout.Layout, s spec.Spec, leaves []Leaf) sticks {
	f := sticks{use: "rails " + string(s.Rails.Size), longer: "rail", stock: s.Rails.Stock, field: "spec.rails.stock", waste: s.Waste.Rails,
		item: func(stock measure.Length) item { return railItem(s.Rails.Size, stock) }}
	f.addRails(l, s)
	f.addFrames(l, s, leaves)
	return f
}

// addRails adds the rails of all bays.
func (f *sticks) addRails(l *layout.Layout, s spec.Spec) {
	rails := s.RailCount()
	var centres []Input
	for i, c := range s.RailCentres() {
		centres = append(centres, length(fmt.Sprintf("centre %d", i+1), c))
	}
	if len(centres) > 0 {
		if slices.ContainsFunc(l.Stretches, func(st layout.Stretch) bool { return st.Stepped }) {
			centres = append(centres, Input{Name: "stepped", Value: "the highest ground under it"})
		}
		f.steps = append(f.steps, step("rail.count", "", centres...).exactly(amountOf(rails, "rail")))
	}
	var bays, sloped tally[measure.Length]
	for i, b := range l.Bays {
		rail := cutLength(b.Rail, s)
		bays.add(rail, i, 1)
		if b.Rise != 0 && !l.Stretches[b.Stretch].Stepped {
			sloped.add(rail, i, 1)
		}
	}
	unlisted := 0
	for i, rail := range bays.kinds {
		n := bays.times[i]
		f.pieces = append(f.pieces, cutting.Piece{Length: rail, Count: n * rails})
		if i >= maxKinds {
			unlisted += n
			continue
		}
		if at, is := sloped.index[rail]; is {
			f.steps = append(f.steps, slopeStep(l, s, sloped.first[at], rail))
		}
		f.steps = append(f.steps, step("rail.pieces", "", count("bays", n, "bay"), count("rails", rails, "rail"), length("length", rail)).
			exactly(amountOf(n*rails, "piece")))
	}
	if unlisted > 0 {
		f.steps = append(f.steps, step("rail.other-pieces", "", count("bays", unlisted, "other bay"), count("rails", rails, "rail")).
			exactly(amountOf(unlisted*rails, "piece")))
	}
}

// slopeStep is how long the rails of a racked bay are: what they run over in
// plan, along the slope, and the rail's depth on the slope where the ends are
// cut plumb.
func slopeStep(l *layout.Layout, s spec.Spec, i int, cut measure.Length) Step {
	bay := l.Bays[i]
	st := l.Stretches[bay.Stretch]
	var past measure.Length
	if i == st.FirstBay {
		past += railPast(st.StartEnd, l, s)
	}
	if i == st.FirstBay+st.Bays-1 {
		past += railPast(st.FinishEnd, l, s)
	}
	rise := bay.Rise.Abs()
	inputs := optional([]Input{length("on centre", bay.Width), length("rise", rise)}, "past", past)
	if s.Slope.RailEnds == spec.PlumbEnds {
		plumb, _ := measure.MulDivRound(int64(s.RailDepth()), int64(rise), int64(bay.Width))
		inputs = optional(inputs, "plumb", measure.Length(plumb))
	}
	posts, stations := bayName(l, i)
	return step("rail.slope", posts+" "+stations, inputs...).rounded(lengthText(bay.Rail), "marked to 1/16 in", lengthText(cut))
}

// railPast is how far a rail runs on past the centre of the post at an end of a
// stretch: to the outer edge of a terminal post that it laps, and by the
// thickness of the other leg's rail where it covers an outside corner.
func railPast(e layout.StretchEnd, l *layout.Layout, s spec.Spec) measure.Length {
	if !e.Terminal || !value(s.Layout.TerminalLimit) {
		return 0
	}
	past := l.Posts[e.Post].Width / 2
	if e.Covers && e.Corner == layout.OutsideCorner {
		past += s.RailThickness()
	}
	return past
}

// addFrames adds the frames of all leaves.
func (f *sticks) addFrames(l *layout.Layout, s spec.Spec, leaves []Leaf) {
	rails := s.RailCount()
	kinds := leafKinds(leaves)
	for i, k := range kinds.kinds {
		n := kinds.times[i]
		f.pieces = append(f.pieces,
			cutting.Piece{Length: k.stile, Count: 2 * n},
			cutting.Piece{Length: k.rail, Count: rails * n},
			cutting.Piece{Length: k.brace, Count: n},
		)
		if i >= maxKinds {
			continue
		}
		f.steps = append(f.steps, step("frame.pieces", leaves[kinds.first[i]].name(l, n), count("leaves", n, "leaf"),
			count("stiles", 2, "stile"), length("stile", k.stile), count("rails", rails, "rail"), length("rail", k.rail),
			count("braces", 1, "brace"), length("brace", k.brace)).exactly(amountOf(n*(rails+3), "piece")))
	}
}
