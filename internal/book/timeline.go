package book

import (
	"cmp"
	"slices"

	"wattle/internal/civil"
)

// Learned is an entry with the day on which it came into the book.
type Learned struct {
	Entry
	On civil.Date
}

// Window is from one day to another, both of which belong to it.
type Window struct{ From, To civil.Date }

// Span is what an item was offered at from a day until the next span.
type Span struct {
	From civil.Date
	Resolved
}

// Timeline resolves an item for every day of a window: the first span begins
// with the window, each further one on a day on which the answer changes.
// history is the item's, of which entries of other offices and of revisions
// above the query's are left out; AsOf of the query means nothing.
//
// A day is answered as Resolve answers it as of that day: with what is known at
// the query's revision, or where then is true, with what was known on the day
// itself.
func Timeline(item string, history []Learned, q Query, w Window, then bool) []Span {
	begins := func(e Learned) civil.Date {
		if then && e.On.Compare(e.Effective) > 0 {
			return e.On
		}
		return e.Effective
	}
	known := make([]Learned, 0, len(history))
	for _, e := range history {
		if e.Item == item && e.Revision <= q.Revision && slices.Contains(q.Offices, e.Office) {
			known = append(known, e)
		}
	}
	slices.SortStableFunc(known, func(a, b Learned) int { return begins(a).Compare(begins(b)) })

	t := sweep{item: item, q: q, newest: make(map[series]Entry)}
	// What the window begins with: all that holds by its first day.
	at, rest := w.From, known
	for {
		changed := len(t.spans) == 0
		for len(rest) > 0 && begins(rest[0]).Compare(at) <= 0 {
			changed = t.add(rest[0].Entry) || changed
			rest = rest[1:]
		}
		if changed {
			t.tell(at, next(rest, at, then))
		}
		if len(rest) == 0 || begins(rest[0]).Compare(w.To) > 0 {
			return t.spans
		}
		at = begins(rest[0])
	}
}

// next is the first later day from which a price holds, as far as it is known on
// a day.
func next(rest []Learned, on civil.Date, then bool) (first civil.Date) {
	for _, e := range rest {
		if then && e.On.Compare(on) > 0 {
			continue
		}
		if e.State == Priced && e.Effective.Compare(on) > 0 && (first.IsZero() || e.Effective.Compare(first) < 0) {
			first = e.Effective
		}
	}
	return first
}

// sweep is the state of one item on a day, on the way through a window.
type sweep struct {
	item   string
	q      Query
	newest map[series]Entry
	spans  []Span
}

// add reports whether the entry is now the one in force of its series.
func (t *sweep) add(e Entry) bool {
	was, ok := t.newest[e.series()]
	if ok && cmp.Or(e.Effective.Compare(was.Effective), cmp.Compare(e.Revision, was.Revision)) < 0 {
		return false
	}
	t.newest[e.series()] = e
	return true
}

func (t *sweep) tell(from, next civil.Date) {
	f := Found{Item: t.item, Next: next}
	for _, e := range t.newest {
		f.InForce = append(f.InForce, e)
	}
	t.spans = append(t.spans, Span{From: from, Resolved: f.Resolve(t.q)})
}
