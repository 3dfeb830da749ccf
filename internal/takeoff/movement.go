package takeoff

import (
	"cmp"
	"slices"
	"strings"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/rational"
	"wattle/internal/spec"
	"wattle/internal/timber"
)

// movement tells what the n boards of subject, hung side by side a gap apart, do
// after that; nothing where the spec names no species. Its steps belong to the
// line of the boards. Ripped boards count as whole ones, so a push is at most
// what is said.
func (g *gathered) movement(subject string, n int, gap measure.Length) []Step {
	if g.s.Moisture.Species == "" {
		return nil
	}
	moves, err := g.s.Moisture.Movement(g.s.Boards.Width)
	if err != nil {
		g.fail(g.wrong.At("spec.moisture").Merge(err))
		return nil
	}
	c, whole := moves.Counted, moves.Whole
	g.out.Movement = &Movement{
		Species: string(c.Species), Installed: whole.From, Service: whole.To,
		Form: string(c.Form), Capped: whole.Capped, Width: c.Width, Change: c.Delta,
		AdvisedGap: c.AdvisedGap(), Gap: gap, ServiceGap: gap - c.Delta,
		Push: max(c.Delta-gap, 0) * measure.Length(n),
	}
	g.cautions = append(g.cautions, g.movementCautions(subject, n, gap, c)...)
	return movementSteps(moves, subject, n, gap)
}

// rowGap is the gap between the boards of one face of the fence.
func rowGap(b spec.Boards, gap measure.Length) measure.Length {
	if b.Pattern == spec.BoardOnBoard {
		return b.Width - 2*b.Overlap
	}
	return gap
}

// boardMovement is the movement of the boards of the fence: those of the widest
// face, where some have their gaps opened the widest of the others.
func (g *gathered) boardMovement() []Step {
	if len(g.out.Faces) == 0 {
		return nil
	}
	f := slices.MinFunc(g.out.Faces, func(a, b Face) int {
		return cmp.Or(cmp.Compare(a.Gap, b.Gap), cmp.Compare(b.Width, a.Width))
	})
	_, short := f.name(g.l, 1)
	n := f.Boards
	if twoRows(g.s.Boards) {
		n = f.Back // the boards of one row have one another for neighbours
	}
	return g.movement(strings.TrimPrefix(short, "on "), n, rowGap(g.s.Boards, f.Gap))
}

// movementSteps are how the gap and what becomes of it were reckoned.
func movementSteps(moves spec.Movement, subject string, n int, gap measure.Length) []Step {
	c := moves.Counted
	from, to := min(c.From, timber.FibreSaturation), min(c.To, timber.FibreSaturation)
	does := "keep their width"
	switch {
	case c.Delta > 0:
		does = "swell"
	case c.Delta < 0:
		does = "shrink"
	}
	inputs := []Input{
		{"species", string(c.Species), ""}, {"does", does, ""}, length("width", c.Width),
		{"from", percentText(from), "%"}, {"to", percentText(to), "%"},
		{"moisture", percentText(max(from-to, to-from)), "%"},
	}
	if moves.Whole.Capped {
		inputs = append(inputs, Input{"saturated", percentText(timber.FibreSaturation), "%"})
	}
	id := "boards.wide-movement"
	if c.Form == timber.Narrow {
		id = "boards.narrow-movement"
		coefficient, _, _ := c.Species.Coefficient()
		inputs = append(inputs, Input{"for each", number(rational.FromBig(coefficient)), ""})
		if moves.Whole != c {
			inputs = append(inputs, Input{"whole", moves.Whole.From.String() + " to " + moves.Whole.To.String(), ""},
				length("wide form", moves.Whole.Delta.Abs()))
		}
	} else {
		shrinkage, _, _ := c.Species.Shrinkage()
		inputs = append(inputs, Input{"shrinkage", number(rational.FromBig(shrinkage)), ""})
	}
	steps := []Step{step(id, "", inputs...).exactly(lengthText(c.Delta.Abs()))}
	if c.Delta > 0 {
		steps = append(steps, step("boards.advised-gap", "", length("swell", c.Delta)).
			rounded(lengthText(c.Delta), "rounded up to 1/16 in", lengthText(c.AdvisedGap())))
	}
	change := "swell"
	if c.Delta < 0 {
		change = "shrinkage"
	}
	states := []Input{length("gap", gap), length(change, c.Delta.Abs())}
	if gap >= c.Delta {
		return append(steps, step("boards.service-gap", "", states...).exactly(lengthText(gap-c.Delta)))
	}
	return append(steps, step("boards.push", subject, append(states, count("boards", n, "board"))...).
		exactly(lengthText((c.Delta-gap)*measure.Length(n))))
}

// percentText is a moisture in percent as a step keeps it, exactly.
func percentText(m timber.Moisture) string {
	return number(rational.Of(int64(m), int64(timber.Percent)))
}

// movementCautions warn of boards that push one another off the rails, and tell
// of those that open. A gap that takes up the swell, though under the advised
// one, pushes nothing.
func (g *gathered) movementCautions(subject string, n int, gap measure.Length, c timber.Change) []layout.Caution {
	m := g.out.Movement
	hung := "hung tight"
	if gap > 0 {
		hung = "hung " + gap.Inches(3) + " apart"
	}
	var all []layout.Caution
	add := func(code, text string) {
		all = append(all, layout.Caution{Code: code, Field: "spec.boards.gap", Text: text})
	}
	from := "their posts"
	if g.s.HasRails() {
		from = "the rails"
	}
	boards := "Boards of " + m.Species + " at " + m.Installed.String() + " moisture, " + hung + ", "
	switch {
	case m.Push > 0:
		add("no-gap-for-swell", boards+"will swell "+c.Delta.Inches(3)+" each by the time they are at "+m.Service.String()+
			": the "+amountOf(n, "board")+" of "+subject+" become "+m.Push.Inches(3)+" too wide together and push off "+from+"; leave at least "+
			m.AdvisedGap.Imperial()+" between them.")
	case c.Delta < 0 && twoRows(g.s.Boards):
		text := boards + "shrink " + c.Delta.Abs().Inches(3) + " each by the time they are at " + m.Service.String()
		if lap := overlapTwice(g.s.Boards) / 2; lap+c.Delta < 0 {
			text += ", which is more than they cover one another by, " + lap.Inches(3) + "."
		} else {
			text += ", and then cover one another by " + (lap + c.Delta).Inches(3) + "."
		}
		add("gap-opens", text)
	case c.Delta < 0:
		add("gap-opens", boards+"shrink "+c.Delta.Abs().Inches(3)+" each by the time they are at "+m.Service.String()+
			", and stand "+m.ServiceGap.Inches(3)+" apart in service.")
	}
	return all
}
