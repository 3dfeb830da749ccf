package chart

import "slices"

// spread moves things on a line apart until none overlaps: wanted are the middles
// they would like to have, sizes their extents, and low and high the ends they
// must stay within. What comes back are middles in the order of wanted; each group
// that touches lies about where its members wanted to be. Where all of them
// together are larger than the room, they are squeezed evenly and overlap.
func spread(wanted, sizes []float64, low, high float64) []float64 {
	order := make([]int, len(wanted))
	total := 0.0
	for i := range order {
		order[i] = i
		total += sizes[i]
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case wanted[a] < wanted[b]:
			return -1
		case wanted[a] > wanted[b]:
			return 1
		}
		return 0
	})
	squeeze := 1.0
	if total > high-low && total > 0 {
		squeeze = (high - low) / total
	}
	type group struct {
		members     []int
		start, size float64
		sum         float64 // of where each member would have the group start
	}
	place := func(g *group) {
		g.start = max(low, min(high-g.size, g.sum/float64(len(g.members))))
	}
	var groups []group
	for _, i := range order {
		size := sizes[i] * squeeze
		g := group{members: []int{i}, size: size, sum: wanted[i] - size/2}
		place(&g)
		for len(groups) > 0 && groups[len(groups)-1].start+groups[len(groups)-1].size > g.start {
			before := groups[len(groups)-1]
			groups = groups[:len(groups)-1]
			g = group{
				members: append(before.members, g.members...), size: before.size + g.size,
				sum: before.sum + g.sum - before.size*float64(len(g.members)),
			}
			place(&g)
		}
		groups = append(groups, g)
	}
	middles := make([]float64, len(wanted))
	for _, g := range groups {
		at := g.start
		for _, i := range g.members {
			middles[i] = at + sizes[i]*squeeze/2
			at += sizes[i] * squeeze
		}
	}
	return middles
}
