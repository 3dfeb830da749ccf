package takeoff

import (
	"wattle/internal/layout"
	"wattle/internal/section"
)

// meetings are what happens at each post: how many fences pass it unbroken, and
// how many ends of fence hang on it.
type meetings struct{ passes, sides []int }

func meetingsOf(l *layout.Layout, spans []span) meetings {
	m := meetings{make([]int, len(l.Posts)), make([]int, len(l.Posts))}
	halves := make([]int, len(l.Posts)) // a fence that passes is two spans, or one bay and the next
	meet := func(post int, ends bool) {
		if ends {
			m.sides[post]++
		} else {
			halves[post]++
		}
	}
	for _, sp := range spans {
		meet(sp.start, sp.startEnds)
		meet(sp.finish, sp.finishEnds)
		if st := l.Stretches[sp.stretch]; sp.bay < 0 {
			for _, b := range l.Bays[st.FirstBay : st.FirstBay+st.Bays-1] {
				m.passes[b.End]++
			}
		}
	}
	for post, n := range halves {
		m.passes[post] += (n + 1) / 2
	}
	return m
}

// sized is how many of something there are on posts of one size.
type sized struct {
	size  section.Section
	times int
}

// passedSizes are how often fences pass posts, by the posts' size: a post that
// two fences pass is tied to both.
func (c chain) passedSizes() []sized {
	return bySize(c.l, func(post int) int { return c.passes[post] })
}

// byRole adds up what each post has, by role.
func byRole(l *layout.Layout, n func(post int) int) map[layout.Role]int {
	roles := make(map[layout.Role]int)
	for i := range l.Posts {
		if each := n(i); each > 0 {
			roles[l.Posts[i].Role] += each
		}
	}
	return roles
}

// bySize adds up what each post has, by size, in the order of the posts; sizes
// that have none are left out.
func bySize(l *layout.Layout, n func(post int) int) []sized {
	var sizes tally[section.Section]
	for i := range l.Posts {
		if each := n(i); each > 0 {
			sizes.add(l.Posts[i].Size, i, each)
		}
	}
	all := make([]sized, len(sizes.kinds))
	for i, size := range sizes.kinds {
		all[i] = sized{size, sizes.times[i]}
	}
	return all
}
