package book

import (
	"io"
	"iter"
	"maps"
	"slices"
)

// Gather joins rows to entries, ordered by item, office, supplier and effective
// date, and says which rows cannot be joined. It defines what a store that
// keeps rows does with them.
//
// The first row of an entry, by line, says what the others must agree with; a
// row that clashes in its quantity or its state does not count further.
func Gather(rows iter.Seq[Row]) ([]Entry, []Clash) {
	groups := make(map[slot]*group)
	spoilt := make(map[slot]bool)
	var clashes []Clash
	for r := range rows {
		if r.Spoilt {
			spoilt[r.Entry.slot()] = true
			continue
		}
		key := r.Entry.slot()
		if g, ok := groups[key]; ok {
			clashes = append(clashes, g.join(r)...)
			continue
		}
		groups[key] = begin(r)
	}
	sorted := slices.SortedFunc(maps.Values(groups), func(a, b *group) int { return compareSlots(a.entry, b.entry) })
	entries := make([]Entry, len(sorted))
	for i, g := range sorted {
		clashes = append(clashes, g.whole(spoilt[g.entry.slot()])...)
		entries[i] = g.entry
	}
	return entries, clashes
}

// group is an entry and where its rows stand.
type group struct {
	entry Entry
	line  int // of its first row
	lines map[string]int
}

func begin(r Row) *group {
	g := &group{entry: r.Entry, line: r.Line}
	if r.Entry.State == Priced {
		g.lines = map[string]int{plain(r.Break.MinQuantity): r.Line}
		g.entry.Breaks = []Break{r.Break}
	}
	return g
}

// join adds a row to the entry it belongs to.
func (g *group) join(r Row) (clashes []Clash) {
	e := r.Entry
	if e.State != Priced || g.entry.State != Priced {
		return []Clash{{SameEntry, r.Line, g.line}}
	}
	for _, c := range []struct {
		kind ClashKind
		same bool
	}{
		{OtherDescription, e.Description == g.entry.Description},
		{OtherUnit, e.Unit == g.entry.Unit},
		{OtherPack, e.Pack.Equal(g.entry.Pack)},
		{OtherCurrency, e.Currency == g.entry.Currency},
	} {
		if !c.same {
			clashes = append(clashes, Clash{c.kind, r.Line, g.line})
		}
	}
	quantity := plain(r.Break.MinQuantity)
	if first, ok := g.lines[quantity]; ok {
		return append(clashes, Clash{SameQuantity, r.Line, first})
	}
	g.lines[quantity] = r.Line
	g.entry.Breaks = append(g.entry.Breaks, r.Break)
	return clashes
}

// whole puts the breaks in order and says what the entry lacks.
func (g *group) whole(spoilt bool) (clashes []Clash) {
	e := g.entry
	slices.SortFunc(e.Breaks, func(a, b Break) int { return a.MinQuantity.Cmp(b.MinQuantity) })
	if e.State == Priced && !e.Breaks[0].MinQuantity.IsZero() && !spoilt {
		clashes = append(clashes, Clash{Kind: NoFirstBreak, Line: g.line})
	}
	if len(e.Breaks) > MaxBreaks {
		clashes = append(clashes, Clash{TooManyBreaks, g.line, len(e.Breaks)})
	}
	return clashes
}

// ParseCSV reads a whole price list into memory; see NewCSV for its form. It
// returns the entries, ordered by item, office, supplier and effective date,
// and the number of rows they came from.
//
// Everything wrong is listed in one Invalid error; see PriceList.Err.
func ParseCSV(r io.Reader, opt CSVOptions) (entries []Entry, rows int, err error) {
	l := NewCSV(r, opt)
	entries, clashes := Gather(func(yield func(Row) bool) {
		for row, e := range l.Rows() {
			if err = e; err != nil || !yield(row) {
				return
			}
		}
	})
	if err == nil {
		err = l.Err(Clashes{First: clashes, Count: len(clashes)})
	}
	if err != nil {
		return nil, l.Count(), err
	}
	return entries, l.Count(), nil
}
