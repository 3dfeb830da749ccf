package rpc

import (
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/measure"
)

// An answer has hundreds of messages of a few kinds and as many short texts, all let
// go at once when it was sent. So they are cut from pieces of memory that hold many:
// one message by itself costs more to allocate than to fill.

// slab is values of one kind that are not handed out yet. Where their number is known
// it is made of that length; else it grows by pieces.
type slab[T any] []T

// slabPiece is how many values a slab grows by.
const slabPiece = 32

// next is a zero value.
func (s *slab[T]) next() *T { return &s.cut(1)[0] }

// cut is n zero values next to each other; what is appended to them goes elsewhere.
func (s *slab[T]) cut(n int) []T {
	if n > len(*s) {
		*s = make([]T, max(n, slabPiece))
	}
	values := (*s)[:n:n]
	*s = (*s)[n:]
	return values
}

// texts are short texts that stand one after the other in memory.
type texts struct {
	all     strings.Builder
	present slab[string] // what is pointed at: optional texts that are there, and lists
}

// textsPiece is how many bytes texts grow by: a hundred lengths, or ten sentences.
const textsPiece = 1 << 10

// of is b as a text. It begins a new piece where the last one is full, so that no
// text is ever moved.
func (t *texts) of(b []byte) string {
	if t.all.Cap()-t.all.Len() < len(b) {
		t.all.Reset()
		t.all.Grow(max(len(b), textsPiece))
	}
	start := t.all.Len()
	t.all.Write(b)
	return t.all.String()[start:]
}

// length is what String says of a length.
func (t *texts) length(l measure.Length) string {
	var words [usualText]byte
	return t.of(l.AppendTo(words[:0]))
}

// usualText is how many bytes nearly every length has at most.
const usualText = 32

// size is sizeText of a length.
func (t *texts) size(l measure.Length) string {
	if l == 0 {
		return ""
	}
	return t.length(l)
}

// optional is textOf a length.
func (t *texts) optional(l *measure.Length) *string {
	if l == nil {
		return nil
	}
	text := t.present.next()
	*text = t.length(*l)
	return text
}

func (t *texts) list(lengths []measure.Length) []string {
	if len(lengths) == 0 {
		return nil
	}
	list := t.present.cut(len(lengths))
	for i, l := range lengths {
		list[i] = t.length(l)
	}
	return list
}

// plainOptional is plain of a decimal that may be left out.
func (t *texts) plainOptional(d *decimal.Decimal) *string {
	if d == nil {
		return nil
	}
	text := t.present.next()
	*text = plain(*d)
	return text
}
