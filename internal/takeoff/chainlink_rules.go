package takeoff

var chainLinkRules = []rule{
	{"chain.grade", "AS-1", "{plan} in plan, measured along the ground"},
	{"chain.along", practice, "from post centre to post centre, {+}"},
	{"chain.rolls", practice, "{along} / {roll} a roll"},
	{"chain.wire-rolls", practice, "{along} x {lines} / {roll} a roll"},
	{"chain.barbed-rolls", "BOM-4", "{along} x {lines} / {roll} a roll"},
	{"chain.slats", practice, "{along} / {bag} a bag"},

	{"chain.rail-pieces", practice, "{along} / {spacing} a length"},
	{"chain.rail-sum", practice, "{+}"},
	{"chain.sleeves", practice, "{pieces} - {lines} of rail from end to end, one where two pieces meet"},
	{"chain.clamps", practice, "{posts} passed x {rails} under the top, one for each"},

	{"chain.rail-ties", "AS-4", "{along} / {spacing} apart"},
	{"chain.post-ties", "AS-4", "{fabric} of fabric / {spacing} apart"},
	{"chain.tie-sum", practice, "{+}"},
	{"chain.hog-rings", "DT-2", "{along} / {spacing} apart"},
	{"chain.ring-sum", practice, "{+}"},

	{"chain.sides", practice, "where fence ends, {+}"},
	{"chain.bars", practice, "{sides}, one on each"},
	{"chain.bands", "CHN-3", "{sides} x {bands} on a bar"},
	{"chain.rail-ends", practice, "{sides} x {rails}"},
	{"chain.brace-bands", practice, "{sides} x ({rails} + {wires})"},
	{"chain.bolts", practice, "{+}, one through each"},
	{"chain.loop-caps", practice, "{posts} that the top rail passes, one on each"},
	{"chain.dome-caps", practice, "{posts} that no top rail passes, one on each"},
	{"chain.arms", practice, "{posts}, one on each in place of a cap"},
}
