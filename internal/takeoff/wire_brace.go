package takeoff

import (
	"fmt"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/rational"
	"wattle/internal/section"
)

func bracePostItem(size section.Section, stock measure.Length) item {
	return ofLength("brace-post-"+string(size), "Brace post "+size.Describe(), stock, Posts, "post")
}

func braceRailItem(size section.Section, long measure.Length) item {
	return ofLength("brace-rail-"+string(size), "Brace rail "+size.Describe(), long, Rails, "rail")
}

func bracePinItem() item { return item{"brace-pin", "Brace pin", Hardware, Each, "pin"} }

func braceWireItem() item { return item{"brace-wire", "Brace wire", Wires, Foot, ""} }

// bracePost are brace posts of one size and stock.
type bracePost struct {
	size  section.Section
	stock measure.Length
	times int
}

// bracing is how the lines of a fence are braced, by how long they are from one
// post that wires end at to the other.
//
//	longer than two braces    [E]=====[b]------------[b]=====[E]
//	longer than one           [E]====[b]====[E]                  one post for both
//	no longer                 [E]====[E]                         from post to post
type bracing struct {
	sides  []int // braces at each post, but for those from post to post
	posts  []int // brace posts that are like each post
	shared []int // of them, those that two braces share
	short  int
}

// bracing finds the braces.
func (w wiring) bracing() bracing {
	n, reach := len(w.l.Posts), w.d.Length("brace_span")
	b := bracing{sides: make([]int, n), posts: make([]int, n), shared: make([]int, n)}
	brace := func(post int, ends bool) {
		if ends {
			b.sides[post]++
			b.posts[post]++
		}
	}
	for _, line := range linesOf(w.l, w.spans) {
		both := line.startEnds && line.finishEnds
		switch {
		case line.along <= reach && (line.startEnds || line.finishEnds):
			b.short++
		case line.along <= 2*reach && both:
			like := line.start
			if w.l.Posts[like].Existing {
				like = line.finish
			}
			b.sides[line.start]++
			b.sides[line.finish]++
			b.posts[like]++
			b.shared[like]++
		default:
			brace(line.start, line.startEnds)
			brace(line.finish, line.finishEnds)
		}
	}
	return b
}

// braces are the assemblies that hold the pull of the wires at each side of a
// post that wires end at: one at an end and beside a gate, two at a corner and
// at a pull post. Each is a brace post like the post that it braces, a rail
// between them, and loops of wire across, counted as if it had all its span. A
// line too short for two shares one brace post, and one too short for that has a
// rail and loops from post to post.
//
// The layout does not place brace posts. They stand in the stretch among the
// line posts, driven or in tamped soil whatever the others are set in: neither
// their holes nor concrete for them are counted, and a caution says so.
func (w wiring) braces() []bracePost {
	reach, b := w.d.Length("brace_span"), w.bracing()
	total := newSum("brace")
	roles := byRole(w.l, func(post int) int { return b.sides[post] })
	for _, role := range layout.Roles() {
		if n := roles[role]; n > 0 {
			total.add("at "+role.String()+" posts", whole(n), 1)
		}
	}
	if b.short > 0 {
		total.add("from post to post", whole(b.short), 1)
	}
	if total.total.Sign() == 0 {
		return nil
	}
	told := total.step("wire.braces")
	posts := w.bracePosts(b, told)

	braces := Input{"braces", number(total.total), "brace"}
	times := func(n int) rational.Number { return total.total.Mul(whole(n)) }
	w.need(need{item: braceRailItem(w.d.Section("brace_size"), reach), net: total.total, steps: []Step{told,
		step("wire.brace-rails", "", braces).exactly(amount(total.total, "rail"))}})
	const pins = 2 // one in each post
	w.need(need{item: bracePinItem(), net: times(pins), steps: []Step{told,
		step("wire.brace-pins", "", braces, count("pins", pins, "pin")).exactly(amount(times(pins), "pin"))}})
	if loops := w.d.Count("brace_loops"); loops > 0 {
		diagonal := measure.RoundTo(measure.Hypot(reach, w.s.Height), measure.Sixteenth)
		w.weighsEach(braceWireItem(), wirePounds(braceWireGauge, measure.Foot))
		feet := times(2 * loops)
		feet = feet.Mul(quotient(diagonal, measure.Foot))
		w.need(need{item: braceWireItem(), net: feet, waste: detailPercent(w.d, "wire_waste"), steps: []Step{told,
			step("wire.brace-wire", "", braces, count("loops", loops, "loop"), length("span", reach), length("high", w.s.Height), length("diagonal", diagonal)).
				exactly(amount(feet, string(Foot)))}})
	}
	return posts
}

// bracePosts are those of all braces.
func (w wiring) bracePosts(b bracing, told Step) []bracePost {
	var kinds tally[bracePost]
	shared := make(map[bracePost]int)
	for i, p := range w.l.Posts {
		if b.posts[i] > 0 {
			like := bracePost{size: p.Size, stock: w.braceStock(p)}
			kinds.add(like, i, b.posts[i])
			shared[like] += b.shared[i]
		}
	}
	for i, like := range kinds.kinds {
		n, both := kinds.times[i], shared[like]
		rule, inputs := "wire.brace-posts", []Input{count("braces", n+both, "brace"), length("span", w.d.Length("brace_span"))}
		if both > 0 {
			rule, inputs = "wire.shared-posts", append(inputs, count("shared", both, "line"))
		}
		w.need(need{item: bracePostItem(like.size, like.stock), net: whole(n), steps: []Step{told,
			step(rule, like.size.Describe()+", "+like.stock.String(), inputs...).exactly(amountOf(n, "post"))}})
		kinds.kinds[i].times = n
	}
	tell := func(code, format string, n int, noun string) {
		if n > 0 {
			w.cautions = append(w.cautions, layout.Caution{Code: code, Field: "spec.details.brace_span", Text: fmt.Sprintf(format, amountOf(n, noun))})
		}
	}
	tell("brace-posts-not-placed", "The layout does not list the places of %s; they are counted as driven or tamped, without holes, concrete or labour of their own.", sumOf(kinds.times), "brace post")
	tell("brace-posts-shared", "The two braces of a line too short for both share one post in its middle, and their rails are cut down to it: %s.", sumOf(b.shared), "line")
	tell("braced-post-to-post", "A line no longer than a brace is braced from post to post, its rail cut down: %s.", b.short, "line")
	return kinds.kinds
}

// braceStock is what a brace post like another is bought at. Beside an old one
// that is kept it is the longest that the fence's own terminal posts are but for
// its gates', and where it has none the shortest that reaches as deep as they
// would.
func (w wiring) braceStock(like layout.Post) measure.Length {
	if !like.Existing {
		return like.Stock
	}
	var stock measure.Length
	for _, p := range w.l.Posts {
		if !p.Existing && p.Role.Terminal() && p.Role < layout.GateLatch {
			stock = max(stock, p.Stock)
		}
	}
	for _, long := range w.s.Posts.Stock {
		if stock == 0 && long >= like.AboveGrade+w.s.Holes.TerminalDepth {
			stock = long
		}
	}
	if stock == 0 && len(w.s.Posts.Stock) > 0 {
		stock = w.s.Posts.Stock[len(w.s.Posts.Stock)-1]
	}
	return stock
}
