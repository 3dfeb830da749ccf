package rpc

import (
	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/measure"
)

// lengths converts lengths of one answer. Answers repeat a few lengths many
// times, so nearly all of them are made and printed once and shared.
type lengths struct {
	messages slab[wattlev1.Length]
	lists    slab[*wattlev1.Length]
	texts    texts
	// made has the length that was made last in each place that farApart sends
	// lengths to. Where two take turns in one place they are made again, which is
	// seldom, and sooner done than each is looked up in a map.
	made [1 << madeBits]madeLength
	room *workspace // see workspace
}

// workspace is what larger messages are cut from.
func (ls *lengths) workspace() *workspace {
	if ls.room == nil {
		ls.room = new(workspace)
	}
	return ls.room
}

const (
	madeBits = 8 // five times as many places as most fences have lengths
	// farApart is 2^64 over the golden ratio: lengths that are near each other, or
	// multiples of one part of an inch, get far apart by it.
	farApart = 0x9E3779B97F4A7C15
)

// madeLength is a message and the length that it shows.
type madeLength struct {
	printed measure.Length
	message *wattlev1.Length
}

func (ls *lengths) of(l measure.Length) *wattlev1.Length { return ls.printed(l, l) }

// printed shows an exact length as another, rounded one.
func (ls *lengths) printed(exact, printed measure.Length) *wattlev1.Length {
	made := &ls.made[(uint64(exact)+uint64(printed)*3)*farApart>>(64-madeBits)]
	if made.message != nil && made.printed == printed && made.message.GetNanometres() == int64(exact) {
		return made.message
	}
	var words [usualText]byte
	l := ls.messages.next()
	l.Nanometres, l.Printed = int64(exact), ls.texts.of(printed.AppendImperial(words[:0]))
	*made = madeLength{printed, l}
	return l
}

func (ls *lengths) list(all []measure.Length) []*wattlev1.Length {
	out := ls.lists.cut(len(all))
	for i, l := range all {
		out[i] = ls.of(l)
	}
	return out
}
