package takeoff

import (
	"strconv"

	"wattle/internal/rational"
)

// sum adds up a figure part by part, for the step that ends several others.
// Past maxKinds parts it lists no more: a large job of all different stretches
// would explain itself at the length of a book. Those are one part of the sum,
// and the take-off's faces, leaves and cut plan list them in full.
type sum struct {
	unit  string // of the total: a noun or a unit of measure
	total rational.Number
	parts []Input
	rest  rational.Number
	other int
}

const maxKinds = 32

func newSum(unit string) *sum { return &sum{unit: unit} }

// open reports whether the next part will be listed.
func (s *sum) open() bool { return len(s.parts) < maxKinds }

// add adds a part, named as in "on P1 to P4", that stands for n equal things.
func (s *sum) add(name string, part rational.Number, n int) {
	s.total = s.total.Add(part)
	if !s.open() {
		s.rest = s.rest.Add(part)
		s.other += n
		return
	}
	if s.parts == nil {
		s.parts = make([]Input, 0, 2) // as many as most sums have
	}
	in := Input{name, number(part), ""}
	if samePlural(s.unit) { // a unit of measure is written out, what is counted is not
		in.Unit = s.unit
	}
	s.parts = append(s.parts, in)
}

// step states the sum.
func (s *sum) step(id string) Step {
	parts := s.parts
	if s.other > 0 {
		parts = append(parts, Input{"on the other " + strconv.Itoa(s.other), number(s.rest), ""})
	}
	return step(id, "", parts...).exactly(amount(s.total, s.unit))
}
