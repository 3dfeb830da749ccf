package takeoff

import (
	"fmt"
	"math/big"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/section"
)

func bracePostItem(size section.Section, stock measure.Length) item {
	return item{"brace-post-" + string(size) + "-" + lengthName(stock), "Brace post " + size.Describe() + ", " + stock.String(), Posts, Each, "post"}
}

func braceRailItem(size section.Section, long measure.Length) item {
	return item{"brace-rail-" + string(size) + "-" + lengthName(long), "Brace rail " + size.Describe() + ", " + long.String(), Rails, Each, "rail"}
}

func bracePinItem() item { return item{"brace-pin", "Brace pin", Hardware, Each, "pin"} }

func braceWireItem() item { return item{"brace-wire", "Brace wire", Wires, Foot, ""} }

// bracePost are brace posts of one size and stock.
type bracePost struct {
	size  section.Section
	stock measure.Length
	times int
}

// braces are the assemblies that hold the pull of the wires at each side of a
// post that wires end at: one at an end and beside a gate, two at a corner and
// at a pull post. Each is a brace post like the post that it braces, a rail
// between them, and loops of wire across. A stretch no longer than an assembly
// takes a rail and loops from post to post, and no brace post.
//
// The layout does not place brace posts. They stand in the stretch among the
// line posts, driven or in tamped soil whatever the others are set in: neither
// their holes nor concrete for them are counted, and a caution says so.
func (w wiring) braces() []bracePost {
	reach := w.d.Length("brace_span")
	var long []span
	short := 0
	for _, sp := range w.spans {
		switch {
		case sp.along > reach:
			long = append(long, sp)
		case sp.startEnds || sp.finishEnds:
			short++
		}
	}
	sides := meetingsOf(w.l, long).sides
	total := newSum("brace")
	roles := byRole(w.l, func(post int) int { return sides[post] })
	for _, role := range layout.Roles() {
		if n := roles[role]; n > 0 {
			total.add("at "+role.String()+" posts", whole(n), 1)
		}
	}
	if short > 0 {
		total.add("from post to post", whole(short), 1)
	}
	if total.total.Sign() == 0 {
		return nil
	}
	told := total.step("wire.braces")
	posts := w.bracePosts(sides, told)

	braces := Input{"braces", number(total.total), "brace"}
	times := func(n int) *big.Rat { return new(big.Rat).Mul(total.total, whole(n)) }
	w.need(need{item: braceRailItem(w.d.Section("brace_size"), reach), net: total.total, steps: []Step{told,
		step("wire.brace-rails", "", braces).exactly(amount(total.total, "rail"))}})
	const pins = 2 // one in each post
	w.need(need{item: bracePinItem(), net: times(pins), steps: []Step{told,
		step("wire.brace-pins", "", braces, count("pins", pins, "pin")).exactly(amount(times(pins), "pin"))}})
	if loops := w.d.Count("brace_loops"); loops > 0 {
		diagonal := measure.RoundTo(measure.Hypot(reach, w.s.Height), measure.Sixteenth)
		feet := times(2 * loops)
		feet.Mul(feet, quotient(diagonal, measure.Foot))
		w.need(need{item: braceWireItem(), net: feet, waste: detailPercent(w.d, "wire_waste"), steps: []Step{told,
			step("wire.brace-wire", "", braces, count("loops", loops, "loop"), length("span", reach), length("high", w.s.Height), length("diagonal", diagonal)).
				exactly(amount(feet, string(Foot)))}})
	}
	return posts
}

// bracePosts are as many as sides pull, each like the post that it braces; one
// beside an old post that is kept, of the longest stock.
func (w wiring) bracePosts(sides []int, told Step) []bracePost {
	var longest measure.Length
	for _, stock := range w.s.Posts.Stock {
		longest = max(longest, stock)
	}
	var kinds tally[bracePost]
	for i, p := range w.l.Posts {
		if sides[i] == 0 {
			continue
		}
		b := bracePost{size: p.Size, stock: p.Stock}
		if p.Existing {
			b.stock = longest
		}
		kinds.add(b, i, sides[i])
	}
	for i, b := range kinds.kinds {
		n := kinds.times[i]
		kinds.kinds[i].times = n
		w.need(need{item: bracePostItem(b.size, b.stock), net: whole(n), steps: []Step{told,
			step("wire.brace-posts", b.size.Describe()+", "+b.stock.String(), count("braces", n, "brace"), length("span", w.d.Length("brace_span"))).
				exactly(amountOf(n, "post"))}})
	}
	if n := sumOf(kinds.times); n > 0 {
		w.cautions = append(w.cautions, layout.Caution{Code: "brace-posts-not-placed", Field: "spec.details.brace_span",
			Text: fmt.Sprintf("The layout does not list the places of %s; they are counted as driven or tamped, without holes, concrete or labour of their own.", amountOf(n, "brace post"))})
	}
	return kinds.kinds
}
