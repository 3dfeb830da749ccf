package takeoff

import (
	"slices"
	"strconv"

	"wattle/internal/cutting"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// rails are the rails of all bays and the frames of all leaves, which are of one
// section.
func (g *gathered) rails() sticks {
	l, s, size := g.l, g.s, g.s.Rails.Size
	f := sticks{use: "rails " + string(size), longer: "rail", stock: s.Rails.Stock, field: "spec.rails.stock", waste: s.Waste.Rails,
		item: func(stock measure.Length) item { return railItem(size, stock) }}
	f.name = "over one bay each"
	f.addRails(l, s)
	f.addFrames(l, s, g.out.Leaves)
	for _, st := range l.Stretches {
		f.joined += s.RailCount() * (st.Bays - 1)
	}
	f.with = g.railEnds(singles(l, s))
	if s.Rails.MaxSpan > 1 {
		f.others = g.twoBays
	}
	return f
}

// railCountStep is how many rails a bay has, and where; not ok where their centres
// are not known.
func railCountStep(l *layout.Layout, s *spec.Spec) (Step, bool) {
	all := s.RailCentres()
	centres := make([]Input, 0, len(all)+1)
	for i, c := range all {
		centres = append(centres, length("centre "+strconv.Itoa(i+1), c))
	}
	if len(centres) == 0 {
		return Step{}, false
	}
	if slices.ContainsFunc(l.Stretches, func(st layout.Stretch) bool { return st.Stepped }) {
		centres = append(centres, Input{Name: "stepped", Value: "the highest ground under it"})
	}
	return step("rail.count", "", centres...).exactly(amountOf(s.RailCount(), "rail")), true
}

// addRails adds the rails of all bays, one to a bay.
func (w *way) addRails(l *layout.Layout, s *spec.Spec) {
	rails := s.RailCount()
	var bays, sloped tally[measure.Length]
	for i, b := range l.Bays {
		rail := cutLength(b.Rail, s)
		bays.add(rail, i, 1)
		if b.Rise != 0 && !l.Stretches[b.Stretch].Stepped {
			sloped.add(rail, i, 1)
		}
	}
	// With room for the leaves' frames.
	w.steps = slices.Grow(w.steps, min(1+len(bays.kinds)+len(sloped.kinds)+len(l.Openings), maxKinds))
	w.pieces = slices.Grow(w.pieces, len(bays.kinds)+3*len(l.Openings))
	if counted, known := railCountStep(l, s); known {
		w.steps = append(w.steps, counted)
	}
	unlisted := 0
	for i, rail := range bays.kinds {
		n := bays.times[i]
		w.pieces = append(w.pieces, cutting.Piece{Length: rail, Count: n * rails})
		if i >= maxKinds {
			unlisted += n
			continue
		}
		if at, is := sloped.find(rail); is {
			w.steps = append(w.steps, slopeStep(l, s, sloped.first[at], rail))
		}
		w.steps = append(w.steps, step("rail.pieces", "", count("bays", n, "bay"), count("rails", rails, "rail"), length("length", rail)).
			exactly(amountOf(n*rails, "piece")))
	}
	if unlisted > 0 {
		w.steps = append(w.steps, step("rail.other-pieces", "", count("bays", unlisted, "other bay"), count("rails", rails, "rail")).
			exactly(amountOf(unlisted*rails, "piece")))
	}
}

// slopeStep is how long the rails of a racked bay are: what they run over in
// plan, along the slope, and the rail's depth on the slope where the ends are
// cut plumb.
func slopeStep(l *layout.Layout, s *spec.Spec, i int, cut measure.Length) Step {
	bay := l.Bays[i]
	st := l.Stretches[bay.Stretch]
	past := s.Layout.EndPast(l.Posts[bay.Start].Width) + s.Layout.EndPast(l.Posts[bay.End].Width)
	if i == st.FirstBay {
		past += railPast(st.StartEnd, l, s)
	}
	if i == st.FirstBay+st.Bays-1 {
		past += railPast(st.FinishEnd, l, s)
	}
	rise := bay.Rise.Abs()
	inputs := optional([]Input{length("on centre", bay.Width), length("rise", rise)}, "past", max(past, 0))
	inputs = optional(inputs, "short", max(-past, 0))
	inputs = optional(inputs, "plumb", plumbCut(bay, s))
	posts, stations := bayName(l, i)
	return step("rail.slope", posts+" "+stations, inputs...).rounded(lengthText(bay.Rail), "marked to 1/16 in", lengthText(cut))
}

// plumbCut is what the rails of a racked bay are longer by where their ends are
// cut plumb.
func plumbCut(b layout.Bay, s *spec.Spec) measure.Length {
	if s.Slope.RailEnds != spec.PlumbEnds {
		return 0
	}
	plumb, _ := measure.MulDivRound(int64(s.RailDepth()), int64(b.Rise.Abs()), int64(b.Width))
	return measure.Length(plumb)
}

// railPast is how far a rail runs on past the centre of the post at an end of a
// stretch: to the outer edge of a terminal post that it laps, and by the
// thickness of the other leg's rail where it covers an outside corner.
func railPast(e layout.StretchEnd, l *layout.Layout, s *spec.Spec) measure.Length {
	if !e.Terminal || !value(s.Layout.TerminalLimit) || s.Layout.Hang != spec.Lapped {
		return 0
	}
	past := l.Posts[e.Post].Width / 2
	if e.Covers && e.Corner == layout.OutsideCorner {
		past += s.RailThickness()
	}
	return past
}

// addFrames adds the frames of all leaves.
func (w *way) addFrames(l *layout.Layout, s *spec.Spec, leaves []Leaf) {
	rails := s.RailCount()
	kinds := leafKinds(leaves)
	for i, k := range kinds.kinds {
		n := kinds.times[i]
		if k.stile <= 0 { // not framed in wood
			continue
		}
		w.pieces = append(w.pieces,
			cutting.Piece{Length: k.stile, Count: 2 * n},
			cutting.Piece{Length: k.rail, Count: rails * n},
			cutting.Piece{Length: k.brace, Count: n},
		)
		if i >= maxKinds {
			continue
		}
		w.steps = append(w.steps, step("frame.pieces", leaves[kinds.first[i]].name(l, n), count("leaves", n, "leaf"),
			count("stiles", 2, "stile"), length("stile", k.stile), count("rails", rails, "rail"), length("rail", k.rail),
			count("braces", 1, "brace"), length("brace", k.brace)).exactly(amountOf(n*(rails+3), "piece")))
	}
}
