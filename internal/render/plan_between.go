package render

import (
	"math"

	"wattle/internal/layout"
)

// labelBetween names the posts between the ends of a piece with their stations,
// those between the chords of an arc or the line posts: all of them, or every
// second, fifth, tenth and so on of a piece where they stand too close.
func (p *plan) labelBetween(joints bool) {
	for _, c := range p.pieces {
		long := 0.0
		for _, s := range c.stretches {
			a, b := p.ends(s)
			long += b.sub(a).length()
		}
		pitch := long / float64(max(len(c.bays), 1))
		every := everyNth(pitch, labelSize*1.2+2)
		for i := 1; i < len(c.bays); i++ {
			index := c.bays[i].Start
			if p.joint[index] != joints || !joints && p.layout.Posts[index].Role != layout.Line {
				continue
			}
			if i%every != 0 || !p.labelPost(c, i, pitch, every == 1) {
				p.leftPosts++
				if joints {
					p.leftFixed++
				}
			}
		}
	}
}

// labelPost names the post at which a bay of a piece begins, where posts stand
// a pitch apart, and reports whether there is room.
func (p *plan) labelPost(c piece, bay int, pitch float64, all bool) bool {
	half := p.half(c.start())
	post := p.layout.Posts[c.bays[bay].Start]
	a, _ := p.bayEnds(c.bays[bay-1])
	_, b := p.bayEnds(c.bays[bay])
	d := b.sub(a).unit()
	inside := p.out(c.run, d).times(-1)
	l := newLabel(p.postText(post), labelSize)
	at := p.at(post.At)
	var spots []spot
	if l.box.width+6 <= pitch {
		spots = append(spots, spot{centre: at.add(inside.times(half + 4 + l.box.height/2)), angle: d.upright()})
	}
	// Across the fence: inside, outside, then inside again further off.
	for _, off := range []float64{half + 4, -half - 4, half + 14, half + 26, half + 40} {
		centre := at.add(inside.times(off + math.Copysign(l.box.width/2, off)))
		spots = append(spots, spot{centre: centre, angle: inside.upright(), leader: off > half+4, target: at.add(inside.times(half + 2))})
	}
	if all && pitch > 2*l.box.height {
		spots = append(spots, around(at, inside, l, half+12, half+47, true)...)
	}
	return p.place(l, spots)
}

// everyNth is the least of 1, 2, 5, 10, 20, 50... by which labels of a height
// at a pitch stay apart.
func everyNth(pitch, height float64) int {
	for power := 1; power < 1_000_000_000; power *= 10 {
		for _, n := range []int{1, 2, 5} {
			if float64(n*power)*pitch >= height {
				return n * power
			}
		}
	}
	return 1_000_000_000
}
