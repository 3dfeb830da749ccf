package layout

import (
	"cmp"
	"fmt"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// classify gives every node its role and section and every mark what it is to
// the fence beside it.
func (p *planner) classify() {
	for i := range p.nodes {
		n := &p.nodes[i]
		members := p.members[n.first:n.end]
		arms, held := 0, false
		for _, j := range members {
			m := &p.marks[j]
			arms++
			if m.passes() {
				arms++
			}
			p.classifyMark(m)
			n.role = max(n.role, p.role(m))
			if m.gate() {
				n.kind.duty = spec.GateDuty
			}
			n.existing = n.existing || m.existing
			held = held || m.held != nil
			n.because = cmp.Or(n.because, m.because)
			if m.width > n.width {
				n.width, n.kind.size = m.width, m.size
			}
		}
		switch {
		case held: // with a run that goes on
			n.role = max(n.role, Junction)
		case arms >= 3:
			n.role = max(n.role, Junction)
			if arms == len(members) {
				p.through(n, members)
			}
		case len(members) == 2: // two ends
			p.twoEnds(n, &p.marks[members[0]], &p.marks[members[1]])
		}
		p.sizeNode(n)
	}
}

// sizeNode gives a node the section and the duty of its role: two ends that go
// on as one fence share a line post, marks that only pass a terminal one where
// they meet.
func (p *planner) sizeNode(n *node) {
	set := p.linePost()
	switch {
	case n.kind.duty == spec.GateDuty:
		return
	case n.role.Terminal():
		set, n.kind.duty = p.terminalPost(), spec.TerminalDuty
		if n.width >= set.width {
			return
		}
	}
	n.width, n.kind.size = set.width, set.post.Size
}

// checkRoom notes neighbouring posts that would stand in each other since one is
// of the heavier section of terminal posts, which only what it shares with
// another run, or a pull, has made of it.
func (p *planner) checkRoom(v *fault.List) {
	if p.spec.Posts.TerminalSize == p.spec.Posts.Size {
		return // no mark has grown
	}
	for run := range p.site.Runs {
		p.overlaps(run, v, func(m *mark) measure.Length { return p.nodes[m.node].width })
	}
}

// role is what a mark would be if it stood alone.
func (p *planner) role(m *mark) Role {
	gates := p.site.Runs[m.run].Gates
	role := Line
	if m.gateOut >= 0 {
		role = max(role, gatePostRole(gates[m.gateOut], site.HingeStart))
	}
	if m.gateIn >= 0 {
		role = max(role, gatePostRole(gates[m.gateIn], site.HingeFinish))
	}
	switch {
	case m.wall:
		return max(role, TieIn)
	case !m.passes():
		return max(role, End)
	case m.corner != NoCorner:
		return max(role, Corner)
	case m.pulls():
		return max(role, Pull)
	case m.pinned || m.existing:
		return max(role, Pinned)
	case m.vertex >= 0:
		return max(role, Bend)
	default:
		return role
	}
}

// gatePostRole is the role of the post at one end of a gate; both posts of a
// pair carry a leaf.
func gatePostRole(g site.Gate, end site.Hinge) Role {
	if g.Leaves == 2 || g.Hinge == end {
		return GateHinge
	}
	return GateLatch
}

// classifyMark sees the mark as its own run does: a junction is terminal for
// the branch that ends there and leaves the run that passes as it is.
func (p *planner) classifyMark(m *mark) {
	if m.passes() && m.vertex >= 0 && !m.chord && p.spec.Classify(m.turn) == spec.Turns {
		m.corner = cornerKind(m.turn, p.boardsLeft(m))
		// The earlier leg covers, where there is another leg's fence to cover.
		m.covers = !m.gate()
	}
	m.terminal = !m.passes() || m.gate() || m.corner != NoCorner || m.pulls()
}

// boardsLeft reports whether the boards are on the left, walking the run.
func (p *planner) boardsLeft(m *mark) bool { return p.site.Runs[m.run].Face == site.Left }

// cornerKind is inside where the turn is toward the boards. Straight back is
// toward neither side and goes as outside, whichever way it is walked.
func cornerKind(turn measure.Angle, boardsLeft bool) CornerKind {
	if turn != 180*measure.Degree && (turn > 0) == boardsLeft {
		return InsideCorner
	}
	return OutsideCorner
}

// cautionGoesOn says, where the spec has pull posts by distance or by grade, that
// they are looked for in each run by itself, though two go on as one.
func (p *planner) cautionGoesOn(a, b *mark) {
	if rules := p.spec.Alignment; a.run != b.run && (rules.PullSpacing > 0 || rules.GradeBreak > 0) {
		p.tell("runs-go-on", fmt.Sprintf("site.runs[%d]", b.run), "Runs %q and %q go on as one fence where they meet, at %s of the first. Long straights and breaks of grade are looked for in each run by itself; draw them as one run to have pull posts across the joint.",
			p.site.Runs[a.run].ID, p.site.Runs[b.run].ID, p.at(int(a.run), a.station))
	}
}

// twoEnds joins two ends to a corner or a bend. Seen from the run listed first,
// the way is along it to the post and on along the other; of one run's own two
// ends, its finish is the way in.
func (p *planner) twoEnds(n *node, a, b *mark) {
	if a.run == b.run && a.legIn < 0 {
		a, b = b, a
	}
	came, arriving := p.arm(a)
	goes, leaving := p.arm(b)
	from, to := a.at.Add(came), a.at.Add(goes)
	turn := measure.Turn(from, a.at, to)
	if class := p.spec.Classify(turn); class != spec.Turns {
		switch {
		case n.role != End || a.wall || b.wall:
		case class == spec.Anchors:
			n.role, n.because = Pull, ByAnchor
		default:
			n.role, a.terminal, b.terminal = Bend, false, false
			if class == spec.SetConcrete {
				n.because = ByConcrete
			}
			p.cautionGoesOn(a, b)
		}
		return
	}
	n.role = max(n.role, Corner)
	aLeft := p.boardsLeft(a) == arriving
	bLeft := p.boardsLeft(b) != leaving
	a.corner, b.corner = cornerKind(turn, aLeft), cornerKind(turn, bLeft)
	a.covers = !a.gate() && !b.gate()
	if !p.spec.HasBoards() {
		return // what stands between posts, or is stretched past them, may change sides
	}
	if aLeft != bLeft {
		p.out.Cautions = append(p.out.Cautions, Caution{
			Code: "boards-change-side",
			Text: fmt.Sprintf("The boards of runs %q and %q are on different sides of the fence where the two meet, at %s of the first.",
				p.site.Runs[a.run].ID, p.site.Runs[b.run].ID, p.at(int(a.run), a.station)),
			Field: fmt.Sprintf("site.runs[%d].face", b.run),
		})
	}
}

// arm is the step from an end mark to the far vertex of its only leg, and
// whether the run finishes here.
func (p *planner) arm(m *mark) (step measure.Point, finishes bool) {
	if m.legIn >= 0 {
		l := p.legs[m.legIn]
		return l.From.Sub(l.To), true
	}
	l := p.legs[m.legOut]
	return l.To.Sub(l.From), false
}
