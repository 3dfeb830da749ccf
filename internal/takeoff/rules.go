package takeoff

import (
	"slices"
	"strconv"

	"wattle/internal/measure"
)

// rule is one rule of the take-off: where it comes from, and the sentence that
// states it (see template).
type rule struct {
	id, source, sentence string
}

// knownRule is a rule whose sentence is taken apart.
type knownRule struct {
	rule
	words template
}

const practice = "common practice"

// rules are all rules, by the category of the lines they make.
var rules = []rule{
	{"post.stock", practice, "{above grade} above grade + {embedment} embedded"},
	{"post.other-stock", practice, "each as the layout lists it, at most {longest} from top to foot, from the stock of {result}"},
	{"post.kept", practice, "{result} of this size kept where found, neither bought nor set"},
	{"post.count", practice, "{+}"},

	{"rail.count", practice, "{result} in each bay, centred {,} above grade[, in a stepped bay above {stepped}]"},
	{"rail.slope", practice, "({on centre} on centre[ + {past} past the post centres][ - {short} short of the post centres]) x square root of (1 + ({rise!} / {on centre!})^2)" +
		"[ + {plumb} for ends cut plumb]"},
	{"rail.pieces", practice, "{bays} x {rails} of {length}"},
	{"rail.pair", practice, "{first} + {second} of rail over the two bays[ - {plumb} for the one end cut that they have fewer]"},
	{"rail.spans", practice, "{courses} of {rails} over {bays} of {length}"},
	{"rail.other-spans", practice, "over the other bays, each length listed with the cut plan"},
	{"rail.joints", practice, "{courses} joined at {posts}: {result} in each"},
	{"rail.all-joints", practice, "all joints, staggered from course to course where the pairs of bays allow, rails going past line posts only, never past a gate, a corner, a bend or another fixed post"},
	{"rail.choice", practice, "{what} {choice} take {cost} with {result}, {others}[, {ordered}]: the cheapest are cut, of equal ones those with the fewest joints"},
	{"rail.one-bay", practice, "a rail goes past a post that it laps where both bays are of one grade and a stick reaches over both; of sticks up to {longest} none does here, so each rail spans {result}"},
	{"rail.other-pieces", practice, "{bays} x {rails}, each length listed with the cut plan"},
	{"frame.pieces", practice, "{leaves} x ({stiles} of {stile} + {rails} of {rail} between them + {braces} of {brace})"},
	{"kick.courses", practice, "at most {fill} to fill / {wide} a course"},
	{"kick.pieces", practice, "{bays} x {courses} of {length}, from post centre to post centre"},
	{"kick.other-pieces", practice, "{bays}, each length listed with the cut plan"},
	{"stick.plan", practice, "{pieces}, cut with a saw kerf of {kerf} from sticks of {stocks}, {aim} ({proof}): {result} of {stick}"},
	{"stick.panels", practice, "{pieces}, cut with a saw kerf of {kerf} from panels of {stocks}, {aim} ({proof}): {result} of {stick}"},

	{"boards.face", practice, "{on centre} on centre" +
		"[ + {start edge} to the outer edge of the start post][ + {start corner} over the other leg's edge at the start]" +
		"[ - {start inside corner} for the inside corner at the start][ + {start wall} to the wall at the start]" +
		"[ + {finish edge} to the outer edge of the finish post][ + {finish corner} over the other leg's edge at the finish]" +
		"[ - {finish inside corner} for the inside corner at the finish][ + {finish wall} to the wall at the finish]"},
	{"boards.bay-face", practice, "{on centre} between post centres, as each bay of a stepped stretch is boarded for itself" +
		"[ + {start wall} to the wall at the start][ + {finish wall} to the wall at the finish]"},
	{"boards.length", practice, "{height} of height - {ground clearance} of ground clearance[ - {lattice} of lattice]"},
	{"boards.cut", practice, "boards of {height} of height - {ground clearance} of ground clearance[ - {lattice} of lattice]"},
	{"boards.count", "LUM-4", "face {face} / pitch {pitch} ({board} board[ + {gap} gap])"},
	{"boards.overlap", practice, "each board covers its neighbours by ({board} - {gap}) / 2"},
	{"boards.rows", practice, "{back} behind and {front} in front: ({face} of face - {overlap} overlap) / step {step} ({board} board - {overlap} overlap)"},
	{"boards.narrow-movement", "WOOD-3", "boards of {species} {does} from {from} to {to}[ (of the whole way, {whole}, the wide form gives {wide form}, which is less than this part of it alone by the narrow form, so the part counts)]: {width} x {for each} for each percent x {moisture}" +
		"[, moisture above {saturated}, where the fibres are saturated, counting as that]"},
	{"boards.wide-movement", "WOOD-5", "boards of {species} {does} from {from} to {to}[, moisture above {saturated}, where the fibres are saturated, counting as that]: " +
		"{width} x {moisture} / (30 x 100 / {shrinkage} - 30 + {from})"},
	{"boards.advised-gap", practice, "{swell} of swell asks for a gap"},
	{"boards.service-gap", practice, "{gap} apart as hung[ - {swell} of swell][ + {shrinkage} of shrinkage] in service"},
	{"boards.push", practice, "boards hung {gap} apart push one another: ({swell} of swell - {gap}) x {boards}"},
	{"boards.end", practice, "{rest} is left behind the last whole pitch at the {end}: the board there stays whole and leaves {result}"},
	{"boards.rip", practice, "{rest} is left behind the last whole pitch, so the last board, at the {end}, is ripped to {result}"},
	{"boards.two-rips", practice, "a rip of {rest} would be under {least rip}, so the last two boards, at the {end}, are ripped to ({board} + {rest}) / 2 = {result} each"},
	{"boards.open-gaps", "LAY-3", "a rip of {rest} would be under {least rip}, so one board is left out, and the {spaces} between {boards} of {board} open evenly to {result}, at most {largest gap}"},
	{"boards.sum", practice, "{+}"},
	{"boards.longer", practice, "{height} of height - {ground clearance} of ground clearance + at most {fill} to fill over the ground"},
	{"boards.filled", practice, "{part} of face / pitch {pitch} ({board} board[ + {gap} gap][ - {overlap} overlap])"},
	{"boards.rest", practice, "{all} - {longer}"},

	{"concrete.hole", "AS-11a", "pi/4 x ({diameter!})^2 x {fill!}" +
		"[, plus a crown of pi/12 x ({diameter!})^2 x {crown!}, less {thickness!} x {width!} x {crown!} of post]" +
		", less {thickness!} x {width!} x {in concrete!} of post,"},
	{"concrete.round-hole", "AS-11a", "pi/4 x ({diameter!})^2 x {fill!}" +
		"[, plus a crown of pi/12 x ({diameter!})^2 x {crown!}, less pi/4 x ({post!})^2 x {crown!} of post]" +
		", less pi/4 x ({post!})^2 x {in concrete!} of post,"},
	{"concrete.dry", "CON-1", "{concrete} a hole / {yield} a bag"},
	{"concrete.dry-sum", practice, "{+}"},
	{"concrete.sum", practice, "{+}"},
	{"concrete.wet", "CON-1", "{concrete} / {yield} a bag"},

	{"gravel.hole", practice, "pi/4 x ({diameter!})^2 x {gravel!}"},
	{"gravel.sum", practice, "{+}"},

	{"nail.boards", "FAS-3", "{boards} x {rails} x {nails} at each crossing"},
	{"nail.rail-ends", practice, "{pieces} x 2 ends x {nails}"},
	{"nail.rail-posts", practice, "{ends} on wood posts x {nails}[ + {passes} past one x {nails}]"},
	{"nail.sum", practice, "{+}"},
	{"bracket.count", practice, "{ends} of rails on posts of {post}[ + {passes} past one], a bracket at each"},
	{"bracket.screws", practice, "{ends} of {what} on metal posts[ + {passes} past one], {screws} into the post at each"},
	{"screw.sum", practice, "{+}"},
	{"nail.pounds", "FAS-1", "{nails} / {nails per lb} to the lb"},

	{"cap.count", practice, "{posts}[, {kept} of them kept], one on each"},

	{"gate.hinges", practice, "{leaves} x {hinges}"},
	{"gate.latches", practice, "{gates}, one that works from both sides on each"},
	{"gate.drop-rods", practice, "{pairs} of leaves, one on the inactive leaf of each"},

	{"extra.pieces", practice, "{bays} x {sides} of {length}"},
	{"extra.other-pieces", practice, "other bays, each length listed with the cut plan"},
	{"extra.leaf-pieces", practice, "{leaves} x {sides} of {length}"},
	{"extra.nails", practice, "{ends} on wood x {nails}"},
	{"extra.screws", practice, "{ends} on metal x {screws}"},
	{"extra.lattice", practice, "{high} of lattice / {every}"},

	{"stain.boards", practice, "{boards} x {around} around x {length}"},
	{"stain.face", practice, "{fence} of fence x {height} x {sides}"},
	{"stain.leaves", practice, "{leaves} of {width} x {height} x {sides}"},
	{"stain.sum", practice, "{+}"},
	{"stain.gallons", practice, "{area} x {coats} / {coverage} a gallon"},

	{"removal.part", practice, "{length} x {a foot!} a foot[ + {footings} x {a footing!}]"},
	{"removal.sum", practice, "{+}"},

	{"labour.task", practice, "{quantity} x {rate}[ x {digging} for digging][ x {grade} for the grade][ x {access} for access][ x {season} for the season]"},
	{"labour.sum", practice, "{+}"},
	{"labour.days", practice, "{hours} / ({crew} people x {day} a day)"},
	{"labour.hours", practice, "{fence} x {fence rate}[ + {leaves} x {gate rate}]"},

	{"order.sum", practice, "{+}"},
	{"order.waste", practice, "{net} + {waste} waste"},
	{"order.round", practice, "{net}, {rounding}: {result}"},
	{"order.unit", practice, "{needed} x {ratio}"},
	{"order.pack", practice, "{needed} in packs of {pack}"},
}

// rulesByID are the shared rules and, once they are defined, those of families.
var rulesByID = func() map[string]*knownRule {
	all := make(map[string]*knownRule, len(rules))
	for _, r := range slices.Concat(rules, gateRules) {
		all[r.id] = &knownRule{r, templateOf(r.sentence)}
	}
	return all
}()

// step is an application of the rule with the given id; is completes it.
func step(id, subject string, inputs ...Input) Step {
	r, known := rulesByID[id]
	if !known {
		panic("takeoff: no rule " + id) // a defect that any test of the line finds
	}
	return Step{Rule: id, Source: r.source, Subject: subject, Inputs: inputs}
}

// exactly completes a step whose figure needs no rounding.
func (s Step) exactly(result string) Step {
	s.Result = result
	return s
}

// rounded completes a step; where rounding changed nothing it is not said.
func (s Step) rounded(unrounded, how, result string) Step {
	if unrounded == result {
		return s.exactly(result)
	}
	s.Unrounded, s.Rounding, s.Result = unrounded, how, result
	return s
}

func length(name string, l measure.Length) Input { return lengthAs(name, lengthText(l)) }

// lengthAs is length by its lengthText, whose unit is "in" or "mm".
func lengthAs(name, text string) Input {
	point := len(text) - len(" in")
	return Input{name, text[:point], text[point+1:]}
}

// lengthExact is like length, but in decimal inches wherever those end, as the
// diameters of pipe do.
func lengthExact(name string, l measure.Length) Input {
	if l*1_000_000%measure.Inch != 0 { // no post or hole is so wide that this overflows
		return length(name, l)
	}
	return lengthAs(name, l.Inches(6))
}

// optional is the inputs of the lengths that are not zero.
func optional(inputs []Input, name string, l measure.Length) []Input {
	if l == 0 {
		return inputs
	}
	return append(inputs, length(name, l))
}

func count(name string, n int, noun string) Input {
	return Input{name, strconv.Itoa(n), noun}
}
