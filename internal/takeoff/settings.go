package takeoff

import (
	"wattle/internal/layout"
	"wattle/internal/measure"
)

// setting is how far posts that are bought alike stand out of the ground and in
// it. Stepped bays shared to the nanometre leave posts that differ by what no
// tape shows; above is in whole 1/16 in, rounded up, so that they are one.
type setting struct {
	kind            int
	above, embedded measure.Length
}

// postSettings are the settings of all posts to buy, and of each the most that
// one of them stands above grade.
type postSettings struct {
	tally[setting]
	most []measure.Length
}

// post adds post i, of a kind of posts.
func (all *postSettings) post(i int, p *layout.Post, kind int) {
	above := (p.AboveGrade + measure.Sixteenth - 1) / measure.Sixteenth * measure.Sixteenth
	at := all.add(setting{kind, above, p.Hole.Embedment}, i, 1)
	if at == len(all.most) {
		all.most = append(all.most, 0)
	}
	all.most[at] = max(all.most[at], p.AboveGrade)
}

// steps are how long the posts of a kind, from a stock, must be.
func (all *postSettings) steps(kind int, stock measure.Length) []Step {
	steps := make([]Step, 0, 2) // with the count; more where the ground rises
	var longest measure.Length
	others := 0
	for i, set := range all.kinds {
		if set.kind != kind {
			continue
		}
		above, n := all.most[i], all.times[i]
		if len(steps) == maxKinds {
			others, longest = others+n, max(longest, above+set.embedded)
			continue
		}
		steps = append(steps, step("post.stock", amountOf(n, "post"),
			length("above grade", above), length("embedment", set.embedded)).
			rounded(lengthText(above+set.embedded), "the shortest stock that reaches", lengthText(stock)))
	}
	if others > 0 {
		steps = append(steps, step("post.other-stock", amountOf(others, "other post"), length("longest", longest)).
			exactly(lengthText(stock)))
	}
	return steps
}
