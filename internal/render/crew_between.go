package render

import (
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// between are the lines that stand between the posts: keep-outs and gates.
func between(run int, w []visited, l *layout.Layout, m Measures) []crewRow {
	var rows []crewRow
	for _, b := range l.Barred {
		if b.Run == run {
			rows = append(rows, crewRow{kind: barredRow, station: b.From, words: barredWords(b, m)})
		}
	}
	for _, o := range l.Openings {
		if o.Run != run || !has(l, o.Start, o.End) {
			continue
		}
		at := stationOf(run, w, l, o.Start, 0)
		rows = append(rows, crewRow{kind: gateRow, station: at, words: rowWords{"GATE ", plain(o.Gate), ": " + m.tape(o.Clear) +
			" clear between faces, posts " + m.tape(o.Span) + " on centre, " + leafWords(o, m)}})
		if o.Roller != nil {
			at := rollerStation(run, l, o)
			rows = append(rows, crewRow{kind: rollerRow, station: at, words: rowWords{"ROLLER POST of gate ", plain(o.Gate), ": at " + m.tape(at) + ", " + rollerWords(l, o, m)}})
		}
	}
	return rows
}

func barredWords(b layout.Barred, m Measures) rowWords {
	words := rowWords{"KEEP OUT ", plain(b.ID), m.tape(b.From) + " to " + m.tape(b.To) + ": no digging"}
	if words.name != "" {
		words.rest = " " + words.rest
	}
	return words
}

func joinedBy(a, by, b string) string {
	if a == "" {
		return b
	}
	return a + by + b
}

// leafWords says how a gate hangs, shorter than leaves does.
func leafWords(o layout.Opening, m Measures) string {
	switch {
	case o.Slides && o.HingeAtStart:
		return "leaf " + m.tape(o.LeafWidth) + " slides to the lower station"
	case o.Slides:
		return "leaf " + m.tape(o.LeafWidth) + " slides to the higher station"
	case o.Leaves == 2:
		return "2 leaves of " + m.tape(o.LeafWidth)
	case o.HingeAtStart:
		return "leaf " + m.tape(o.LeafWidth) + " hung at the lower station"
	default:
		return "leaf " + m.tape(o.LeafWidth) + " hung at the higher station"
	}
}

// closes is where a closed run comes back to its start, 0 for an open one.
func closes(st site.Site, run int) measure.Length {
	if !st.Runs[run].Closed {
		return 0
	}
	return st.Runs[run].Length()
}

// closing is the last bay of a closed run, whose end is listed first.
func closing(run int, w []visited, st site.Site, l *layout.Layout, cuts bayCuts) []crewRow {
	all := baysOf(run, l)
	if !st.Runs[run].Closed || len(all) == 0 {
		return nil
	}
	last := all[len(all)-1]
	b := l.Bays[last.index]
	if i := nearest(run, w, l, b.End, last.to); i < 0 || w[i].station > last.from {
		return nil
	}
	return []crewRow{{kind: closingRow, station: last.to, words: rowWords{"back to ", plain(l.Posts[b.End].ID), ": bay " + cuts.units.tape(b.Printed) + cuts.words(b)}}}
}
