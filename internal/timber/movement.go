package timber

import (
	"fmt"
	"math/big"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// Form is the formula that a movement was reckoned by.
type Form string

// Forms, after the range of moisture that they are for.
const (
	// Narrow is width x C_T x (M2 - M1) [WOOD-3].
	Narrow Form = "narrow"
	// Wide is width x (M2 - M1) / (30 x 100/S - 30 + M1) [WOOD-5]: a straight
	// line from the oven-dry width to the green.
	Wide Form = "wide"
)

// Narrow holds where both moistures are within these, the limits included.
const (
	NarrowFrom = 6 * Percent
	NarrowTo   = 14 * Percent
)

// widest is the widest board whose movement is reckoned.
const widest = 4 * measure.Foot

// Change is how much wider a flat-sawn board becomes as its moisture changes.
type Change struct {
	Species  Species
	Width    measure.Length // at moisture From
	From, To Moisture       // as they were given
	// Delta is the change of Width, more than 0 where the board swells, to the
	// nearest nanometre, halves away from zero.
	Delta measure.Length
	Form  Form
	// Capped: one moisture at least is above fibre saturation and counts as that.
	Capped bool
}

// Movement is the change of width of a flat-sawn board from moisture from, at
// which it is width wide, to moisture to. Moisture above fibre saturation
// counts as fibre saturation. Then the narrow form serves where it holds for
// both moistures, and otherwise the wide one.
//
// The two forms do not meet: for western redcedar, northern white cedar and
// redwood the narrow one gives about a third more than the wide one, for the
// others about the same. So the change may step back where a moisture leaves the
// range of the narrow form; within one form more moisture never means less
// width.
//
// All that is wrong with the arguments is in the error, under "species",
// "width", "from" and "to"; a form for which the species has no figure is not
// available, and is an error of "species".
func Movement(species Species, width measure.Length, from, to Moisture) (Change, error) {
	var v fault.List
	known := v.Require(species.Known(), "species", "expected one of %s, found %.40q", speciesNames(), species)
	v.Require(width > 0 && width <= widest, "width", "expected a width of more than 0 and at most %v, found %v", widest, width)
	moistures := v.Require(from >= 0 && from <= MaxMoisture, "from", "expected a moisture of 0 to %v, found %v", MaxMoisture, from)
	moistures = v.Require(to >= 0 && to <= MaxMoisture, "to", "expected a moisture of 0 to %v, found %v", MaxMoisture, to) && moistures
	c := Change{Species: species, Width: width, From: from, To: to, Form: Wide, Capped: max(from, to) > FibreSaturation}
	if min(from, to) >= NarrowFrom && max(from, to) <= NarrowTo {
		c.Form = Narrow
	}
	if known && moistures {
		v.Require(species.has(c.Form), "species", "expected a wood with a figure for the %s form, which %v to %v needs; %s has none here", c.Form, from, to, species)
	}
	if err := v.Err(); err != nil {
		return Change{}, err
	}
	c.Delta = c.delta()
	return c, nil
}

// delta is the formula in integers: no product of a width in range and a figure
// of the table passes 128 bits, nor the quotient 64.
func (c Change) delta() measure.Length {
	from, to := min(c.From, FibreSaturation), min(c.To, FibreSaturation)
	w := c.Species.wood()
	factor, divisor := w.narrow*int64(to-from), int64(narrowUnit)*int64(Percent)
	if c.Form == Wide {
		// Above and below the line times S.
		factor, divisor = w.wide*int64(to-from), 100*wideUnit*int64(FibreSaturation)+w.wide*int64(from-FibreSaturation)
	}
	delta, _ := measure.MulDivRound(int64(c.Width), factor, divisor)
	return measure.Length(delta)
}

// Sentence says what happens to the board, by which form, and why by that one.
func (c Change) Sentence() string {
	does := "keeps its width"
	switch {
	case c.Delta > 0:
		does = "swells " + c.Delta.Inches(3)
	case c.Delta < 0:
		does = "shrinks " + c.Delta.Abs().Inches(3)
	}
	s := fmt.Sprintf("a %s board %s wide %s from %v to %v moisture", c.Species, c.Width.Inches(3), does, c.From, c.To)
	w := c.Species.wood()
	if c.Form == Narrow {
		s += fmt.Sprintf(", by the narrow form at %s for each percent", big.NewRat(w.narrow, narrowUnit).FloatString(5))
	} else {
		s += fmt.Sprintf(", by the wide form at %s %% from green to oven-dry, since the narrow one holds only from %v to %v",
			decimalText(int(w.wide), 1), NarrowFrom, NarrowTo)
	}
	if c.Capped {
		s += fmt.Sprintf("; moisture above %v, where the fibres are saturated, counts as %v", FibreSaturation, FibreSaturation)
	}
	return s
}
