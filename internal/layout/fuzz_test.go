package layout_test

import (
	"encoding/binary"
	"fmt"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// encoded hands out what a site and a spec are made of from fuzzed bytes; past
// their end all is zero.
type encoded []byte

func (e *encoded) byte() int {
	if len(*e) == 0 {
		return 0
	}
	b := (*e)[0]
	*e = (*e)[1:]
	return int(b)
}

// peek is the next byte, which stays.
func (e *encoded) peek() int {
	if len(*e) == 0 {
		return 0
	}
	return int((*e)[0])
}

// length is small and coarse, small and fine, or any 64 bits.
func (e *encoded) length() measure.Length {
	switch kind := e.byte(); {
	case kind < 100:
		return measure.Length(int8(e.byte())) * ft / 4
	case kind < 200:
		return measure.Length(int8(e.byte()))*ft + measure.Length(int8(e.byte()))
	case kind < 230:
		return measure.Length(int8(e.byte())) * measure.MaxLength / 10_000
	default:
		var raw [8]byte
		*e = (*e)[copy(raw[:], *e):]
		return measure.Length(binary.LittleEndian.Uint64(raw[:]))
	}
}

func (e *encoded) site() (s site.Site) {
	for i := range e.byte() % 5 {
		r := site.Run{ID: fmt.Sprint(i), Closed: e.byte()%3 == 1, Face: site.Side(e.byte() % 3)}
		r.Start = site.Terminus{TieIn: e.byte()%2 == 1, WallGap: e.length()}
		r.End = site.Terminus{TieIn: e.byte()%2 == 1, WallGap: e.length()}
		for range e.byte() % 6 {
			r.Vertices = append(r.Vertices, measure.Point{East: e.length(), North: e.length()})
		}
		for j := range e.byte() % 4 {
			r.Gates = append(r.Gates, site.Gate{ID: fmt.Sprint(i, j), Station: e.length(), Width: e.length(), Leaves: e.byte() % 4, Hinge: site.Hinge(e.byte() % 3)})
			if bits := e.peek(); bits >= 200 {
				r.Gates[j].Slides, r.Gates[j].Swing = true, site.Side(bits%2)
			}
		}
		e.land(&r)
		s.Runs = append(s.Runs, r)
	}
	for i := range e.byte() % 3 {
		o := site.Obstacle{ID: fmt.Sprint(i), Clearance: e.length()}
		for range e.byte() % 4 {
			o.Path = append(o.Path, measure.Point{East: e.length(), North: e.length()})
		}
		s.Obstacles = append(s.Obstacles, o)
	}
	return s
}

// land adds what stands along a run.
func (e *encoded) land(r *site.Run) {
	for bits := e.byte(); bits > 0; bits >>= 1 {
		if bits&1 == 0 {
			continue
		}
		switch e.byte() % 7 {
		case 0:
			r.KeepOuts = append(r.KeepOuts, site.KeepOut{From: e.length(), To: e.length()})
		case 1:
			r.Pins = append(r.Pins, site.Pin{Station: e.length(), Existing: e.byte()%2 == 1})
		case 2:
			r.Slopes = append(r.Slopes, site.SlopePart{From: e.length(), To: e.length(), Stepped: e.byte()%2 == 1})
		case 3:
			r.Ground = append(r.Ground, site.GroundPoint{Station: e.length(), Elevation: e.length()})
		case 4:
			r.Chords = append(r.Chords, e.byte()%8)
		case 5:
			r.Neighbours = append(r.Neighbours, site.Neighbour{From: e.length(), To: e.length(), Gap: e.length(), Side: site.Side(e.byte() % 3)})
		case 6:
			end := []*site.Terminus{&r.Start, &r.End}[e.byte()%2]
			end.TieIn, end.LinePostOf = false, fmt.Sprint(e.byte()%4)
		}
	}
}

func (e *encoded) spec() spec.Spec {
	f := sixFoot(spec.Layout{
		Method:   []spec.Method{"", spec.Even, spec.Remainder, spec.Feathered, "odd"}[e.byte()%5],
		ShortEnd: []spec.End{"", spec.Start, spec.Finish, spec.Both, "odd"}[e.byte()%5],
		Feather:  int(int8(e.byte())),
	})
	f.Posts.Size = []section.Section{"", "4x4", "6x6", "odd"}[e.byte()%4]
	f.Posts.GateSize = []section.Section{"", "4x4", "6x6", "odd"}[e.byte()%4]
	for bits := e.byte(); bits > 0; bits >>= 1 {
		if bits&1 == 0 {
			continue
		}
		switch e.byte() % 20 {
		case 0:
			f.Height = e.length()
		case 1:
			f.Layout.MaxBay = e.length()
		case 2:
			f.Layout.RailStock = e.length()
		case 3:
			f.Layout.MinBay = new(e.length())
		case 4:
			f.Layout.TerminalLimit = new(false)
		case 5:
			f.Holes.FrostDepth = e.length()
		case 6:
			f.CornerAngle = measure.Angle(e.length())
		case 7:
			f.Posts.AboveBoards = e.length()
		case 8:
			f.Alignment.Rules = []string{"", "highway-chain-link", "woven-wire", "highway-grade", "odd"}[e.byte()%5]
		case 9:
			f.Alignment.PullSpacing = e.length()
		case 10:
			f.Slope.Mode = []spec.SlopeMode{"", spec.Racked, spec.Stepped, "odd"}[e.byte()%4]
		case 11:
			f.Slope.RailEnds = spec.PlumbEnds
		case 12:
			f.Slope.AlongGrade = new(true)
		case 13:
			f.Posts.Stock = []measure.Length{8 * ft, 100 * ft}
		case 14:
			f.Layout.Hang = []spec.Hang{spec.Between, spec.Free, spec.Lapped, "odd"}[e.byte()%4]
		case 15:
			f.Layout.Insertion, f.Layout.BracketGap = e.length(), e.length()
		case 16:
			f.Posts.TerminalSize = []section.Section{"6x6", "12sq", "24sq", "tee"}[e.byte()%4]
		case 17:
			f.Posts.Size = []section.Section{"tee", "2.375od", "12sq", "24sq"}[e.byte()%4]
		case 18:
			f.Concrete.Set = []spec.Setting{spec.Driven, spec.NoSet, spec.DrySet, "odd"}[e.byte()%4]
		case 19:
			f.Holes.TerminalDepth, f.Holes.TerminalDiameter = e.length(), e.length()
		}
	}
	return f
}

// planned is a layout in words, what its pointers point to included.
func planned(l *layout.Layout) string {
	if l == nil {
		return ""
	}
	words := fmt.Sprintf("%+v", []any{l.Posts, l.Stretches, l.Bays, l.Barred, l.Cautions})
	for _, o := range l.Openings {
		if o.Roller != nil {
			words += fmt.Sprintf("%+v", *o.Roller)
		}
		o.Roller = nil
		words += fmt.Sprintf("%+v", o)
	}
	return words
}

// Whatever comes in, Plan answers: with a layout whose bays add up, or with an
// error that says what is wrong.
func FuzzPlan(f *testing.F) {
	f.Add([]byte{})
	f.Add([]byte{1, 0, 0, 0, 0, 0, 0, 0, 0, 2, 0, 0, 0, 0, 0, 100, 0, 0}) // one straight run
	// One straight run of 25 ft with a keep-out, an old post and two points of ground.
	f.Add([]byte{1, 0, 0, 0, 0, 0, 0, 0, 0, 2, 0, 0, 0, 0, 0, 100, 0, 0, 0, 15, 0, 0, 20, 0, 24, 1, 0, 60, 1, 3, 0, 0, 0, 0, 3, 0, 100, 0, 4})
	f.Add([]byte{1, 1, 0, 0, 0, 0, 0, 0, 0, 3, 0, 0, 0, 0, 0, 90, 0, 0, 0, 90, 0, 90, 0})                                               // a loop
	f.Add([]byte{1, 0, 0, 1, 0, 0, 1, 0, 0, 2, 0, 0, 0, 0, 0, 100, 0, 0, 1, 0, 20, 0, 12, 1, 0})                                        // walls and a gate
	f.Add([]byte{2, 0, 0, 0, 0, 0, 0, 0, 0, 2, 0, 0, 0, 0, 0, 60, 0, 0, 0, 0, 0, 0, 0, 0, 0, 2, 0, 60, 0, 0, 0, 60, 0, 60, 0, 3, 3, 2}) // two runs that meet
	f.Fuzz(func(t *testing.T, data []byte) {
		e := encoded(data)
		s, f := e.site(), e.spec()
		l, err := layout.Plan(s, f)
		if l == nil || len(l.Bays) < 1000 { // in words a large one is very large
			if again, other := layout.Plan(s, f); fmt.Sprint(planned(l), err) != fmt.Sprint(planned(again), other) {
				t.Errorf("%v, %v\nthen %v, %v", l, err, again, other)
			}
		}
		if err != nil {
			if kind := fault.KindOf(err); kind != fault.Invalid && kind != fault.Exhausted {
				t.Fatalf("%s: %v", kind, err)
			}
			return
		}
		for _, st := range l.Stretches {
			var sum measure.Length
			for _, b := range l.Bays[st.FirstBay : st.FirstBay+st.Bays] {
				if b.Width <= 0 || b.Width > b.Limit {
					t.Errorf("a bay of %s, its limit %s", b.Width, b.Limit)
				}
				sum += b.Width
			}
			if sum != st.Length() {
				t.Errorf("bays add up to %s, the stretch is %s", sum, st.Length())
			}
		}
	})
}
