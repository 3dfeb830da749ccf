package takeoff

import (
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// Boarding is how boards cover one face, counted from the end where the first
// whole board stands.
//
//	|<------------- Width ------------->|
//	|#####|#####|#####|#####|#####|###|     the last board ripped to Rip
//	|#####| |#####| |#####| |#####|     |   spaced: a whole board and an EndGap
type Boarding struct {
	Width measure.Length
	// Boards to buy: a rip uses up a whole board.
	Boards int
	// Gap between neighbouring boards; where Opened, cut off to a nanometre.
	Gap measure.Length
	// The last Ripped boards (0, 1 or 2) are ripped to Rip each; of two, an odd
	// nanometre is cut off.
	Ripped int
	Rip    measure.Length
	// EndGap is left behind a whole last board.
	EndGap measure.Length
	// Opened: a board was left out and the gaps opened evenly, because its rip
	// would have been under the least.
	Opened bool
	// Of boards in two rows: how many stand in the Back row, where the first is,
	// and how many in the Front, and by how much each covers its neighbours, of a
	// half nanometre the whole. Zero where they stand in one.
	Back, Front int
	Overlap     measure.Length
	// narrow is the rip that the rule for narrow rips replaced.
	narrow measure.Length
}

// board covers a face of the given width. n = ceil(width / pitch), pitch =
// board + gap; the rest r = width - (n-1) pitch is the place of the last board:
// up to a board's width it is ripped to r, from there on it is whole and leaves
// an end gap. A rip under MinRip becomes two of (b + r)/2, or, where the gaps
// may open to MaxGap, none.
func board(width measure.Length, b spec.Boards) Boarding {
	c := Boarding{Width: width, Gap: b.Gap}
	if width <= 0 || pitchTwice(b, b.Gap) <= 0 { // no valid spec has boards that go on by nothing
		return c
	}
	if twoRows(b) {
		return boardRows(width, b)
	}
	pitch := b.Width + b.Gap
	n := (width + pitch - 1) / pitch
	c.Boards = int(n)
	rest := width - (n-1)*pitch
	switch {
	case rest >= b.Width:
		c.EndGap = rest - b.Width
	case rest >= value(b.MinRip) || n == 1:
		c.Ripped, c.Rip = 1, rest
	default:
		c.narrow = rest
		if gap, fits := openedGap(width, n-1, b); fits {
			c.Boards, c.Gap, c.Opened = int(n-1), gap, true
		} else {
			c.Ripped, c.Rip = 2, (b.Width+rest)/2
		}
	}
	return c
}

// openedGap is the even gap between n whole boards that fill the width, and
// whether the spec allows one so wide.
func openedGap(width, n measure.Length, b spec.Boards) (measure.Length, bool) {
	if n < 2 || b.MaxGap <= 0 {
		return 0, false
	}
	open := width - n*b.Width
	return open / (n - 1), open <= (n-1)*b.MaxGap
}

// appendSteps appends how the boards of each of several equal faces were counted;
// end is where the last board stands.
func (c Boarding) appendSteps(steps []Step, subject, end string, b spec.Boards) []Step {
	steps = append(steps, c.countStep(subject, b))
	at := Input{Name: "end", Value: end}
	narrow := func(id string, more ...Input) Step {
		return step(id, subject, append(more, length("board", b.Width), length("rest", c.narrow), length("least rip", value(b.MinRip)))...)
	}
	switch {
	case c.Opened:
		open := narrow("boards.open-gaps", count("spaces", c.Boards-1, "space"), count("boards", c.Boards, "board"),
			length("largest gap", b.MaxGap))
		exact := quotient(c.Width-measure.Length(c.Boards)*b.Width, measure.Length(c.Boards-1)*measure.Inch)
		steps = append(steps, open.exactly(number(exact)+" in"))
	case c.Ripped == 2:
		steps = append(steps, narrow("boards.two-rips", at).exactly(lengthText(c.Rip)))
	case c.Ripped == 1:
		rip := lengthText(c.Rip)
		steps = append(steps, step("boards.rip", subject, lengthAs("rest", rip), at).exactly(rip))
	case c.EndGap > 0:
		steps = append(steps, step("boards.end", subject, length("rest", c.EndGap+b.Width), at).exactly(lengthText(c.EndGap)))
	}
	return steps
}

// countStep is how many boards the face takes.
func (c Boarding) countStep(subject string, b spec.Boards) Step {
	if twoRows(b) {
		return c.rowsStep(subject, b)
	}
	pitch := b.Width + b.Gap
	counted := step("boards.count", subject, optional(append(make([]Input, 0, 4),
		length("face", c.Width), length("pitch", pitch), length("board", b.Width)), "gap", b.Gap)...)
	n := c.Boards
	if c.Opened {
		n++ // before one was left out
	}
	return counted.rounded(amount(quotient(c.Width, pitch), "board"), "rounded up to whole boards", amountOf(n, "board"))
}
