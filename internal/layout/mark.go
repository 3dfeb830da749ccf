package layout

import (
	"fmt"

	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/site"
)

// together is how near two fixed posts stand to be one post.
const together = measure.Inch / 8

func near(a, b measure.Length) bool { return (a - b).Abs() <= together }

// mark is a fixed post as one run sees it; runs that share the post have a mark
// of it each.
type mark struct {
	run     int32
	node    int32 // the post, once meet has found which marks are one
	legIn   int32 // the leg that arrives here, and
	legOut  int32 // the one that leaves; the same within a leg, -1 at an end
	vertex  int32 // -1 within a leg
	gateIn  int32 // the gate of this run whose opening ends here, and
	gateOut int32 // the one whose opening begins here; -1 for fence
	wall    bool  // a tie-in
	size    section.Section
	width   measure.Length
	station measure.Length
	at      measure.Point
	turn    measure.Angle // of the run, at a vertex that it passes
	// branched: another run meets the leg here, and nothing else of its own run.
	branched bool
	// held: an end that stands at this line post of another run.
	held *Visit
	// pinned by the user, or where a slope part ends; existing: an old post.
	pinned, existing bool
	chord            bool // at a vertex inside an arc
	// because is the alignment's rule that made it what it is.
	because Because

	// Found by classify:
	terminal bool
	corner   CornerKind
	covers   bool // the arriving leg does or, at an end, the only one
}

// passes reports that the run goes on at both sides of the mark.
func (m *mark) passes() bool { return m.legIn >= 0 && m.legOut >= 0 }

func (m *mark) gate() bool { return m.gateIn >= 0 || m.gateOut >= 0 }

// pulls reports a pull post.
func (m *mark) pulls() bool {
	return m.because == ByAnchor || m.because == ByGradeBreak || m.because == ByPull
}

// grow gives the mark the larger of its own section and another.
func (m *mark) grow(size section.Section, width measure.Length) {
	if width > m.width {
		m.size, m.width = size, width
	}
}

// tieIn moves the mark at an end that stands against a wall: the run starts at
// the wall face, the post's centre at the wall gap and half its width. toward
// is 1 where stations rise from the wall.
func (m *mark) tieIn(t site.Terminus, l site.Leg, wall, toward measure.Length) {
	if t.TieIn {
		m.wall = true
		m.station = wall + toward*(t.WallGap+m.width/2)
		m.at = l.At(m.station)
	}
}

// leg is a straight side of a run and the marks at its two ends.
type leg struct {
	site.Leg
	run      int32
	from, to int32
}

// fixedRun is where a run's marks are among the planner's.
type fixedRun struct{ marks, marksEnd int32 }

// name is what a person calls the mark.
func (p *planner) name(m *mark) string {
	run := p.site.Runs[m.run]
	switch {
	case m.gateIn >= 0 && m.gateOut >= 0:
		return fmt.Sprintf("the post between gates %q and %q", run.Gates[m.gateIn].ID, run.Gates[m.gateOut].ID)
	case m.gateOut >= 0:
		return fmt.Sprintf("the first post of gate %q", run.Gates[m.gateOut].ID)
	case m.gateIn >= 0:
		return fmt.Sprintf("the second post of gate %q", run.Gates[m.gateIn].ID)
	case m.wall:
		return fmt.Sprintf("the post beside the wall at %s", p.at(int(m.run), m.station))
	case m.branched:
		return fmt.Sprintf("the post for a branch at %s", p.at(int(m.run), m.station))
	case m.pinned && m.vertex < 0:
		return fmt.Sprintf("the pinned post at %s", p.at(int(m.run), m.station))
	case m.because != "" && m.vertex < 0:
		return fmt.Sprintf("the pull post at %s", p.at(int(m.run), m.station))
	case m.passes() && len(run.Chords) > 0: // its vertices are not those that were given
		return fmt.Sprintf("the post at %s", p.at(int(m.run), m.station))
	case m.passes():
		return fmt.Sprintf("the post at vertex %d", m.vertex)
	default:
		return fmt.Sprintf("the end post at %s", p.at(int(m.run), m.station))
	}
}
