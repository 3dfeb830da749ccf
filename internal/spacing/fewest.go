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

// layers are, for the start and each inner post of the fewest bays, the places
// it can come to in that many bays and in no fewer. On a row of fewest bays
// every post stands in its layer: one that could be had sooner would make the
// row shorter.
//
// Each layer lies wholly above the last. For let y be a place under the top of
// layer k that k bays or fewer do not come to, and x the top of layer k-1. Since
// reach never falls, the top of layer k is within reach of x. So if y is Least
// or more above x, a bay from x ends at y as well; if it is nearer to x, no post
// of layer k, all above x, stands Least below y, and none of a later layer does.
// What lies under the top of a layer is done with, then, and where the next
// layer is empty there is no row.
func (s *stretch) layers() ([][]span, error) {
	layers := [][]span{{{s.start, s.start}}}
	if s.reach(s.start, true, true) >= s.end {
		return layers, nil
	}
	var all, wanted []span
	top := s.start
	for free := s.free; ; free = free[notBelow(free, top):] {
		first := len(layers) == 1
		wanted = wanted[:0]
		for _, p := range layers[len(layers)-1] {
			if reach := s.reach(p.hi, first, false); reach >= p.hi+s.least {
				wanted = join(wanted, span{max(p.lo+s.least, top+1), reach})
			}
		}
		had := len(all)
		all = meet(all, free, wanted)
		layer := all[had:len(all):len(all)]
		if len(layer) == 0 {
			return nil, s.blocked(top)
		}
		if len(layers) == MaxBays {
			return nil, fault.New(fault.Exhausted, "TOO_MANY_BAYS",
				"a stretch may have %d bays; the one of %v from %v needs more", MaxBays, s.end-s.start, s.start)
		}
		layers = append(layers, layer)
		top = layer[len(layer)-1].hi
		if s.reach(top, false, true) >= s.end {
			return layers, nil
		}
	}
}
