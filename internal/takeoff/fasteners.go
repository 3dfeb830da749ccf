package takeoff

import (
	"wattle/internal/rational"
	"wattle/internal/spec"
)

// boardNails are the nails of boards at every crossing with a rail.
func (g *gathered) boardNails() {
	s := g.s
	f := s.Fasteners
	all := newSum("nail")
	steps := make([]Step, 0, 2) // with the pounds; more where there are leaves
	for _, use := range []struct {
		subject, part string
		boards        int
	}{{"Boards of the fence", "for boards of the fence", g.boardsHung()}, {"Boards of gate leaves", "for boards of gate leaves", g.leafBoards()}} {
		if use.boards == 0 {
			continue
		}
		n := use.boards * s.RailCount() * f.PerBoardPerRail
		steps = append(steps, step("nail.boards", use.subject, count("boards", use.boards, "board"), count("rails", s.RailCount(), "rail"),
			count("nails", f.PerBoardPerRail, "nail")).exactly(amountOf(n, "nail")))
		all.add(use.part, whole(n), 1)
	}
	g.need(usedFor("boards", g.nailPounds(boardNailItem(f.BoardNail), f.BoardNail, all, steps))...)
}

// railEnds are what holds the rails of bays as they are given, and the rails of
// frames, the braces and the kick boards: nails in wood, brackets and screws on
// metal posts.
func (g *gathered) railEnds(rails held) []need {
	f := g.s.Fasteners
	frames, braces := 0, 0
	for _, leaf := range g.out.Leaves {
		if leaf.Frame == spec.WoodFrame {
			braces += leaf.Leaves
			frames += leaf.Leaves * leaf.Rails
		}
	}
	kicks := kicksHeld(g.l, g.s)
	all := newSum("nail")
	steps := make([]Step, 0, 2) // with the pounds; more where there are leaves
	for _, use := range []struct {
		subject, part, noun string
		held
	}{{"Rails of bays", "for rails of bays", "rail", rails}, {"Rails of gate leaves", "for rails of gate leaves", "rail", held{pieces: frames}},
		{"Braces", "for braces", "brace", held{pieces: braces}}, {"Kick boards", "for kick boards", "kick board", kicks}} {
		n := 2 * use.pieces
		if !use.plain() {
			n = use.ends + use.passes
		}
		n *= f.PerRailEnd
		if n == 0 {
			continue
		}
		rule, inputs := "nail.rail-ends", make([]Input, 0, 3)
		if use.plain() {
			inputs = append(inputs, count("pieces", use.pieces, use.noun))
		} else {
			rule, inputs = "nail.rail-posts", append(inputs, count("ends", use.ends, "end"))
			if use.passes > 0 {
				inputs = append(inputs, count("passes", use.passes, ""))
			}
		}
		inputs = append(inputs, count("nails", f.PerRailEnd, "nail"))
		steps = append(steps, step(rule, use.subject, inputs...).exactly(amountOf(n, "nail")))
		all.add(use.part, whole(n), 1)
	}
	needs := g.nailPounds(railNailItem(f.RailNail), f.RailNail, all, steps)
	return usedFor("rails", append(needs, g.screwed(rails, kicks)...))
}

// usedFor says what needs are for.
func usedFor(use string, needs []need) []need {
	for i := range needs {
		needs[i].use = use
	}
	return needs
}

// nailPounds are nails by weight; none where there are none.
func (g *gathered) nailPounds(it item, penny string, nails *sum, steps []Step) []need {
	if nails.total.Sign() == 0 {
		return nil
	}
	perPound := g.s.Fasteners.NailsPerPound[penny]
	if perPound <= 0 {
		g.wrong.Add("spec.fasteners.nails_per_pound["+penny+"]", "expected how many nails make a pound, found %d", perPound)
		return nil
	}
	if len(steps) > 1 {
		steps = append(steps, nails.step("nail.sum"))
	}
	exact := nails.total.Quo(whole(perPound))
	pounds := ceiling(exact, rational.Of(1, 100))
	steps = append(steps, step("nail.pounds", "", Input{"nails", number(nails.total), "nail"}, count("nails per lb", perPound, "nail")).
		rounded(amount(exact, string(Pound)), "rounded up to 0.01 lb", amount(pounds, string(Pound))))
	return []need{{item: coated(it, g.s.Fasteners.Coating), net: pounds, waste: g.s.Waste.Fasteners, steps: steps}}
}
