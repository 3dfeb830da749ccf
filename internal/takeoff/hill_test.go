package takeoff

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// hill is one stretch of bays of the given widths between 4x4 posts of 8 ft,
// both ends terminal, as a planned layout would have it on level ground.
func hill(widths string, change ...func(*layout.Layout)) *layout.Layout {
	post := layout.Post{Size: "4x4", Width: measure.Must("3.5 in"), AboveGrade: 6 * ft, Stock: 8 * ft, Hole: layout.Hole{
		Diameter: 12 * measure.Inch, Depth: 30 * measure.Inch, Gravel: 6 * measure.Inch, Embedment: 24 * measure.Inch}}
	l := &layout.Layout{Posts: []layout.Post{post}, Stretches: make([]layout.Stretch, 1)}
	st := &l.Stretches[0]
	st.StartEnd.Terminal, st.FinishEnd.Terminal = true, true
	for w := range strings.SplitSeq(widths, ", ") {
		width := measure.Must(w)
		l.Posts = append(l.Posts, post)
		l.Bays = append(l.Bays, layout.Bay{Start: st.Bays, End: st.Bays + 1, Width: width, Rail: width})
		st.Bays++
		st.End += width
	}
	l.Bays[0].Rail += measure.Must("1.75 in")
	l.Bays[st.Bays-1].Rail += measure.Must("1.75 in")
	st.FinishEnd.Post = st.Bays
	for i := range l.Posts {
		l.Posts[i].ID = fmt.Sprintf("P%d", i+1)
	}
	for _, c := range change {
		c(l)
	}
	return l
}

func stepped(l *layout.Layout) { l.Stretches[0].Stepped = true }

// gaps sets what is to be filled under the bays.
func gaps(fills string) func(*layout.Layout) {
	return func(l *layout.Layout) {
		for i, f := range strings.Split(fills, ", ") {
			l.Bays[i].Fill = measure.Must(f)
		}
	}
}

// keep keeps posts as old ones, whatever else is said of them.
func keep(posts ...int) func(*layout.Layout) {
	return func(l *layout.Layout) {
		for _, i := range posts {
			l.Posts[i].Existing = true
		}
	}
}

func tookOff(t *testing.T, l *layout.Layout, s spec.Spec, offers map[string]Offer) *Takeoff {
	t.Helper()
	k, err := Count(l, s, offers)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// nets are the net quantities of a category: "18 board-1x6-7ft, 35 ...".
func nets(k *Takeoff, of ...Category) string {
	var all []string
	for _, l := range k.Lines {
		if slices.Contains(of, l.Category) {
			all = append(all, l.Net.String()+" "+l.Item)
		}
	}
	return strings.Join(all, ", ")
}

// says checks that the derivation of an item has these sentences.
func says(t *testing.T, k *Takeoff, item string, sentences ...string) {
	t.Helper()
	for _, l := range k.Lines {
		if l.Item != item {
			continue
		}
		told := l.Derivation.Sentences()
		for _, s := range sentences {
			if !slices.Contains(told, s) {
				t.Errorf("%s: want %q in\n%s", item, s, strings.Join(told, "\n"))
			}
		}
		return
	}
	t.Errorf("no line for %s", item)
}

// The faces of three bays of 8 ft. Racked: 288 + 3-1/2 in are 53 boards of 5-1/2
// in exactly. Stepped, bay by bay between post centres: 96 / 5-1/2 = 17.45, 18
// boards and the last ripped to 2-1/2 in (LUM-4), so 54.
func TestSteppedFaces(t *testing.T) {
	faces := func(l *layout.Layout) string {
		var all []string
		for _, f := range tookOff(t, l, sixFoot(), nil).Faces {
			at := "whole"
			if f.Stepped {
				at = l.Posts[l.Bays[f.Bay].Start].ID
			}
			if f.FromFinish {
				at += " from the finish"
			}
			all = append(all, fmt.Sprintf("%s: %s, %s", at, f.Width.Imperial(), f.text()))
		}
		return strings.Join(all, "; ")
	}
	wall := func(l *layout.Layout) { l.Stretches[0].StartEnd.Wall = measure.Must("2-1/4 in") }
	farWall := func(l *layout.Layout) { l.Stretches[0].FinishEnd.Wall = measure.Must("2-1/4 in") }
	further := func(l *layout.Layout) { l.Stretches[0].Start, l.Stretches[0].End = 10*ft, l.Stretches[0].End+10*ft }
	gate := func(l *layout.Layout) { l.Stretches[0].FinishEnd.Gate = true }
	corner := func(l *layout.Layout) {
		l.Stretches[0].StartEnd.Corner, l.Stretches[0].StartEnd.Covers = layout.OutsideCorner, true
	}
	for _, c := range []struct {
		name string
		*layout.Layout
		want string
	}{
		{"racked", hill("8 ft, 8 ft, 8 ft"), "whole: 24 ft 3-1/2 in, 53 boards"},
		{"stepped", hill("8 ft, 8 ft, 8 ft", stepped),
			"P1: 8 ft, 18 boards, the last ripped to 2.5 in; P2: 8 ft, 18 boards, the last ripped to 2.5 in; P3: 8 ft, 18 boards, the last ripped to 2.5 in"},
		{"to the wall", hill("8 ft, 66 in", stepped, wall),
			"P1: 8 ft 2-1/4 in, 18 boards, the last ripped to 4.75 in; P2: 5 ft 6 in, 12 boards"},
		{"to a wall at the finish", hill("66 in, 8 ft", stepped, farWall),
			"P1: 5 ft 6 in, 12 boards; P2: 8 ft 2-1/4 in, 18 boards, the last ripped to 4.75 in"},
		{"a gate at the finish", hill("8 ft, 66 in", stepped, gate),
			"P1 from the finish: 8 ft, 18 boards, the last ripped to 2.5 in; P2 from the finish: 5 ft 6 in, 12 boards"},
		{"an outside corner", hill("66 in", stepped, corner), "P1: 5 ft 6 in, 12 boards"},
	} {
		if got := faces(c.Layout); got != c.want {
			t.Errorf("%s: %s\nwant %s", c.name, got, c.want)
		}
	}
	k := tookOff(t, hill("8 ft, 8 ft, 66 in", stepped, wall, further), sixFoot(), nil)
	says(t, k, "board-1x6-6ft",
		"P1 to P2 (run 1, 10 ft to 18 ft): 8 ft between post centres, as each bay of a stepped stretch is boarded for itself + 2-1/4 in to the wall at the start = 8 ft 2-1/4 in.",
		"P3 to P4 (run 1, 26 ft to 31 ft 6 in): 5 ft 6 in between post centres, as each bay of a stepped stretch is boarded for itself = 5 ft 6 in.",
		"18 on P1 to P2 + 18 on P2 to P3 + 12 on P3 to P4 = 48 boards.")
	says(t, k, "rail-2x4-8ft", "3 rails in each bay, centred 9-3/4 in, 3 ft 1 in, 5 ft 4-1/4 in above grade, in a stepped bay above the highest ground under it.")
}

// Two of four posts are kept: two are bought and set (1.4007 ft3 of concrete a
// hole, 2.8014 / 0.6 = 4.669 bags; 2 x 0.3927 ft3 of gravel), four are capped.
func TestKeptPosts(t *testing.T) {
	three := "88 in, 88 in, 88 in"
	dug := []Category{Posts, Concrete, Gravel, Caps}
	for _, c := range []struct {
		kept []int
		want string
	}{
		{nil, "4 post-4x4-8ft, 9.338 concrete-80lb, 1.5708 gravel, 4 cap-4x4"},
		{[]int{1, 3}, "2 post-4x4-8ft, 4.669 concrete-80lb, 0.7854 gravel, 4 cap-4x4"},
		{[]int{0, 1, 2, 3}, "4 cap-4x4"},
	} {
		// A crown must not be poured around a post that is not set.
		for _, set := range []spec.Setting{spec.WetSet, spec.NoSet} {
			want := c.want
			if set == spec.NoSet {
				want = strings.Join(slices.DeleteFunc(strings.Split(want, ", "), func(s string) bool { return strings.HasSuffix(s, "concrete-80lb") }), ", ")
			}
			s := sixFoot(func(s *spec.Spec) { s.Concrete.Set = set })
			if got := nets(tookOff(t, hill(three, keep(c.kept...)), s, nil), dug...); got != want {
				t.Errorf("%d kept, %s: %s\nwant %s", len(c.kept), set, got, want)
			}
		}
	}
	k := tookOff(t, hill(three, keep(1, 3)), sixFoot(), nil)
	says(t, k, "post-4x4-8ft", "2 posts of this size kept where found, neither bought nor set.", "2 line = 2 posts.")
	says(t, k, "concrete-80lb", "2.8014 ft3 in 2 holes of 12 in x 30 in = 2.8014 ft3.")
	says(t, k, "cap-4x4", "4 posts, 2 of them kept, one on each = 4 caps.")

	crowned := sixFoot(func(s *spec.Spec) { s.Concrete.Set, s.Concrete.Crown = spec.DrySet, measure.Inch })
	if got := nets(tookOff(t, hill(three, keep(0, 1, 2)), crowned, nil), Concrete); got != "3 concrete-80lb" {
		t.Errorf("one crowned hole: %s", got)
	}
	for _, item := range Candidates(hill(three, keep(0, 1, 2, 3)), sixFoot()) {
		if strings.HasPrefix(item, "post") || strings.HasPrefix(item, "concrete") || item == "gravel" {
			t.Errorf("every post is kept, and %s is asked for", item)
		}
	}
}
