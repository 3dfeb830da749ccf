package takeoff

import (
	"strconv"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// Face is the boarded side of one stretch, or of one bay of a stepped one.
type Face struct {
	Stretch int // index into layout.Layout.Stretches
	// Stepped: the face is that of layout.Layout.Bays[Bay] alone. Else Bay is 0.
	Stepped bool
	Bay     int
	// StartReach and FinishReach are how far the boards run past the centres
	// of the first and last post; below zero they stop short.
	StartReach, FinishReach measure.Length
	// FromFinish: the first whole board stands at the higher station, and the
	// rip at the lower.
	FromFinish bool
	// Longer are those of the Boards that are bought longer, by bay.
	Longer []Longer
	Boarding
}

// reach is how far boards run past the centre of a fixed post, by its reasons.
type reach struct {
	edge   measure.Length // to the post's outer edge, w/2
	corner measure.Length // over the other leg's edge; below zero at an inside corner
	wall   measure.Length // to the wall face
}

func (r reach) length() measure.Length { return r.edge + r.corner + r.wall }

// reachOf is how far boards run past the post at an end of a stretch: to a wall
// face, or at a terminal post by w/2, where at an outside corner the covering
// leg adds the thickness of rail and board, and at an inside corner loses it;
// where rails hang between the posts it does neither.
func reachOf(e layout.StretchEnd, l *layout.Layout, s *spec.Spec) reach {
	if e.Wall > 0 {
		return reach{wall: e.Wall}
	}
	var r reach
	if e.Terminal {
		r.edge = l.Posts[e.Post].Width / 2
	}
	if !e.Covers || s.Layout.Hang == spec.Between {
		return r // between them rails and boards stand within the posts, so no leg is in the other's way
	}
	switch layers := s.RailThickness() + s.Boards.Thickness; e.Corner {
	case layout.OutsideCorner:
		r.corner = layers
	case layout.InsideCorner:
		r.corner = -layers
	default:
	}
	return r
}

// fromFinish says whether boards start at the higher station: the visible side
// is the gate's; with no gate or two, the lower station.
func fromFinish(st layout.Stretch, at spec.StartSide) bool {
	switch at {
	case spec.StartLow:
		return false
	case spec.StartHigh:
		return true
	default:
		return st.FinishEnd.Gate && !st.StartEnd.Gate
	}
}

// faceKind is what two stretches have in common that are boarded alike.
type faceKind struct {
	onCentre      measure.Length
	start, finish reach
	fromFinish    bool
	stepped       bool
}

func (k faceKind) width() measure.Length { return k.onCentre + k.start.length() + k.finish.length() }

// boardStretches boards every stretch, a stepped one bay by bay; alike counts
// the equal faces.
func boardStretches(l *layout.Layout, s *spec.Spec) (faces []Face, alike tally[faceKind]) {
	faces = make([]Face, 0, len(l.Stretches))
	var boardings []Boarding // by kind
	add := func(f Face, k faceKind) {
		at := alike.add(k, len(faces), 1)
		if at == len(boardings) {
			boardings = append(boardings, board(k.width(), s.Boards))
		}
		f.StartReach, f.FinishReach, f.FromFinish, f.Boarding = k.start.length(), k.finish.length(), k.fromFinish, boardings[at]
		f.lengthen(l, s)
		faces = append(faces, f)
	}
	for i, st := range l.Stretches {
		whole := faceKind{st.Length(), reachOf(st.StartEnd, l, s), reachOf(st.FinishEnd, l, s), fromFinish(st, s.Boards.StartAt), false}
		if !st.Stepped {
			add(Face{Stretch: i}, whole)
			continue
		}
		for j := range st.Bays {
			bay := st.FirstBay + j
			// Between post centres: of the reaches only a wall's is left.
			k := faceKind{onCentre: l.Bays[bay].Width, fromFinish: whole.fromFinish, stepped: true}
			if j == 0 {
				k.start.wall = whole.start.wall
			}
			if j == st.Bays-1 {
				k.finish.wall = whole.finish.wall
			}
			add(Face{Stretch: i, Stepped: true, Bay: bay}, k)
		}
	}
	return faces, alike
}

// stretchName is a stretch in words: "P1 to P4", "(run 1, 0 in to 24 ft)".
func stretchName(l *layout.Layout, i int) (posts, stations string) {
	st := l.Stretches[i]
	return l.Posts[st.StartEnd.Post].ID + " to " + l.Posts[st.FinishEnd.Post].ID, stationsOf(st.Run, st.Start, st.End)
}

// stationsOf is where on a run something lies, in words.
func stationsOf(run int, from, to measure.Length) string {
	var room [64]byte
	b := strconv.AppendInt(append(room[:0], "(run "...), int64(run+1), 10)
	b = from.AppendImperial(append(b, ", "...))
	b = to.AppendImperial(append(b, " to "...))
	return string(append(b, ')'))
}

// bayName is a bay in the same words.
func bayName(l *layout.Layout, i int) (posts, stations string) {
	bay := l.Bays[i]
	st := l.Stretches[bay.Stretch]
	start := st.Start
	for _, before := range l.Bays[st.FirstBay:i] {
		start += before.Width
	}
	return l.Posts[bay.Start].ID + " to " + l.Posts[bay.End].ID, stationsOf(st.Run, start, start+bay.Width)
}

// name is several equal faces in words, of which f is the first: in full, and
// as part of a sum.
func (f Face) name(l *layout.Layout, times int) (name, short string) {
	noun := "equal stretch"
	posts, stations := stretchName(l, f.Stretch)
	if f.Stepped {
		noun = "equal bay"
		posts, stations = bayName(l, f.Bay)
	}
	whole := "on " + posts + " " + stations
	name, short = whole[len("on "):], whole[:len("on ")+len(posts)]
	if times > 1 {
		short = "on " + amountOf(times, noun)
		name = amountOf(times, noun) + ", the first " + name
	}
	return name, short
}

// step is how the width of the face came about.
func (k faceKind) step(subject string) Step {
	inputs := append(make([]Input, 0, 4), length("on centre", k.onCentre)) // with what most faces add
	for _, at := range []struct {
		edge, corner, inside, wall string
		reach
	}{{"start edge", "start corner", "start inside corner", "start wall", k.start},
		{"finish edge", "finish corner", "finish inside corner", "finish wall", k.finish}} {
		inputs = optional(inputs, at.edge, at.reach.edge)
		inputs = optional(inputs, at.corner, max(at.reach.corner, 0))
		inputs = optional(inputs, at.inside, max(-at.reach.corner, 0))
		inputs = optional(inputs, at.wall, at.reach.wall)
	}
	if k.stepped {
		return step("boards.bay-face", subject, inputs...).exactly(lengthText(k.width()))
	}
	return step("boards.face", subject, inputs...).exactly(lengthText(k.width()))
}

// end is where the last board of a face stands.
func (k faceKind) end() string {
	if k.fromFinish {
		return "start"
	}
	return "finish"
}
