package render

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"wattle/internal/takeoff"
)

// writeLeaves says of the leaves of each gate what they are framed in, the parts
// of each and what it weighs.
func writeLeaves(p page, all []takeoff.Leaf) {
	if len(all) == 0 {
		return
	}
	p.line("")
	p.heading("Gate leaves")
	for _, f := range all {
		p.paragraph("* ", leafName(f)+": "+leafBuild(f)+".")
	}
}

// leafName is the leaves in the words of their weighing, which knows the gate;
// of leaves that are not weighed the number of their opening.
func leafName(f takeoff.Leaf) string {
	if n := len(f.Weighing.Steps); n > 0 {
		name, _, _ := strings.Cut(f.Weighing.Steps[n-1].Subject, ", without")
		if f.Leaves == 2 {
			return strings.Replace(name, "1 leaf", "2 leaves, each", 1)
		}
		return name
	}
	return fmt.Sprintf("Leaves of gate %d", f.Opening+1)
}

func leafBuild(f takeoff.Leaf) string {
	if f.Stile == 0 {
		return joinedBy("bought whole", ", ", leafWeight(f))
	}
	parts := []string{"2 stiles of " + f.Stile.Imperial(), counted(f.Rails, "rail") + " of " + f.Rail.Imperial()}
	if f.Brace > 0 {
		parts = append(parts, "a brace of "+f.Brace.Imperial())
	}
	if f.Uprights > 0 {
		parts = append(parts, counted(f.Uprights, "upright")+" of "+f.Upright.Imperial())
	}
	words := string(f.Frame) + " frame of " + list(parts)
	if f.Boards > 0 {
		words += ", " + counted(f.Boards, "board")
	}
	if f.Hinges > 0 {
		words += ", " + counted(f.Hinges, "hinge")
	}
	return joinedBy(words, ", ", leafWeight(f))
}

// leafWeight is what a leaf weighs and what is not in that.
func leafWeight(f takeoff.Leaf) string {
	n := len(f.Weighing.Steps)
	if n == 0 {
		return "not weighed"
	}
	_, without, _ := strings.Cut(f.Weighing.Steps[n-1].Subject, ", without")
	return "about " + f.Weight.String() + " lb without" + without
}

// writeJoints says where rails over two bays are joined, a line for each stretch.
// Posts are named by their place in the layout, as it names them.
func writeJoints(p page, joints []takeoff.Joint) {
	if len(joints) > 0 {
		p.line("%s", JointsHeading)
	}
	for _, words := range jointLines(joints) {
		p.paragraph("  ", words)
	}
}

// JointsHeading stands over the lines that say where pieces meet.
const JointsHeading = "Joined, courses counted from the ground:"

func jointLines(joints []takeoff.Joint) []string {
	var lines []string
	for len(joints) > 0 {
		n := 1
		for n < len(joints) && joints[n].Stretch == joints[0].Stretch {
			n++
		}
		if words := joinedAt(joints[:n]); words != "" {
			lines = append(lines, words)
		}
		joints = joints[n:]
	}
	return lines
}

// joinedAt are the joints of one stretch, courses that are alike together.
func joinedAt(joints []takeoff.Joint) string {
	var parts []string
	done := make([]bool, len(joints))
	for i, j := range joints {
		if done[i] || len(j.Posts) == 0 {
			continue
		}
		var courses, posts []string
		for k := i; k < len(joints); k++ {
			if slices.Equal(joints[k].Posts, j.Posts) {
				done[k] = true
				courses = append(courses, strconv.Itoa(joints[k].Course+1))
			}
		}
		for _, post := range j.Posts {
			posts = append(posts, "P"+strconv.Itoa(post+1))
		}
		parts = append(parts, list(courses)+" at "+list(posts))
	}
	return strings.Join(parts, "; ")
}
