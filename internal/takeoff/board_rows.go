package takeoff

import (
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// Boards in two rows: on one face, the front over the gaps of the back (board on
// board), or on alternate faces of the rails (shadow box). Each board covers its
// neighbours, which are of the other row, by the overlap; so boards go on by a
// step of a board less the overlap, and the first is one of the back row:
//
//	|##1##| |##3##| |##5##|      back    N = ceil((face - overlap) / step)
//	     |##2##| |##4##|         front   overlap of a shadow box: (board - gap) / 2
//
// Half of a board less a gap need not be whole nanometres, so both are kept
// twice, to count exactly.

// twoRows reports whether boards stand in two rows.
func twoRows(b spec.Boards) bool {
	return b.Pattern == spec.BoardOnBoard || b.Pattern == spec.ShadowBox
}

// overlapTwice is twice what a board covers of each neighbour.
func overlapTwice(b spec.Boards) measure.Length {
	switch b.Pattern {
	case spec.BoardOnBoard:
		return 2 * b.Overlap
	case spec.ShadowBox:
		return b.Width - b.Gap
	default:
		return 0
	}
}

// pitchTwice is twice what boards go on by: the board and its gap, or of two
// rows a board less the overlap.
func pitchTwice(b spec.Boards, gap measure.Length) measure.Length {
	if twoRows(b) {
		return 2*b.Width - overlapTwice(b)
	}
	return 2 * (b.Width + gap)
}

// boardRows covers a face with two rows. The rest is the place of the last board
// from where it starts: less than a board is ripped to that, and a rip under
// MinRip becomes two of (board + rest)/2, which still cover one another by the
// overlap, since that is under half a board.
func boardRows(width measure.Length, b spec.Boards) Boarding {
	c := Boarding{Width: width, Gap: b.Gap, Overlap: overlapTwice(b) / 2}
	step := pitchTwice(b, b.Gap)
	n := max((2*width-overlapTwice(b)+step-1)/step, 1)
	c.Boards = int(n)
	c.Front = c.Boards / 2
	c.Back = c.Boards - c.Front
	switch rest := (2*width - (n-1)*step) / 2; {
	case rest >= b.Width:
	case rest >= value(b.MinRip) || n == 1:
		c.Ripped, c.Rip = 1, rest
	default:
		c.narrow = rest
		c.Ripped, c.Rip = 2, (b.Width+rest)/2
	}
	return c
}

// rowsStep is how many boards two rows take.
func (c Boarding) rowsStep(subject string, b spec.Boards) Step {
	lap, twice := overlapTwice(b), pitchTwice(b, b.Gap)
	counted := step("boards.rows", subject, count("back", c.Back, "board"), count("front", c.Front, "board"),
		length("face", c.Width), length("overlap", c.Overlap), length("step", twice/2), length("board", b.Width))
	return counted.rounded(amount(quotient(max(2*c.Width-lap, 0), twice), "board"), "rounded up to whole boards", amountOf(c.Boards, "board"))
}
