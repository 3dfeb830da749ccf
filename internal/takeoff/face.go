package takeoff

import (
	"fmt"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// Face is the boarded side of one stretch.
type Face struct {
	Stretch int // index into layout.Layout.Stretches
	// StartReach and FinishReach are how far the boards run past the centres
	// of the stretch's first and last post; below zero they stop short.
	StartReach, FinishReach measure.Length
	// FromFinish: the first whole board stands at the higher station, and the
	// rip at the lower.
	FromFinish bool
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
// leg adds the thickness of rail and board, and at an inside corner loses it.
func reachOf(e layout.StretchEnd, l *layout.Layout, s spec.Spec) reach {
	if e.Wall > 0 {
		return reach{wall: e.Wall}
	}
	var r reach
	if e.Terminal {
		r.edge = l.Posts[e.Post].Width / 2
	}
	layers := s.RailThickness() + s.Boards.Thickness
	switch {
	case e.Covers && e.Corner == layout.OutsideCorner:
		r.corner = layers
	case e.Covers && e.Corner == layout.InsideCorner:
		r.corner = -layers
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
}

func (k faceKind) width() measure.Length { return k.onCentre + k.start.length() + k.finish.length() }

// boardStretches boards every stretch; alike counts the equal ones.
func boardStretches(l *layout.Layout, s spec.Spec) (faces []Face, alike tally[faceKind]) {
	faces = make([]Face, len(l.Stretches))
	var boardings []Boarding // by kind
	for i, st := range l.Stretches {
		k := faceKind{st.Length(), reachOf(st.StartEnd, l, s), reachOf(st.FinishEnd, l, s), fromFinish(st, s.Boards.StartAt)}
		at := alike.add(k, i, 1)
		if at == len(boardings) {
			boardings = append(boardings, board(k.width(), s.Boards))
		}
		faces[i] = Face{i, k.start.length(), k.finish.length(), k.fromFinish, boardings[at]}
	}
	return faces, alike
}

// stretchName is a stretch in words: "P1 to P4", "(run 1, 0 in to 24 ft)".
func stretchName(l *layout.Layout, i int) (posts, stations string) {
	st := l.Stretches[i]
	return l.Posts[st.StartEnd.Post].ID + " to " + l.Posts[st.FinishEnd.Post].ID,
		fmt.Sprintf("(run %d, %s to %s)", st.Run+1, st.Start.Imperial(), st.End.Imperial())
}

// step is how the width of the face came about.
func (k faceKind) step(subject string) Step {
	inputs := []Input{length("on centre", k.onCentre)}
	for _, end := range []struct {
		name string
		reach
	}{{"start", k.start}, {"finish", k.finish}} {
		inputs = optional(inputs, end.name+" edge", end.edge)
		inputs = optional(inputs, end.name+" corner", max(end.corner, 0))
		inputs = optional(inputs, end.name+" inside corner", max(-end.corner, 0))
		inputs = optional(inputs, end.name+" wall", end.wall)
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
