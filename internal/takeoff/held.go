package takeoff

import (
	"wattle/internal/layout"
	"wattle/internal/section"
	"wattle/internal/spec"
)

// held are the places at which rails or kick boards are held at posts: the ends
// of their pieces, and where a piece goes past a post. Nails go into wood, and
// screws into everything else, which takes a bracket for a rail.
type held struct {
	pieces       int
	ends, passes int // on wood
	metal        tally[section.Section]
	past         tally[section.Section] // of the places on metal, those that a piece goes past
	known        sectionKinds
}

// sectionKinds keeps the kind of the section that was asked for last: the next
// post is mostly of the same, and a name takes longer to read than to compare.
type sectionKinds struct {
	last section.Section
	kind section.Kind
}

func (k *sectionKinds) of(s section.Section) section.Kind {
	if s != k.last {
		k.last, k.kind = s, s.Kind()
	}
	return k.kind
}

// nailed reports whether nails hold what hangs on posts of a section. Of one that
// is not known, which no valid spec has, they do.
func (k *sectionKinds) nailed(s section.Section) bool {
	switch k.of(s) {
	case section.Sawn, section.RoundWood, section.None:
		return true
	default:
		return false
	}
}

// rail adds n equal pieces over the bays of p.
func (h *held) rail(l *layout.Layout, p piece, n int) {
	h.pieces += n
	h.end(l.Posts[l.Bays[p.first].Start].Size, n)
	h.end(l.Posts[l.Bays[p.first+p.bays-1].End].Size, n)
	for i := p.first; i < p.first+p.bays-1; i++ {
		if size := l.Posts[l.Bays[i].End].Size; h.known.nailed(size) {
			h.passes += n
		} else {
			h.past.add(size, i, n)
		}
	}
}

func (h *held) end(size section.Section, n int) {
	if h.known.nailed(size) {
		h.ends += n
	} else {
		h.metal.add(size, 0, n)
	}
}

// plain reports whether all are ends on wood.
func (h *held) plain() bool { return h.passes == 0 && len(h.metal.kinds)+len(h.past.kinds) == 0 }

// onMetal are the ends on metal posts and the places where a piece goes past one.
func (h *held) onMetal() (ends, passes int) {
	for _, n := range h.metal.times {
		ends += n
	}
	for _, n := range h.past.times {
		passes += n
	}
	return ends, passes
}

// sections are those of the metal posts.
func (h *held) sections() []section.Section {
	var all tally[section.Section]
	for _, t := range []*tally[section.Section]{&h.metal, &h.past} {
		for _, s := range t.kinds {
			all.add(s, 0, 1)
		}
	}
	return all.kinds
}

// of is how often a tally has a kind.
func (t *tally[K]) of(k K) int {
	if i, has := t.find(k); has {
		return t.times[i]
	}
	return 0
}

// kicksHeld are where the kick boards of all bays are held.
func kicksHeld(l *layout.Layout, s *spec.Spec) held {
	var h held
	if s.Slope.Fill != spec.KickBoard {
		return h
	}
	for i, b := range l.Bays {
		if n := courses(b, s); n > 0 {
			h.rail(l, piece{i, 1}, n)
		}
	}
	return h
}
