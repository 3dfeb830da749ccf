package render

// best draws the plan on each of the sheets and in several orders, and returns
// the drawing that leaves the least untold. Nothing is drawn on p itself.
func (p *plan) best(all []sheet) *plan {
	orders := []gateOrder{gatesInside, gatesAcross, gatesLast}
	if len(p.layout.Openings) == 0 {
		orders = orders[:1]
	}
	var best *plan
	for _, s := range all {
		for _, order := range orders {
			next := *p // nothing is drawn yet
			next.sheet, next.gates = s, order
			next.drawAll()
			if best == nil || next.betters(best) {
				best = &next
			}
			if best.missing() == 0 || len(p.layout.Posts) > manyPosts {
				return best
			}
		}
	}
	return best
}

// gateOrder is when and where the posts of gates are named: before stretches
// are dimensioned, inside or just across the fence, or after.
type gateOrder int

const (
	gatesInside gateOrder = iota
	gatesAcross
	gatesLast
)

// manyPosts is from how many posts a site is drawn on the first sheet that
// comes into question: there is no room for all their labels on any.
const manyPosts = 300

// betters reports whether a plan leaves less without room than another of at
// least its scale: to be drawn smaller, less by a quarter.
func (p *plan) betters(other *plan) bool {
	if p.feetPerInch > other.feetPerInch {
		return 4*p.missing() < 3*other.missing()
	}
	return p.missing() < other.missing()
}

// missing weighs what has no room beside the fence: fixed posts, by which the
// crew starts, and what is listed more than the rest; a further sheet is the
// worst.
func (p *plan) missing() int {
	n := p.leftPosts + 3*p.leftFixed + p.leftBays + p.leftGrades + p.leftNeighbours + 4*len(p.listed)
	if p.size.y > p.sheet.size.y {
		n += 1000
	}
	return n
}
