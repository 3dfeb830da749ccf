package takeoff

// gateRules are those of gates, of any family.
var gateRules = []rule{
	{"gate.frame", practice, "{leaves} x ({stiles} of {stile} + {rails} of {rail} between them[ + {braces} of {brace}][ + {uprights} of {upright} between the rails])"},
	{"gate.spliced", practice, "{result} longer than {stick} welded up of more than one"},

	{"gate.boards", practice, "{leaves} x {boards}"},
	{"gate.courses", practice, "{leaves} x {courses} of {length}"},
	{"gate.board-screws", practice, "{boards} x {rails} x {screws} at each crossing"},
	{"gate.course-screws", practice, "{boards} x {held} with stiles and uprights x {screws}"},
	{"gate.panels", practice, "{leaves} x {width} to fill / {panel} a panel"},
	{"gate.panel-screws", practice, "{leaves} x {rails} x 2 ends x {screws}"},
	{"gate.rails", practice, "{leaves} x {rails} of {length}"},
	{"gate.rail-screws", practice, "{rails} x 2 ends x {screws}"},
	{"gate.sum", practice, "{+}"},

	{"gate.bars", practice, "{leaves} x 2 sides, one on each"},
	{"gate.bands", "CHN-3", "{bars} x {bands} on a bar"},
	{"gate.bolts", practice, "{bands}, one through each"},
	{"gate.rail-ties", "AS-4", "{width} of fabric / {spacing} apart"},
	{"gate.upright-ties", "AS-4", "{fabric} of fabric / {spacing} apart"},
	{"gate.corners", practice, "{leaves} x 4 corners"},
	{"gate.tees", practice, "{uprights} x 2 ends"},

	{"gate.whole", practice, "{opening} of opening for each leaf takes one of {width}"},

	{"gate.rollers", practice, "{gates} x 2 roller posts x {rollers}"},
	{"gate.catches", practice, "{gates}, one that opens from both sides on each"},
	{"gate.end-stops", practice, "{gates}, one on each"},
	{"gate.roller-caps", practice, "{posts} beside the fence, one on each"},

	{"gate.wood-weight", "LUM-1w", "{length} of {size} x {a foot!} a foot"},
	{"gate.tube-weight", "AS-6", "{length} of {size} x {a foot!} a foot"},
	{"gate.square-weight", practice, "{length} of {size}, {wall} of wall, x {a foot!} a foot"},
	{"gate.board-weight", "LUM-1w", "{boards} x {thickness} x {width} x {length} at {density}"},
	{"gate.fabric-weight", practice, "{width} x {height} of {mesh} mesh, {wire} of wire, x {a square foot!} a square foot"},
	{"gate.whole-weight", practice, "{width} x {a foot!} a foot"},
	{"gate.weight", practice, "{+}"},
}
