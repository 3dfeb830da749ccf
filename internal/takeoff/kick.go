package takeoff

import (
	"wattle/internal/cutting"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// courses is how many kick boards, one on the other, fill the gap under a bay.
func courses(b layout.Bay, s *spec.Spec) int {
	if s.Slope.Fill != spec.KickBoard || b.Fill <= 0 {
		return 0
	}
	_, wide := s.Slope.KickSize.Dressed()
	if wide <= 0 {
		return 0
	}
	return int((b.Fill + wide - 1) / wide)
}

// kickBoards are the kick boards of all bays, each from post centre to post
// centre: along the ground under a racked bay, level under a stepped one.
func kickBoards(l *layout.Layout, s *spec.Spec) sticks {
	size := s.Slope.KickSize
	f := sticks{use: "kick boards " + string(size), longer: "kick board", stock: s.Rails.Stock, field: "spec.rails.stock", waste: s.Waste.Rails, trim: true,
		item: func(stock measure.Length) item { return kickItem(size, stock) }}
	if s.Slope.Fill != spec.KickBoard {
		return f
	}
	type kind struct {
		length  measure.Length
		courses int
	}
	var kinds tally[kind]
	var high tally[int] // bays, by courses
	var most []measure.Length
	for i, b := range l.Bays {
		n := courses(b, s)
		if n == 0 {
			continue
		}
		long := b.Width
		if !l.Stretches[b.Stretch].Stepped {
			long = measure.Hypot(b.Width, b.Rise)
		}
		kinds.add(kind{cutLength(long, s), n}, i, 1)
		at := high.add(n, i, 1)
		if at == len(most) {
			most = append(most, 0)
		}
		most[at] = max(most[at], b.Fill)
	}
	_, wide := size.Dressed()
	for i, n := range high.kinds {
		if i < maxKinds {
			f.steps = append(f.steps, step("kick.courses", amountOf(high.times[i], "bay"), length("fill", most[i]), length("wide", wide)).
				rounded(amount(quotient(most[i], wide), "course"), "rounded up to whole courses", amountOf(n, "course")))
		}
	}
	otherBays, otherPieces := 0, 0
	for i, k := range kinds.kinds {
		bays := kinds.times[i]
		n := bays * k.courses
		f.pieces = append(f.pieces, cutting.Piece{Length: k.length, Count: n})
		if i >= maxKinds {
			otherBays, otherPieces = otherBays+bays, otherPieces+n
			continue
		}
		f.steps = append(f.steps, step("kick.pieces", "", count("bays", bays, "bay"), count("courses", k.courses, "course"), length("length", k.length)).
			exactly(amountOf(n, "piece")))
	}
	if otherBays > 0 {
		f.steps = append(f.steps, step("kick.other-pieces", "", count("bays", otherBays, "other bay")).exactly(amountOf(otherPieces, "piece")))
	}
	return f
}
