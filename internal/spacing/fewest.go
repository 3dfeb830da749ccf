package spacing

import (
	"wattle/internal/fault"
)

// Fewest is the least number of bays the stretch can be had in. Errors are
// those of Place, but for what Targets returns.
func Fewest(r Request) (int, error) {
	s, err := prepare(r)
	if err != nil {
		return 0, err
	}
	layers, err := s.layers()
	return len(layers), err
}

// layers are, for each post but the last of the fewest bays, the places it can
// reach from the start in that many bays and in no fewer. On a row of fewest
// bays every post stands in its layer: one that could be reached sooner would
// make the row shorter. As a place is in one layer only, and none is forgotten,
// running out of places proves that there is no row.
func (s *stretch) layers() ([][]span, error) {
	layers := [][]span{{{s.start, s.start}}}
	if s.reach(s.start, true, true) >= s.end {
		return layers, nil
	}
	var all, wanted []span
	farthest := s.start
	for free := s.free; ; {
		first := len(layers) == 1
		wanted = wanted[:0]
		for _, p := range layers[len(layers)-1] {
			wanted = joinBays(wanted, p, s.least, s.reach(p.hi, first, false))
		}
		had := len(all)
		all, free = take(all, free, wanted)
		layer := all[had:len(all):len(all)]
		if len(layer) == 0 {
			return nil, s.blocked(farthest)
		}
		if len(layers) == MaxBays {
			return nil, fault.New(fault.Exhausted, "TOO_MANY_BAYS",
				"a stretch may have %d bays; the one of %v from %v needs more", MaxBays, s.end-s.start, s.start)
		}
		layers = append(layers, layer)
		top := layer[len(layer)-1].hi
		farthest = max(farthest, top)
		if s.reach(top, false, true) >= s.end {
			return layers, nil
		}
	}
}
