package takeoff

import (
	"cmp"
	"slices"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// Longer are the boards of a face that stand in one bay and are bought longer
// than the spec's, to fill the gap over the ground. Of a racked stretch they are
// as many as the bay's part of the face takes; where the bays share boards, the
// longest are given out first, and no more than the face has.
type Longer struct {
	Bay    int // index into layout.Layout.Bays
	Boards int
	Stock  measure.Length
}

// boardStock is the stock of the boards of a bay: the spec's where that reaches
// over what they are lengthened by, else the shortest whole foot that does.
func boardStock(b layout.Bay, s *spec.Spec) measure.Length {
	if b.Fill <= 0 || s.Slope.Fill != spec.LongerBoards {
		return s.Boards.Stock
	}
	need := s.BoardLength() + b.Fill
	if need <= s.Boards.Stock {
		return s.Boards.Stock
	}
	return (need + measure.Foot - 1) / measure.Foot * measure.Foot
}

// longerStocks are the stocks of boards over the spec's, shortest first.
func longerStocks(l *layout.Layout, s *spec.Spec) []measure.Length {
	var stocks tally[measure.Length]
	for i, b := range l.Bays {
		if stock := boardStock(b, s); stock > s.Boards.Stock {
			stocks.add(stock, i, 1)
		}
	}
	slices.Sort(stocks.kinds)
	return stocks.kinds
}

// lengthen says which boards of the face are bought longer.
func (f *Face) lengthen(l *layout.Layout, s *spec.Spec) {
	first, after := f.bays(l)
	for i := first; i < after; i++ {
		if stock := boardStock(l.Bays[i], s); stock > s.Boards.Stock {
			f.Longer = append(f.Longer, Longer{Bay: i, Stock: stock})
		}
	}
	if len(f.Longer) == 0 {
		return
	}
	slices.SortStableFunc(f.Longer, func(a, b Longer) int { return cmp.Compare(b.Stock, a.Stock) })
	left, twice := f.Boards, pitchTwice(s.Boards, f.Gap)
	for i := range f.Longer {
		part := max(f.part(l, f.Longer[i].Bay), 0)
		n := min(int((2*part+twice-1)/twice), left)
		f.Longer[i].Boards = n
		left -= n
	}
	slices.SortFunc(f.Longer, func(a, b Longer) int { return cmp.Compare(a.Bay, b.Bay) })
	f.Longer = slices.DeleteFunc(f.Longer, func(b Longer) bool { return b.Boards == 0 })
}

// bays are the bays of the face, layout.Layout.Bays[first:after].
func (f *Face) bays(l *layout.Layout) (first, after int) {
	if f.Stepped {
		return f.Bay, f.Bay + 1
	}
	st := l.Stretches[f.Stretch]
	return st.FirstBay, st.FirstBay + st.Bays
}

// part is a bay's part of the face: its width, and at an end of the face what
// the boards reach past the post.
func (f *Face) part(l *layout.Layout, bay int) measure.Length {
	first, after := f.bays(l)
	part := l.Bays[bay].Width
	if bay == first {
		part += f.StartReach
	}
	if bay == after-1 {
		part += f.FinishReach
	}
	return part
}

// longerKind is what bays have in common that take equally many boards of one
// stock, counted alike.
type longerKind struct {
	stock, part, gap measure.Length
	boards           int
}

// longerBoards are the longer boards, by stock.
func longerBoards(l *layout.Layout, s *spec.Spec, faces []Face) []need {
	var kinds tally[longerKind]
	most := make(map[measure.Length]measure.Length) // the largest fill, by stock
	for i := range faces {
		f := &faces[i]
		for _, b := range f.Longer {
			kinds.add(longerKind{b.Stock, f.part(l, b.Bay), f.Gap, b.Boards}, b.Bay, 1)
			most[b.Stock] = max(most[b.Stock], l.Bays[b.Bay].Fill)
		}
	}
	var needs []need
	for _, stock := range longerStocks(l, s) {
		fill := most[stock]
		if fill == 0 { // its boards are all counted at a longer stock
			continue
		}
		n := need{item: boardItem(s.Boards.Size, stock), waste: s.Waste.Boards}
		n.steps = append(n.steps, step("boards.longer", "", length("height", s.Height), length("ground clearance", value(s.GroundClearance)), length("fill", fill)).
			rounded(lengthText(s.BoardLength()+fill), "the shortest whole foot that reaches", lengthText(stock)))
		all := newSum("board")
		for i, k := range kinds.kinds {
			if k.stock != stock {
				continue
			}
			times, short := kinds.times[i], ""
			if all.open() {
				posts, stations := bayName(l, kinds.first[i])
				name := posts + " " + stations
				short = "on " + posts
				if times > 1 {
					short = "on " + amountOf(times, "equal bay")
					name = amountOf(times, "equal bay") + ", the first " + name
				}
				n.steps = append(n.steps, k.step(name, s.Boards))
			}
			all.add(short, whole(k.boards*times), times)
		}
		n.net = all.total
		n.steps = append(n.steps, all.step("boards.sum"))
		needs = append(needs, n)
	}
	return needs
}

// step is how the longer boards of a bay were counted.
func (k longerKind) step(subject string, b spec.Boards) Step {
	twice, gap := pitchTwice(b, k.gap), k.gap
	if twoRows(b) {
		gap = 0 // its boards are told by the overlap
	}
	rounding := "rounded up to whole boards"
	if measure.Length(k.boards)*twice < 2*k.part {
		rounding = "no more than are left of its face"
	}
	inputs := optional([]Input{length("part", k.part), length("pitch", twice/2), length("board", b.Width)}, "gap", gap)
	return step("boards.filled", subject, optional(inputs, "overlap", overlapTwice(b)/2)...).
		rounded(amount(quotient(2*k.part, twice), "board"), rounding, amountOf(k.boards, "board"))
}
