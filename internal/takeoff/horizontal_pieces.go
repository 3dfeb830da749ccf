package takeoff

import (
	"wattle/internal/cutting"
	"wattle/internal/layout"
	"wattle/internal/measure"
)

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
		k.onCentre += markedLength(k.width(), b.stocks) - k.width()
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
		long, exact := markedLength(k.long(), b.stocks), k.long()
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
