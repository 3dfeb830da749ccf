package spec

import (
	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/timber"
)

// Extras are options on any family. The zero value has none of them.
type Extras struct {
	// CapBoard lies flat on the top of the fence, from post centre to post
	// centre; Trim stands below it along the top of the boards, on TrimSides
	// sides (default 1). Empty: none.
	CapBoard, Trim timber.Size
	TrimSides      int
	// KickBoard runs along the whole foot of the fence, whatever the ground
	// does. Empty: none.
	KickBoard timber.Size
	// Lattice is the height of a lattice top that stands on the boards; the
	// boards are that much shorter. Zero: none.
	Lattice measure.Length
	// LatticeLength is the length of the panels it is cut from. Default 8 ft.
	LatticeLength measure.Length
	// Stock lengths of cap boards, trim and kick boards, ascending. Default 8,
	// 12, 16 ft.
	Stock []measure.Length
	Stain Stain
}

// Stain is brushed on after the fence stands.
type Stain struct {
	// Coats. Default 1 where a coverage is given, else none.
	Coats int
	// Coverage in ft2 per gallon and coat; the maker gives it, so it has no
	// default.
	Coverage decimal.Decimal
	// Sides of the boards, 1 or 2. Default 2.
	Sides int
	// Edges: the edges of boards count too.
	Edges bool
}

func (e *Extras) fillIn() {
	if e.Trim != "" {
		fill(&e.TrimSides, 1)
	}
	if e.Lattice > 0 {
		fill(&e.LatticeLength, 8*measure.Foot)
	}
	if e.sticks() {
		stock(&e.Stock, 8, 12, 16)
	}
	if e.Stain.Coverage.IsPos() {
		fill(&e.Stain.Coats, 1)
	}
	if e.Stain.Coats > 0 {
		fill(&e.Stain.Sides, 2)
	}
}

// sticks reports whether anything is cut from sticks.
func (e Extras) sticks() bool { return e.CapBoard != "" || e.Trim != "" || e.KickBoard != "" }

func (s *Spec) validateExtras(v *fault.List) {
	e := s.Extras
	for _, x := range []struct {
		field string
		size  timber.Size
	}{{"cap_board", e.CapBoard}, {"trim", e.Trim}, {"kick_board", e.KickBoard}} {
		if x.size != "" && !x.size.Known() {
			v.Add(x.field, "%q is no size known here; expected one such as 2x6", x.size)
		}
	}
	if e.Trim != "" {
		v.Require(e.TrimSides == 1 || e.TrimSides == 2, "trim_sides", "expected 1 or 2, found %d", e.TrimSides)
		v.Require(s.HasBoards(), "trim", "trim stands along the top of boards; %s has none", s.Family.Title())
	}
	ascending(v, "stock", e.Stock)
	if part(v, "lattice", e.Lattice) && e.Lattice > 0 {
		v.Require(s.HasBoards(), "lattice", "a lattice top stands on boards; %s has none", s.Family.Title())
		v.Require(s.Height <= 0 || e.Lattice < s.Height-given(s.GroundClearance), "lattice", "%s leaves nothing for boards under it", measure.Tape(e.Lattice))
		v.Require(e.LatticeLength > 0 && e.LatticeLength <= longestPart, "lattice_length", "expected more than 0 and at most %s, found %s", longestPart, e.LatticeLength)
	}
	st := v.At("stain")
	if st.Require(e.Stain.Coats >= 0 && e.Stain.Coats <= 10, "coats", "expected between 0 and 10, found %d", e.Stain.Coats) && e.Stain.Coats > 0 {
		st.Require(e.Stain.Coverage.IsPos(), "coverage", "expected more than 0 ft2 per gallon, found %s", e.Stain.Coverage)
		st.Require(e.Stain.Sides == 1 || e.Stain.Sides == 2, "sides", "expected 1 or 2, found %d", e.Stain.Sides)
		st.Require(s.HasBoards(), "coats", "stain is counted over boards; %s has none", s.Family.Title())
	}
}
