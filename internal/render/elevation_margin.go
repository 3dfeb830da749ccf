package render

import (
	"fmt"
	"strconv"
	"strings"

	"wattle/internal/spec"
)

// beginSheet begins a sheet with its head and legend.
func (e *elevationSheet) beginSheet(sheets int) {
	e.turn()
	frame := vec{elevationMargin, elevationMargin}
	e.mask = newMask(frame, e.size.sub(frame), e.size)
	room := e.size.x - 2*elevationMargin
	e.write(vec{elevationMargin, elevationMargin + 8}, e.title, 14, room-100, true)
	number := fmt.Sprintf("sheet %d of %d", e.count, sheets)
	e.write(vec{e.size.x - elevationMargin - textWidth(number, 8) - 3, elevationMargin + 8}, number, 8, 100, false)
	e.write(vec{elevationMargin, elevationMargin + 24}, e.headline(), 8.5, room, false)
	y := float64(elevationMargin + elevationHead - 5)
	e.line(vec{elevationMargin, y}, vec{e.size.x - elevationMargin, y}, stroke{light, 0.6})
	e.drawLegend()
}

// headline says what is drawn, and how large.
func (e *elevationSheet) headline() string {
	parts := []string{e.fence.Length().Imperial(), counted(len(e.walk), "post")}
	if n := len(e.gates); n > 0 {
		parts = append(parts, counted(n, "gate"))
	}
	if e.spec.Family != spec.VerticalBoards {
		parts = append(parts, strings.ToLower(e.spec.Family.Title()))
	}
	parts = append(parts, e.height.Imperial()+" high")
	words := "Run " + shortened(e.id, 8.5, 200) + ": " + strings.Join(parts, ", ") + "."
	if e.level {
		words += " Level ground."
	}
	scale := strconv.FormatFloat(e.feetPerInch, 'f', -1, 64)
	if e.times == 1 {
		return words + " Scale 1 in = " + scale + " ft at full size, both ways."
	}
	return words + " Scale 1 in = " + scale + " ft at full size, vertical scale " + strconv.FormatFloat(e.times, 'f', -1, 64) + " x horizontal."
}

// drawFoot says how to read a sheet and what is not shown as it is, and on the
// last one what had no room.
func (e *elevationSheet) drawFoot(last bool) {
	notes := []string{"Stations and bays are along the line of post centres, to 1/16 in."}
	if !e.level {
		notes[0] += " Elevations in decimal feet over the site's datum."
	}
	if e.enlarged {
		notes[0] += " Posts are drawn wider than they are."
	}
	if e.hungWords() != "" {
		notes[0] += " What hangs is drawn as a sign."
	}
	var left []string
	for _, n := range []struct {
		count int
		what  string
	}{{e.leftPosts, "post"}, {e.leftBays, "bay"}, {e.leftMarks, "mark"}} {
		if n.count > 0 {
			left = append(left, counted(n.count, n.what))
		}
	}
	if last && len(left) > 0 {
		notes = append(notes, "No room for all figures of "+list(left)+"; the crew sheet has them.")
	}
	notes = append(notes, "Have utilities located before digging. Local codes and licensed people decide; check dimensions on site.")
	top := e.size.y - elevationMargin - elevationFoot + 19 // below the legend
	for i, note := range notes {
		e.write(vec{elevationMargin, top + float64(i)*9}, note, labelSize, e.size.x-2*elevationMargin, i == len(notes)-1)
	}
}
