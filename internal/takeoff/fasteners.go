package takeoff

import (
	"math/big"
	"strings"
)

// fasteners are the nails: of boards at every crossing with a rail, and of the
// ends of rails, braces and kick boards.
func (g *gathered) fasteners() {
	l, s, faces, leaves := g.l, g.s, g.out.Faces, g.out.Leaves
	f := s.Fasteners
	onFence, onLeaves := 0, 0
	for _, face := range faces {
		onFence += face.Boards
	}
	ends := newSum("nail")
	perPiece := 2 * f.PerRailEnd
	braces, frameRails := 0, 0
	for _, leaf := range leaves {
		onLeaves += leaf.Leaves * leaf.Boards
		braces += leaf.Leaves
		frameRails += leaf.Leaves * leaf.Rails
	}
	rails := count("rails", s.RailCount(), "rail")

	boardNails := newSum("nail")
	var boardSteps []Step
	for _, use := range []struct {
		subject string
		boards  int
	}{{"Boards of the fence", onFence}, {"Boards of gate leaves", onLeaves}} {
		if use.boards == 0 {
			continue
		}
		n := use.boards * s.RailCount() * f.PerBoardPerRail
		boardSteps = append(boardSteps, step("nail.boards", use.subject, count("boards", use.boards, "board"), rails,
			count("nails", f.PerBoardPerRail, "nail")).exactly(amountOf(n, "nail")))
		boardNails.add("for "+strings.ToLower(use.subject), whole(n), 1)
	}

	var endSteps []Step
	for _, use := range []struct {
		subject string
		pieces  int
		noun    string
	}{{"Rails of bays", len(l.Bays) * s.RailCount(), "rail"}, {"Rails of gate leaves", frameRails, "rail"}, {"Braces", braces, "brace"}, {"Kick boards", kicked(l, s), "kick board"}} {
		if use.pieces == 0 {
			continue
		}
		n := use.pieces * perPiece
		endSteps = append(endSteps, step("nail.rail-ends", use.subject, count("pieces", use.pieces, use.noun),
			count("nails", f.PerRailEnd, "nail")).exactly(amountOf(n, "nail")))
		ends.add("for "+strings.ToLower(use.subject), whole(n), 1)
	}

	for _, nails := range []struct {
		item
		penny string
		*sum
		steps []Step
	}{
		{boardNailItem(f.BoardNail), f.BoardNail, boardNails, boardSteps},
		{railNailItem(f.RailNail), f.RailNail, ends, endSteps},
	} {
		if nails.total.Sign() == 0 {
			continue
		}
		perPound := f.NailsPerPound[nails.penny]
		if !g.wrong.Require(perPound > 0, "spec.fasteners.nails_per_pound["+nails.penny+"]", "expected how many nails make a pound, found %d", perPound) {
			continue
		}
		steps := nails.steps
		if len(steps) > 1 {
			steps = append(steps, nails.step("nail.sum"))
		}
		exact := new(big.Rat).Quo(nails.total, whole(perPound))
		pounds := ceiling(exact, big.NewRat(1, 100))
		steps = append(steps, step("nail.pounds", "", Input{"nails", number(nails.total), "nail"}, count("nails per lb", perPound, "nail")).
			rounded(amount(exact, string(Pound)), "rounded up to 0.01 lb", amount(pounds, string(Pound))))
		g.need(need{item: nails.item, net: pounds, waste: s.Waste.Fasteners, steps: steps})
	}
}
