package takeoff

import (
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/rational"
	"wattle/internal/section"
	"wattle/internal/spec"
	"wattle/internal/steel"
)

// squareWall is the wall of square tube for gate frames: 14 gauge up to 1-1/2
// in, 11 gauge above (common practice, from memory).
func squareWall(side measure.Length) measure.Length {
	if side <= measure.Inch*3/2 {
		return measure.Inch * 83 / 1000
	}
	return measure.Inch * 120 / 1000
}

// tubePounds is what a foot of tube weighs; 0 where its wall is not known.
func tubePounds(size section.Section) rational.Number {
	if size.Kind() == section.Tube {
		return steel.SquarePoundsPerFoot(size.Width(), squareWall(size.Width()))
	}
	return poundsPerFoot(string(size))
}

// wholePounds is what a tube gate weighs: 6 lb to the foot of width (from
// memory).
func wholePounds(width measure.Length) rational.Number {
	return whole(wholePerFoot).Mul(quotient(width, measure.Foot))
}

const wholePerFoot = 6

// wireGauges are the diameters of steel wire by gauge (from memory).
var wireGauges = []struct {
	gauge    rational.Number
	diameter measure.Length
}{
	{rational.Of(10, 2), measure.Inch * 207 / 1000}, {rational.Of(12, 2), measure.Inch * 192 / 1000}, {rational.Of(14, 2), measure.Inch * 177 / 1000},
	{rational.Of(16, 2), measure.Inch * 162 / 1000}, {rational.Of(18, 2), measure.Inch * 148 / 1000}, {rational.Of(20, 2), measure.Inch * 135 / 1000},
	{rational.Of(22, 2), measure.Inch * 120 / 1000}, {rational.Of(23, 2), measure.Inch * 113 / 1000}, {rational.Of(24, 2), measure.Inch * 106 / 1000},
	{rational.Of(25, 2), measure.Inch * 99 / 1000}, {rational.Of(26, 2), measure.Inch * 92 / 1000}, {rational.Of(28, 2), measure.Inch * 80 / 1000},
}

// wireDiameter is that of a gauge: of one between two the thicker, 0 of one
// thicker than all.
func wireDiameter(gauge rational.Number) measure.Length {
	var wire measure.Length
	for _, w := range wireGauges {
		if w.gauge.Cmp(gauge) <= 0 {
			wire = w.diameter
		}
	}
	return wire
}

// fabricPounds is what a square foot of chain link weighs, before what weaving
// takes: wires cross it one way and the other, a mesh apart, so it has 2 ft2 /
// mesh of wire. A gauge between two counts as the thicker.
func fabricPounds(d spec.Details) (pounds rational.Number, wire measure.Length) {
	gauge, mesh := d.Number("gauge"), d.Length("mesh")
	wire = wireDiameter(money.Rational(gauge))
	if wire == 0 || mesh <= 0 {
		return rational.Number{}, 0
	}
	return steel.PoundsPerFoot(wire, wire/2).Mul(quotient(2*measure.Foot, mesh)), wire
}

// weighsEach tells what one of an item weighs, for the delivery; 0: nobody knows.
func (g *gathered) weighsEach(it item, pounds rational.Number) {
	if pounds.Sign() == 0 {
		return
	}
	if g.weights == nil {
		g.weights = make(map[string]rational.Number)
	}
	g.weights[it.name] = pounds
}

// weighLeaves weighs each leaf as far as what is in it has a known weight, equal
// ones once.
func (g *gathered) weighLeaves() {
	type kind struct {
		stile, rail, brace, upright, width, bought measure.Length
		rails, uprights, boards                    int
	}
	var kinds tally[kind]
	var weighings []weighing
	for i := range g.out.Leaves {
		leaf := &g.out.Leaves[i]
		k := kind{leaf.Stile, leaf.Rail, leaf.Brace, leaf.Upright, leaf.Width, 0, leaf.Rails, leaf.Uprights, leaf.Boards}
		if boughtWhole(g.s) {
			k.bought = wholeWidth(g.l.Openings[leaf.Opening])
		}
		at := kinds.add(k, i, 1)
		if at == len(weighings) {
			w, err := weigh(*leaf, k.bought, g.s)
			g.fail(err)
			weighings = append(weighings, w)
		}
		w := weighings[at]
		if len(w.parts) == 0 {
			continue
		}
		told := w.told
		told.Subject = leaf.name(g.l, 1) + ", " + w.without
		leaf.Weight, leaf.Weighing = w.pounds, Derivation{slices.Concat(w.steps, []Step{told})}
	}
}

// weigh weighs a leaf, one that is bought whole by its width.
func weigh(leaf Leaf, bought measure.Length, s *spec.Spec) (weighing, error) {
	// A frame and what fills it.
	w := weighing{without: "without hardware", parts: make([]Input, 0, 2), steps: make([]Step, 0, 2)}
	if bought > 0 {
		w.whole(bought)
	} else {
		w.frame(leaf, s)
		w.infill(leaf, s)
	}
	rounded := w.total.HalfUp(1)
	w.told = step("gate.weight", "", w.parts...).
		rounded(amount(w.total, string(Pound)), "rounded half up to 0.1 lb", amount(rounded, string(Pound)))
	var err error
	w.pounds, err = newDecimal(rounded, 1)
	return w, err
}

// weighing is the weight of a leaf as it is added up.
type weighing struct {
	parts   []Input
	steps   []Step
	total   rational.Number
	without string // what is not in it
	pounds  decimal.Decimal
	told    Step // of the total
}

func (w *weighing) add(part string, pounds rational.Number, told Step) {
	w.total = w.total.Add(pounds)
	figure := number(pounds)
	w.steps = append(w.steps, told.exactly(counted(figure, string(Pound))))
	w.parts = append(w.parts, Input{"of " + part, figure, string(Pound)})
}

func (w *weighing) whole(width measure.Length) {
	w.add("gate", wholePounds(width), step("gate.whole-weight", "", length("width", width), count("a foot", wholePerFoot, string(Pound))))
}

// frame weighs the frame, if the weight of a foot of it is known.
func (w *weighing) frame(f Leaf, s *spec.Spec) {
	long := 2*f.Stile + measure.Length(f.Rails)*f.Rail + f.Brace + measure.Length(f.Uprights)*f.Upright
	rule, size, each := "gate.wood-weight", string(s.Rails.Size), poundsPerFoot(string(s.Rails.Size))
	inputs := append(make([]Input, 0, 4), length("length", long))
	if f.Frame != spec.WoodFrame {
		tube := s.Gates.FrameSize
		rule, size, each = "gate.tube-weight", tube.Describe(), tubePounds(tube)
		if tube.Kind() == section.Tube {
			rule, inputs = "gate.square-weight", append(inputs, length("wall", squareWall(tube.Width())))
		}
	}
	if each.Sign() == 0 {
		w.without += " and the frame"
		return
	}
	inputs = append(inputs, Input{Name: "size", Value: size}, Input{"a foot", number(each), string(Pound)})
	w.add("frame", each.Mul(quotient(long, measure.Foot)), step(rule, "", inputs...))
}

// infill weighs what hangs on the frame, as far as its weight is known. Panels
// weigh what their maker says, and split rails as they grew.
func (w *weighing) infill(f Leaf, s *spec.Spec) {
	switch s.Family {
	case spec.VerticalBoards:
		w.boards(s.Boards, f.Boards, s.BoardLength())
	case spec.HorizontalBoards:
		w.boards(s.Boards, coursesOf(s).all(), f.Width)
	case spec.ChainLink:
		w.fabric(s.Details, f.Width)
	default:
		w.without += " and what fills it"
	}
}

// boards are weighed whole: a rip counts as a board.
func (w *weighing) boards(b spec.Boards, n int, long measure.Length) {
	pounds := measure.BoxFt3(b.Thickness, b.Width, long).Mul(whole(n * lumberDensity))
	w.add("boards", pounds, step("gate.board-weight", "", count("boards", n, "board"), length("thickness", b.Thickness), length("width", b.Width),
		length("length", long), count("density", lumberDensity, "lb/ft3")))
}

func (w *weighing) fabric(d spec.Details, width measure.Length) {
	each, wire := fabricPounds(d)
	if each.Sign() == 0 {
		w.without += " and its fabric"
		return
	}
	high := d.Length("fabric_height")
	w.add("fabric", each.Mul(ft2(width, high)), step("gate.fabric-weight", "", length("width", width), length("height", high),
		length("mesh", d.Length("mesh")), length("wire", wire), Input{"a square foot", number(each), string(Pound)}))
}
