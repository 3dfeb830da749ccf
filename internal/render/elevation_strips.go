package render

import (
	"sort"

	"wattle/internal/layout"
	"wattle/internal/measure"
)

// strip is a part of the run that is drawn in one piece.
type strip struct {
	from, to measure.Length
	// first and past are the visits on it: walk[first:past]. The post at the end
	// belongs to the next strip, but for the last.
	first, past int
	low, high   measure.Length // elevations
	height      float64        // on paper, all told
	above       float64        // room over the fence
	// bayRows and stationRows are how many rows of the table they take.
	bayRows, stationRows int
	barred               bool
	// Where it lies on its sheet: left is the place of from, base that of low,
	// top that of the whole strip.
	left, base, top float64
	sheet           int // from 0
}

// cut shares the run into strips of about one length, each as long as the sheet
// is wide at most, that end at posts.
func (e *elevationSheet) cut() []strip {
	from, to := e.ends()
	most := min(e.roomAcross()/e.across, 9e18)
	strips := e.cutAt(measure.Length(most))
	// A strip reaches back to a post, so it may be a bay longer than the mean.
	if even := e.cutAt(measure.Length(min(most, float64(to-from)/float64(len(strips))+float64(e.widest)))); len(even) == len(strips) {
		strips = even
	}
	for i := range strips {
		e.measureStrip(&strips[i], len(strips))
	}
	return strips
}

// cutAt cuts at the last post within reach, or in the middle of a bay where
// none is.
func (e *elevationSheet) cutAt(most measure.Length) []strip {
	most = max(most, 1)
	from, to := e.ends()
	var strips []strip
	next := 0
	for {
		s := strip{from: from, to: to, first: next, past: len(e.walk)}
		if to-from > most {
			s.to = from + most
			past := next
			for past < len(e.walk) && e.walk[past].station <= s.to {
				past++
			}
			if last := past - 1; last > next && e.walk[last].station > from {
				s.to = e.walk[last].station
				for past > next && e.walk[past-1].station == s.to {
					past--
				}
			}
			s.past = past
		}
		strips = append(strips, s)
		if s.to >= to || len(strips) > 1_000 { // enough to see that they are too many
			return strips
		}
		from, next = s.to, s.past
	}
}

// measureStrip finds how high a strip is.
func (e *elevationSheet) measureStrip(s *strip, strips int) {
	low, high := e.ground.Range(s.from, s.to)
	reach := func(from, to measure.Length) { low, high = min(low, from), max(high, to) }
	reach(low, high+e.height)
	for _, v := range e.walk[s.first:min(s.past+1, len(e.walk))] {
		if p := e.layout.Posts[v.post]; v.station <= s.to {
			reach(p.Ground-max(p.Hole.Depth, measure.Foot), p.Top())
		}
	}
	for _, b := range within(e.bays, s) {
		start, end := e.tops(b)
		reach(min(start, end)-e.height, max(start, end))
	}
	for _, g := range e.gates {
		if g.from < s.to && g.to > s.from {
			reach(e.leafTop(g), e.leafTop(g))
		}
		if o := e.layout.Openings[g.index]; o.Roller != nil {
			if at := rollerStation(e.run, e.layout, o); s.from <= at && at <= s.to {
				reach(o.Roller.Ground-max(o.Roller.Hole.Depth, measure.Foot), o.Roller.Top())
			}
		}
	}
	if e.barbStrands() > 0 {
		high += barbedHigh
	}
	s.low, s.high = low, high
	for _, b := range e.barred {
		s.barred = s.barred || b.From < s.to && b.To > s.from
	}
	s.above = aboveRoom
	if e.marked(s) {
		s.above += marksRoom
	}
	s.bayRows, s.stationRows = e.rowsFor(s)
	s.height = s.above + float64(high-low)*e.up + belowRoom + float64(tableRow*len(e.tableNames(s))) + stripGap
	if strips > 1 {
		s.height += nameRow
	}
	if s.barred {
		s.height += belowRoom
	}
}

// marked reports whether something is written over the fence of a strip.
func (e *elevationSheet) marked(s *strip) bool {
	for _, g := range e.gates {
		if g.from < s.to && g.to > s.from {
			return true
		}
	}
	for i, leg := range e.legs {
		if (i > 0 || e.fence.Closed || e.curving[min(1, len(e.legs)-1)]) && leg.Start >= s.from && leg.Start < s.to {
			return true
		}
	}
	bays := e.meeting(s)
	for i := 1; i < len(bays); i++ {
		if e.step(bays[i-1], bays[i]) != 0 {
			return true
		}
	}
	return !e.fence.Closed && (e.fence.Start.TieIn && s.from <= 0 || e.fence.End.TieIn && s.to >= e.fence.Length())
}

// within are the bays that lie on a strip, in part at least.
func within(bays []placedBay, s *strip) []placedBay {
	first := sort.Search(len(bays), func(i int) bool { return bays[i].to > s.from })
	past := sort.Search(len(bays), func(i int) bool { return bays[i].from >= s.to })
	if past < first {
		return nil
	}
	return bays[first:past]
}

// meeting are the bays of a strip, after the one that ends where it begins.
func (e *elevationSheet) meeting(s *strip) []placedBay {
	return within(e.bays, &strip{from: s.from - 1, to: s.to})
}

// sheets stands the strips on sheets and reports how many those are.
func (e *elevationSheet) sheets() int {
	sheet, y := 0, 0.0
	var longest measure.Length
	for _, s := range e.strips {
		longest = max(longest, s.to-s.from)
	}
	for i := range e.strips {
		s := &e.strips[i]
		if y+s.height > e.roomDown() && y > 0 {
			sheet, y = sheet+1, 0
		}
		s.sheet = sheet
		s.top = elevationMargin + elevationHead + y
		s.left = elevationMargin + gutter + (e.roomAcross()-float64(longest)*e.across)/2
		if len(e.strips) > 1 {
			s.top += nameRow
		}
		s.base = s.top + s.above + float64(s.high-s.low)*e.up
		y += s.height
	}
	return sheet + 1
}

// at is where a station and an elevation lie on the strip's sheet.
func (e *elevationSheet) at(s *strip, station, elevation measure.Length) vec {
	return vec{s.left + float64(station-s.from)*e.across, s.base - float64(elevation-s.low)*e.up}
}

// post is the post of a visit.
func (e *elevationSheet) post(v visited) layout.Post { return e.layout.Posts[v.post] }
