package takeoff

import (
	"wattle/internal/cutting"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// infills are what families hang on frames of tube, from the fence's own
// material: a family without one has bare frames, and a caution.
var infills = map[spec.Family]func(*gathered){
	spec.VerticalBoards:   (*gathered).boardInfill,
	spec.HorizontalBoards: (*gathered).courseInfill,
	spec.Panels:           (*gathered).panelInfill,
	spec.SplitRail:        (*gathered).railInfill,
	spec.ChainLink:        (*gathered).meshFittings, // the fabric is bought with the fence's
	spec.Wire:             (*gathered).wholeLeaves,
}

func (g *gathered) infill() {
	if hang := infills[g.s.Family]; hang != nil {
		hang(g)
		return
	}
	g.cautions = append(g.cautions, layout.Caution{Code: "gate-infill-not-counted", Field: "spec.gates.frame",
		Text: "The frames of gate leaves are counted without what fills them."})
}

// leafSum adds up what leaves take, equal ones told as one. each is how much one
// leaf takes, with its steps.
func (g *gathered) leafSum(noun string, each func(leaf Leaf, times int, name string) (int, []Step)) (*sum, []Step) {
	type alike struct {
		Boarding
		framing
	}
	var kinds tally[alike]
	for i, f := range g.out.Leaves {
		kinds.add(alike{f.Boarding, framing{f.Stile, f.Rail, f.Brace, f.Upright, f.Rails, f.Uprights}}, i, f.Leaves)
	}
	total := newSum(noun)
	var steps []Step
	for i, n := range kinds.times {
		leaf := g.out.Leaves[kinds.first[i]]
		name := leaf.name(g.l, n)
		of, told := each(leaf, n, name)
		if of == 0 {
			continue
		}
		if total.open() {
			steps = append(steps, told...)
		}
		total.add("on "+name, whole(of), n)
	}
	if len(total.parts) > 1 {
		steps = append(steps, total.step("gate.sum"))
	}
	return total, steps
}

// frameScrews are those that hold what fills leaves to their frames.
func (g *gathered) frameScrews(it item, total *sum, steps []Step) {
	g.need(need{item: it, net: total.total, waste: g.s.Waste.Fasteners, steps: steps})
}

// boardInfill is upright boards, screwed to the rails of the frame.
func (g *gathered) boardInfill() {
	b, per := g.s.Boards, g.s.Fasteners.PerBoardPerRail
	boards, steps := g.leafSum("board", func(leaf Leaf, n int, name string) (int, []Step) {
		end := "hinges"
		if g.l.Openings[leaf.Opening].Slides {
			end = "tail"
		}
		return n * leaf.Boards, append(leaf.appendSteps(nil, name, end, b),
			step("gate.boards", name, count("leaves", n, "leaf"), count("boards", leaf.Boards, "board")).exactly(amountOf(n*leaf.Boards, "board")))
	})
	g.need(need{item: boardItem(b.Size, b.Stock), net: boards.total, waste: g.s.Waste.Boards, steps: steps})
	screws, steps := g.leafSum("screw", func(leaf Leaf, n int, name string) (int, []Step) {
		all := n * leaf.Boards * leaf.Rails * per
		return all, []Step{step("gate.board-screws", name, count("boards", n*leaf.Boards, "board"), count("rails", leaf.Rails, "rail"), count("screws", per, "screw")).
			exactly(amountOf(all, "screw"))}
	})
	g.frameScrews(boardScrewItem(), screws, steps)
}

// across is what lies across leaves, from edge to edge of what is filled, so many
// on each: a piece longer than any stick is two or more, end to end.
func (g *gathered) across(f sticks, rule, name string, each int) {
	_, steps := g.leafSum("piece", func(leaf Leaf, n int, of string) (int, []Step) {
		long := markedLength(leaf.Width, f.stock)
		f.pieces = append(f.pieces, spliced(cutting.Piece{Length: long, Count: n * each}, f.stock)...)
		return n * each, []Step{step(rule, of, count("leaves", n, "leaf"), count(name+"s", each, name), length("length", long)).exactly(amountOf(n*each, "piece"))}
	})
	f.steps = steps
	g.cut(f)
}

// spliced is a piece as it is cut: of whole sticks and a rest where none is so
// long.
func spliced(p cutting.Piece, stock []measure.Length) []cutting.Piece {
	var longest measure.Length
	for _, s := range stock {
		longest = max(longest, s)
	}
	if longest <= 0 || p.Length <= longest {
		return []cutting.Piece{p}
	}
	all := []cutting.Piece{{Length: longest, Count: int(p.Length/longest) * p.Count}}
	if rest := p.Length % longest; rest > 0 {
		all = append(all, cutting.Piece{Length: rest, Count: p.Count})
	}
	return all
}

// courseInfill is boards that lie, in the fence's courses, screwed to the stiles
// and the uprights of the frame.
func (g *gathered) courseInfill() {
	s := g.s
	courses := coursesOf(s).all()
	f := sticks{use: "gate boards " + string(s.Boards.Size), longer: "board", stock: boardStocks(s), field: "spec.details.stock_1", waste: s.Waste.Boards,
		item: func(stock measure.Length) item { return boardItem(s.Boards.Size, stock) }}
	g.across(f, "gate.courses", "course", courses)
	per := s.Fasteners.PerBoardPerRail
	screws, steps := g.leafSum("screw", func(leaf Leaf, n int, name string) (int, []Step) {
		held := 2 // the stiles, or a stile and the upright where the opening ends
		if leaf.Uprights > 0 {
			held += panes(leaf.Width) - 1
		}
		all := n * courses * held * per
		return all, []Step{step("gate.course-screws", name, count("boards", n*courses, "board"), count("held", held, "crossing"), count("screws", per, "screw")).
			exactly(amountOf(all, "screw"))}
	})
	g.frameScrews(boardScrewItem(), screws, steps)
}

// railInfill is the fence's rails, across the leaf.
func (g *gathered) railInfill() {
	d, per := g.s.Details, g.s.Fasteners.PerBoardPerRail
	rails, wood := d.Count("rails"), d["rail_wood"]
	f := sticks{use: "gate rails", longer: "rail", stock: []measure.Length{d.Length("rail_length")}, field: "spec.details.rail_length", waste: g.s.Waste.Rails,
		item: func(stock measure.Length) item { return splitRailItem(wood, stock) }}
	g.across(f, "gate.rails", "rail", rails)
	screws, steps := g.leafSum("screw", func(_ Leaf, n int, name string) (int, []Step) {
		all := n * rails * 2 * per
		return all, []Step{step("gate.rail-screws", name, count("rails", n*rails, "rail"), count("screws", per, "screw")).exactly(amountOf(all, "screw"))}
	})
	g.frameScrews(boardScrewItem(), screws, steps)
}

// panelInfill is panels, as many as a leaf takes, cut to it, screwed to the ends
// of the frame's rails. What is cut off a panel is not used again.
func (g *gathered) panelInfill() {
	wide, per := g.s.Details.Length("panel_width"), g.s.Fasteners.PerBoardPerRail
	panels, steps := g.leafSum("panel", func(leaf Leaf, n int, name string) (int, []Step) {
		exact := quotient(leaf.Width, wide)
		all := ceiling(exact, one).Mul(whole(n))
		times := countOf(all)
		return times, []Step{step("gate.panels", name, count("leaves", n, "leaf"), length("width", leaf.Width), length("panel", wide)).
			rounded(amount(exact.Mul(whole(n)), "panel"), "rounded up for each leaf", amountOf(times, "panel"))}
	})
	g.need(need{item: panelItem(g.s), net: panels.total, steps: steps})
	screws, steps := g.leafSum("screw", func(leaf Leaf, n int, name string) (int, []Step) {
		all := n * leaf.Rails * 2 * per
		return all, []Step{step("gate.panel-screws", name, count("leaves", n, "leaf"), count("rails", leaf.Rails, "rail"), count("screws", per, "screw")).
			exactly(amountOf(all, "screw"))}
	})
	g.frameScrews(panelScrewItem(), screws, steps)
}
