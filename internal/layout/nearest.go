package layout

import "wattle/internal/measure"

// nearest finds the line post of a run that stands nearest to a place, no
// farther than within, in about constant time: posts are kept by the square of
// that side they stand in.
type nearest struct {
	within measure.Length
	posts  map[square][]*Post
}

type square struct {
	run         int
	east, north int64
}

// nearestOf takes the line posts; run is, by the layout's own index, the index
// that a run is asked for by.
func nearestOf(posts []Post, run []int, within measure.Length) nearest {
	n := nearest{within, make(map[square][]*Post)}
	for i := range posts {
		if p := &posts[i]; p.Role == Line {
			at := n.square(run[p.Visits[0].Run], p.At)
			n.posts[at] = append(n.posts[at], p)
		}
	}
	return n
}

func (n nearest) square(run int, at measure.Point) square {
	floor := func(l measure.Length) int64 {
		q, _ := measure.MulDivFloor(int64(l), 1, int64(n.within))
		return q
	}
	return square{run, floor(at.East), floor(at.North)}
}

// to is the post nearest to a place, the first of equals in walking order; nil
// where none is near enough.
func (n nearest) to(run int, at measure.Point) *Post {
	var best *Post
	middle := n.square(run, at)
	for east := middle.east - 1; east <= middle.east+1; east++ {
		for north := middle.north - 1; north <= middle.north+1; north++ {
			for _, p := range n.posts[square{run, east, north}] {
				off := p.At.DistanceTo(at)
				if off > n.within {
					continue
				}
				if best == nil || off < best.At.DistanceTo(at) || off == best.At.DistanceTo(at) && p.Visits[0].Station < best.Visits[0].Station {
					best = p
				}
			}
		}
	}
	return best
}
