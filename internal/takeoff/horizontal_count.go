package takeoff

import (
	"wattle/internal/cutting"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// reaches is what a board runs over from post centre to post centre and past
// them.
const reaches = "{on centre} on centre" +
	"[ + {start edge} to the outer edge of the start post][ + {start corner} over the other leg's edge at the start]" +
	"[ - {start inside corner} for the inside corner at the start][ + {start wall} to the wall at the start]" +
	"[ + {finish edge} to the outer edge of the finish post][ + {finish corner} over the other leg's edge at the finish]" +
	"[ - {finish inside corner} for the inside corner at the finish][ + {finish wall} to the wall at the finish]"

var horizontalRules = []rule{
	{"horizontal.height", practice, "{height} of height - {ground clearance} of ground clearance[ - {lattice} of lattice]"},
	{"horizontal.courses", practice, "{height} / {board} a course"},
	{"horizontal.spaced-courses", practice, "({height} + {gap} gap) / ({board} board + {gap} gap)"},
	{"horizontal.rip", practice, "{rest} is left over {courses}, so one more is ripped to {result}[, {gap} over it]"},
	{"horizontal.open", practice, "{result} is left open over {courses}[, since a course ripped to {rip} would be under {least rip}]"},
	{"horizontal.stretch", practice, "{courses} x {bays}, a board in each"},
	{"horizontal.staggered", practice, "{odd courses} x {odd}[ + {even courses} x {even}], joints staggered"},
	{"horizontal.sum", practice, "{+}"},
	{"horizontal.board", practice, reaches},
	{"horizontal.slope-board", practice, "(" + reaches + ") x square root of (1 + ({rise!} / {on centre!})^2)"},
	{"horizontal.other-boards", practice, "each length listed with the cut plan"},
	{"horizontal.crossings", practice, "{one} over one bay x 2 posts[ + {two} over two bays x 3 posts]"},
	{"horizontal.on-wood", practice, "{all} - {metal} that are not of wood"},
	{"horizontal.nails", practice, "{crossings} x {nails}"},
	{"horizontal.screws", practice, "{crossings} of posts that are not of wood x {screws}"},
}

// lyingBoard is what boards have in common that are equal: how many bays they
// span, what they run over and past, and how far they rise.
type lyingBoard struct {
	faceKind
	rise measure.Length
	bays int
}

// long is the length of the board.
func (b lyingBoard) long() measure.Length {
	if b.rise == 0 {
		return b.width()
	}
	along, _ := measure.MulDivRound(int64(b.width()), int64(measure.Hypot(b.onCentre, b.rise)), int64(b.onCentre))
	return measure.Length(along)
}

// lying counts boards that lie, as the courses of one stretch after the other
// add them.
type lying struct {
	*gathered
	stock    []measure.Length
	boards   tally[lyingBoard]
	one, two int // boards over one bay, and over two
	metal    int // crossings with posts that no nail goes into
}

// countHorizontal: boards of every course over every bay, or two, cut from the
// stocks by one plan.
func countHorizontal(g *gathered) {
	s := g.s
	if s.Boards.Width <= 0 || s.Boards.Gap < 0 || boarded(s) < s.Boards.Width {
		g.wrong.Add("spec.boards", "expected boards of which a course fits into %s, found %s with a gap of %s", boarded(s), s.Boards.Width, s.Boards.Gap)
		return
	}
	c := coursesOf(s)
	b := lying{gathered: g, stock: horizontalStock(s)}
	type share struct{ bays, odd, even int } // boards of an odd and of an even course
	var shares tally[share]
	odd, even := (c.all()+1)/2, c.all()/2
	for i, st := range g.l.Stretches {
		k := share{bays: st.Bays, odd: b.course(i, true, odd)}
		if even > 0 {
			k.even = b.course(i, false, even)
		}
		shares.add(k, i, 1)
	}
	f := sticks{use: "boards " + string(s.Boards.Size), longer: "board", stock: b.stock, field: "spec.details.stock_1", waste: s.Waste.Boards,
		item: func(stock measure.Length) item { return boardItem(s.Boards.Size, stock) }}
	f.steps = c.steps(s)
	all := newSum("board")
	for i, k := range shares.kinds {
		times, short := shares.times[i], ""
		if all.open() {
			posts, stations := stretchName(g.l, shares.first[i])
			name := posts + " " + stations
			short = "on " + posts
			if times > 1 {
				short = "on " + amountOf(times, "equal stretch")
				name = amountOf(times, "equal stretch") + ", the first " + name
			}
			st := step("horizontal.stretch", name, count("courses", c.all(), "course"), count("bays", k.bays, "bay"))
			if k.odd != k.bays || even > 0 && k.even != k.bays {
				inputs := []Input{count("odd courses", odd, "course"), count("odd", k.odd, "board")}
				if even > 0 {
					inputs = append(inputs, count("even courses", even, "course"), count("even", k.even, "board"))
				}
				st = step("horizontal.staggered", name, inputs...)
			}
			f.steps = append(f.steps, st.exactly(amountOf(odd*k.odd+even*k.even, "board")))
		}
		all.add(short, whole((odd*k.odd+even*k.even)*times), times)
	}
	if len(shares.kinds) > 1 || len(shares.times) > 0 && shares.times[0] > 1 {
		f.steps = append(f.steps, all.step("horizontal.sum"))
	}
	pieces, steps := b.pieces()
	f.pieces, f.steps = pieces, append(f.steps, steps...)
	g.cut(f)
	b.fasten()
	if c.rip > 0 {
		g.cautions = append(g.cautions, layout.Caution{Code: "ripped-boards", Text: "The top course is ripped to " + c.rip.Imperial() + "."})
	}
}

// course lays the boards of a number of equal courses along a stretch and is how
// many one of them takes. Along bays that a straight board can lie over, boards
// over two begin at the first bay of an odd course, at the second of an even.
func (b *lying) course(stretch int, odd bool, times int) int {
	st := b.l.Stretches[stretch]
	n, fresh := 0, true // fresh: at the first bay of those that go on straight
	for i := st.FirstBay; i < st.FirstBay+st.Bays; n++ {
		bays := 1
		if straight := b.straight(i, st); straight && (odd || !fresh) && b.reach(b.board(i, 2)) {
			bays = 2
		}
		board := b.board(i, bays)
		b.boards.add(board, i, times)
		b.tell(i, bays, times)
		i += bays
		fresh = !b.straight(i-1, st)
	}
	return n
}

// tell notes where boards are nailed: at every post that they pass or end on.
func (b *lying) tell(first, bays, times int) {
	if bays == 2 {
		b.two += times
	} else {
		b.one += times
	}
	for i := first; i <= first+bays; i++ {
		post := b.l.Bays[min(i, first+bays-1)].End
		if i < first+bays {
			post = b.l.Bays[i].Start
		}
		if !b.l.Posts[post].Size.Wood() {
			b.metal += times
		}
	}
}

// reach reports whether a stock is as long as the board.
func (b *lying) reach(k lyingBoard) bool {
	return len(b.stock) > 0 && markedLength(k.long(), b.stock) <= b.stock[len(b.stock)-1]
}

// straight reports whether one board may lie over a bay of a stretch and the
// next: they go on at one grade, but for what no tape shows, or stand on one
// step.
func (b *lying) straight(i int, st layout.Stretch) bool {
	if b.s.Details.Count("span") < 2 || i+1 >= st.FirstBay+st.Bays {
		return false
	}
	x, y := b.l.Bays[i], b.l.Bays[i+1]
	if st.Stepped {
		return x.Top == y.Top
	}
	rise, _ := measure.MulDivRound(int64(x.Rise), int64(y.Width), int64(x.Width))
	return (measure.Length(rise) - y.Rise).Abs() <= measure.Sixteenth
}

// board is the board over one bay or two, from bay i on. Its length on level
// ground is marked to 1/16 in, so that bays that differ by what no tape shows
// take equal boards.
func (b *lying) board(i, bays int) lyingBoard {
	st := b.l.Stretches[b.l.Bays[i].Stretch]
	k := lyingBoard{bays: bays}
	for _, bay := range b.l.Bays[i : i+bays] {
		k.onCentre += bay.Width
		if !st.Stepped {
			k.rise += bay.Rise
		}
	}
	k.rise = k.rise.Abs()
	end := func(e layout.StretchEnd) reach {
		r := reachOf(e, b.l, b.s)
		if !value(b.s.Layout.TerminalLimit) {
			r.edge = 0
		}
		return r
	}
	if i == st.FirstBay {
		k.start = end(st.StartEnd)
	}
	if i+bays == st.FirstBay+st.Bays {
		k.finish = end(st.FinishEnd)
	}
	if k.rise == 0 {
		k.onCentre += markedLength(k.width(), b.stock) - k.width()
	}
	return k
}

// pieces are the boards of all courses, and how long they are.
func (b *lying) pieces() ([]cutting.Piece, []Step) {
	var pieces []cutting.Piece
	var steps []Step
	unlisted := 0
	for i, k := range b.boards.kinds {
		n := b.boards.times[i]
		long, exact := markedLength(k.long(), b.stock), k.long()
		pieces = append(pieces, cutting.Piece{Length: long, Count: n})
		if i >= maxKinds {
			unlisted += n
			continue
		}
		first := b.boards.first[i]
		posts, stations := bayName(b.l, first)
		name := amountOf(n, "board") + " over one bay, the first on " + posts + " " + stations
		if k.bays == 2 {
			posts = b.l.Posts[b.l.Bays[first].Start].ID + " to " + b.l.Posts[b.l.Bays[first+1].End].ID
			name = amountOf(n, "board") + " over two bays, the first on " + posts
		}
		st := step("horizontal.board", name, k.step("").Inputs...)
		if k.rise > 0 {
			st = step("horizontal.slope-board", name, append(k.step("").Inputs, length("rise", k.rise))...)
		}
		steps = append(steps, st.rounded(lengthText(exact), "marked to 1/16 in", lengthText(long)))
	}
	if unlisted > 0 {
		steps = append(steps, step("horizontal.other-boards", "The others").exactly(amountOf(unlisted, "board")))
	}
	return pieces, steps
}

// steps are how the courses were counted.
func (c coursing) steps(s spec.Spec) []Step {
	high, gap := boarded(s), s.Boards.Gap
	counted := step("horizontal.courses", "", length("height", high), length("board", s.Boards.Width))
	if gap > 0 {
		counted = step("horizontal.spaced-courses", "", length("height", high), length("board", s.Boards.Width), length("gap", gap))
	}
	steps := []Step{
		step("horizontal.height", "", optional([]Input{length("height", s.Height), length("ground clearance", value(s.GroundClearance))}, "lattice", s.Extras.Lattice)...).
			exactly(lengthText(high)),
		counted.rounded(amount(quotient(high+gap, s.Boards.Width+gap), "course"), "rounded down to whole courses", amountOf(c.whole, "course")),
	}
	courses := count("courses", c.whole, "course")
	switch {
	case c.rip > 0:
		steps = append(steps, step("horizontal.rip", "", optional([]Input{courses, length("rest", c.rip+gap)}, "gap", gap)...).exactly(lengthText(c.rip)))
	case c.narrow > 0:
		steps = append(steps, step("horizontal.open", "", courses, length("rip", c.narrow), length("least rip", value(s.Boards.MinRip))).exactly(lengthText(c.open)))
	case c.open > 0:
		steps = append(steps, step("horizontal.open", "", courses).exactly(lengthText(c.open)))
	}
	return steps
}
