package rpc

import (
	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/measure"
)

// lengths converts lengths of one answer. Answers repeat a few lengths many
// times, so each is made and printed once and shared.
type lengths struct {
	made     map[printedLength]*wattlev1.Length
	messages slab[wattlev1.Length]
	lists    slab[*wattlev1.Length]
	texts    texts
	// last has the length that was asked for last in each place that farApart sends
	// lengths to. It answers most questions, sooner than the map.
	last [1 << lastBits]*wattlev1.Length
}

const (
	lastBits = 7
	// farApart is 2^64 over the golden ratio: lengths that are near each other, or
	// multiples of one part of an inch, get far apart by it.
	farApart = 0x9E3779B97F4A7C15
)

type printedLength struct{ exact, printed measure.Length }

// usualLengths is how many lengths an answer may have before its map grows: most
// fences have fewer.
const usualLengths = 56

func (ls *lengths) of(l measure.Length) *wattlev1.Length {
	last := &ls.last[uint64(l)*farApart>>(64-lastBits)]
	if *last == nil || (*last).GetNanometres() != int64(l) {
		*last = ls.printed(l, l)
	}
	return *last
}

// printed shows an exact length as another, rounded one.
func (ls *lengths) printed(exact, printed measure.Length) *wattlev1.Length {
	key := printedLength{exact, printed}
	if l, ok := ls.made[key]; ok {
		return l
	}
	if ls.made == nil {
		ls.made = make(map[printedLength]*wattlev1.Length, usualLengths)
	}
	var words [usualText]byte
	l := ls.messages.next()
	l.Nanometres, l.Printed = int64(exact), ls.texts.of(printed.AppendImperial(words[:0]))
	ls.made[key] = l
	return l
}

func (ls *lengths) list(all []measure.Length) []*wattlev1.Length {
	out := ls.lists.cut(len(all))
	for i, l := range all {
		out[i] = ls.of(l)
	}
	return out
}
