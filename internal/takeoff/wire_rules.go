package takeoff

var wireRules = []rule{
	{"wire.rolls", practice, "{along} x {lines} / {roll} a roll"},
	{"wire.stays", "DT-11", "{bays} of {wide}, none farther than {spacing} from the next: {stays} in each, {result}"},
	{"wire.stay-sum", practice, "{+}"},
	{"wire.strainers", practice, "{sides} of pulls / 2 x {strands}"},
	{"wire.braces", "DT-11", "one at each side that a post is pulled from, {+}"},
	{"wire.brace-posts", practice, "{braces} of posts like these, {span} away, one in each"},
	{"wire.shared-posts", practice, "{braces} of posts like these, {span} away, one in each but one for both in {shared}"},
	{"wire.brace-rails", practice, "{braces}, one in each"},
	{"wire.brace-pins", practice, "{braces} x {pins}"},
	{"wire.brace-wire", practice, "{braces} x {loops} x 2 x {diagonal}, the diagonal of {span} and {high},"},
	{"wire.line", practice, "{posts} x {wires} fixed to each"},
	{"wire.ends", practice, "{sides} x {wires} x {staples}"},
	{"wire.sum", practice, "{+}"},
	{"wire.pounds", practice, "{staples} / {per pound} to the lb"},
}
