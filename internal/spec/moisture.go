package spec

import (
	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/timber"
)

// Moisture says what boards do after they are hung. The zero value computes
// nothing.
type Moisture struct {
	// Species of the boards, as package timber names them. Empty: not computed.
	Species string
	// Installed is the moisture at installation: "12 %", or a named condition
	// such as "green". Default green.
	Installed string
	// Service is the moisture in service: "12 %" or a named climate. Empty: from
	// Temperature and Humidity.
	Service string
	// Temperature in degrees Celsius and relative Humidity in percent of the
	// place, for the equilibrium moisture [WOOD-1].
	Temperature, Humidity *decimal.Decimal
	// ApplyGap: boards are hung with the advised gap, where Boards.Gap gives
	// none.
	ApplyGap bool
}

// fillMoisture fills what the boards' movement is computed from, and hangs them
// with the advised gap where that is asked for and they have none.
func (s *Spec) fillMoisture() {
	m := &s.Moisture
	m.Temperature, m.Humidity = clone(m.Temperature), clone(m.Humidity)
	if m.Species == "" {
		return
	}
	if species, err := timber.ParseSpecies(m.Species); err == nil {
		m.Species = string(species)
	}
	fill(&m.Installed, "green")
	if !m.ApplyGap || s.Boards.Gap != 0 || s.Boards.Pattern == BoardOnBoard {
		return
	}
	if moves, err := m.Movement(s.Boards.Width); err == nil {
		s.Boards.Gap = moves.Counted.AdvisedGap()
	}
}

// Movement is what a board does from the moisture it is hung at to that which
// it stays at.
type Movement struct {
	// Whole is the change between the two, as published. Counted is the one that
	// gaps and pushes are reckoned from: Whole, or its part between 6 % and 14 %
	// where that alone is more.
	//
	// The narrow form [WOOD-3] and the wide one [WOOD-5] do not meet: western
	// redcedar hung at 8 % swells by 0.077 in to 14 %, by the narrow form, and
	// only by 0.057 in to a hair over, by the wide. Wetter wood is no narrower,
	// so what the narrow form gives for the part that it holds for is the least
	// that the whole can be; a smaller gap just past its limit would be taken up
	// on the way there.
	Whole, Counted timber.Change
}

// Movement is that of boards of a width. All that is wrong is in the error, by
// the fields of Moisture.
func (m Moisture) Movement(width measure.Length) (Movement, error) {
	var v fault.List
	species, err := timber.ParseSpecies(m.Species)
	v.Require(err == nil, "species", "%v", err)
	installed := moistureOf(&v, "installed", timber.Installed, m.Installed)
	service := m.service(&v)
	v.Require(width > 0 && width <= widestMoving, "species", "movement is reckoned of boards of more than 0 and at most %s, found %s", widestMoving, width)
	if err := v.Err(); err != nil {
		return Movement{}, err
	}
	whole, err := timber.Movement(species, width, installed, service)
	if err != nil { // there is no figure for the form it takes
		return Movement{}, err
	}
	moves := Movement{whole, whole}
	narrow := func(m timber.Moisture) timber.Moisture { return min(max(m, timber.NarrowFrom), timber.NarrowTo) }
	part, err := timber.Movement(species, width, narrow(installed), narrow(service))
	if err == nil && part.Delta.Abs() > whole.Delta.Abs() {
		moves.Counted = part
	}
	return moves, nil
}

// widestMoving is the widest board that package timber moves.
const widestMoving = 4 * measure.Foot

// service is the moisture in service.
func (m Moisture) service(v *fault.List) timber.Moisture {
	if m.Service != "" || m.Temperature == nil || m.Humidity == nil {
		return moistureOf(v, "service", timber.InService, m.Service)
	}
	moisture, err := timber.Equilibrium(*m.Temperature, *m.Humidity)
	if err := v.Merge(err); err != nil {
		v.Add("humidity", "%v", err)
	}
	return moisture
}

// moistureOf reads a moisture, or the name of a condition.
func moistureOf(v *fault.List, field string, use timber.Use, text string) timber.Moisture {
	if c, err := timber.ParseCondition(use, text); err == nil {
		return c.Moisture
	}
	m, err := timber.ParseMoisture(text)
	if err != nil {
		_, names := timber.ParseCondition(use, text)
		v.Add(field, "expected a moisture such as 12 %%, or a condition: %v", names)
	}
	return m
}

func (s *Spec) validateMoisture(v *fault.List) {
	m := s.Moisture
	if m == (Moisture{}) {
		return
	}
	v.Require(s.HasBoards(), "species", "movement is counted over boards; %s has none", s.Family.Title())
	v.Require(m.Species != "", "species", "expected the species of the boards")
	both := v.Require((m.Temperature == nil) == (m.Humidity == nil), "humidity", "expected a temperature and a humidity together")
	given := v.Require(m.Service != "" || m.Humidity != nil || !both, "service", "expected the moisture in service, or a temperature and a humidity")
	v.Require(m.Service == "" || m.Humidity == nil, "service", "the moisture in service is given twice; expected it, or a temperature and a humidity")
	v.Require(!m.ApplyGap || s.Boards.Pattern != BoardOnBoard, "apply_gap", "board on board has an overlap, not a gap")
	if m.Species == "" || !both || !given || s.Boards.Width <= 0 { // a board without a width is noted for itself
		return
	}
	_, err := m.Movement(s.Boards.Width)
	if other := v.Merge(err); other != nil {
		v.Add("species", "%v", other)
	}
}

// clone is a pointer to a copy.
func clone[T any](p *T) *T {
	if p == nil {
		return nil
	}
	return new(*p)
}
