package geojson

import (
	"strings"

	"wattle/internal/measure"
	"wattle/internal/site"
)

// maxOff is how far from its run the point of a gate or a pin may be: more than
// the point of a map wanders, less than to the next fence (common practice).
const maxOff = 2 * measure.Metre

// snap brings points to the runs they belong to.
type snap struct {
	runs []site.Run
	legs [][]site.Leg
}

func newSnap(runs []site.Run) *snap {
	s := &snap{runs: runs, legs: make([][]site.Leg, len(runs))}
	for i, r := range runs {
		s.legs[i] = r.Legs()
	}
	return s
}

// foot is the point of a run nearest to a point off it.
type foot struct {
	run          int
	station, off measure.Length
	vertex       bool // it is an end of a leg
}

// gate puts a gate on its run, the point being the middle of its opening.
func (s *snap) gate(f feature, p measure.Point) {
	at, ok := s.foot(f, p)
	if !ok {
		return
	}
	g := f.gate
	g.ID, g.Station = f.id, measure.RoundTo(at.station-g.Width/2, measure.Sixteenth)
	s.runs[at.run].Gates = append(s.runs[at.run].Gates, g)
}

// pin puts a pin on its run. At a vertex it is the vertex's own post, so there
// the station is not rounded away from it.
func (s *snap) pin(f feature, p measure.Point) {
	at, ok := s.foot(f, p)
	if !ok {
		return
	}
	if !at.vertex {
		at.station = measure.RoundTo(at.station, measure.Sixteenth)
	}
	s.runs[at.run].Pins = append(s.runs[at.run].Pins, site.Pin{Station: at.station, Existing: f.pin.Existing})
}

// foot is the foot of a feature's point on the run it names, else on the nearest;
// of equally near ones on the first. It is not ok, and says why, where there is
// no such run or it is too far away.
func (s *snap) foot(f feature, p measure.Point) (foot, bool) {
	if !f.v.Require(len(s.runs) > 0, "", "the map has no run for this %s; expected one, or the %s among those of its run", f.kind.name, f.kind.name) {
		return foot{}, false
	}
	best := foot{off: measure.MaxSiteTotal}
	found := false
	for i, r := range s.runs {
		if f.run != "" && f.run != r.ID {
			continue
		}
		found = true
		for _, leg := range s.legs[i] {
			if beside(leg, p) >= best.off {
				continue
			}
			if at := onLeg(leg, p); at.off < best.off {
				at.run = i
				best = at
			}
		}
	}
	if !f.v.Require(found, "run", "no run is called %s; the runs are %s", quoted(f.run), s.names()) {
		return foot{}, false
	}
	return best, f.lines[0].at.Require(best.off <= maxOff, "", "this %s is %s (%s) off run %s; expected it within %s", f.kind.name,
		best.off.Imperial(), best.off.Metric(), quoted(s.runs[best.run].ID), maxOff.Metric())
}

// onLeg is the foot of a point on a leg, to a nanometre or two.
func onLeg(leg site.Leg, p measure.Point) foot {
	along, from, length := leg.To.Sub(leg.From), p.Sub(leg.From), int64(leg.Length())
	east, _ := measure.MulDivRound(int64(along.East), int64(from.East), length)
	north, _ := measure.MulDivRound(int64(along.North), int64(from.North), length)
	station := leg.Start + min(max(measure.Length(east+north), 0), leg.Length())
	return foot{station: station, off: leg.At(station).DistanceTo(p), vertex: station == leg.Start || station == leg.End}
}

// beside is at most the distance of a point from a leg, and quick to find: that
// from the leg's bounding box along one axis.
func beside(leg site.Leg, p measure.Point) measure.Length {
	gap := func(a, b, x measure.Length) measure.Length { return max(min(a, b)-x, x-max(a, b)) }
	return max(gap(leg.From.East, leg.To.East, p.East), gap(leg.From.North, leg.To.North, p.North))
}

// names are the first few runs' ids for a message.
func (s *snap) names() string {
	const most = 5
	var ids []string
	for _, r := range s.runs[:min(len(s.runs), most)] {
		ids = append(ids, quoted(r.ID))
	}
	if len(s.runs) > most {
		ids = append(ids, "...")
	}
	return strings.Join(ids, ", ")
}
