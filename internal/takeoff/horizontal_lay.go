package takeoff

import (
	"cmp"
	"slices"

	"wattle/internal/measure"
)

// lying is one way to lay boards, course by course, stretch by stretch.
type lying struct {
	*gathered
	coursing
	stocks []measure.Length
	// longest a board may be that spans two bays; 0: none does.
	longest measure.Length
	// late is 1 where the lowest course takes one bay before the first pair, 0
	// where the second does.
	late int

	boards   tally[lyingBoard]
	one, two int // boards over one bay, and over two
	metal    int // crossings with posts that no nail goes into
	known    sectionKinds
}

// way lays all courses. Where a straight board can lie over several bays, every
// other course takes the first pair of them, and those between one bay first, so
// that joints are staggered.
func (b *lying) way(name string) way {
	w := way{name: name, steps: b.steps(b.s)}
	type share struct{ bays, early, late int } // boards of a course that takes the first pair, and of one that does not
	var shares tally[share]
	late := (b.all() + b.late) / 2
	if b.longest == 0 {
		late = 0
	}
	early := b.all() - late
	for i, st := range b.l.Stretches {
		k := share{bays: st.Bays, early: st.Bays, late: st.Bays}
		for n, courses := range []int{early, late} {
			if courses == 0 {
				continue
			}
			joints := b.course(i, n == 1, courses)
			w.joined += courses * len(joints)
			if n == 0 {
				k.early = len(joints) + 1
			} else {
				k.late = len(joints) + 1
			}
			if b.longest > 0 {
				for c := n ^ b.late; c < b.all(); c += 2 {
					w.joints = append(w.joints, Joint{Stretch: i, Course: c, Posts: joints})
				}
			}
		}
		shares.add(k, i, 1)
	}
	all := newSum("board")
	for i, k := range shares.kinds {
		times, short := shares.times[i], ""
		n := early*k.early + late*k.late
		if all.open() {
			posts, stations := stretchName(b.l, shares.first[i])
			name := posts + " " + stations
			short = "on " + posts
			if times > 1 {
				short = "on " + amountOf(times, "equal stretch")
				name = amountOf(times, "equal stretch") + ", the first " + name
			}
			st := step("horizontal.stretch", name, count("courses", b.all(), "course"), count("bays", k.bays, "bay"))
			if n != b.all()*k.bays {
				inputs := []Input{count("early courses", early, "course"), count("early", k.early, "board")}
				if late > 0 {
					inputs = append(inputs, count("late courses", late, "course"), count("late", k.late, "board"))
				}
				st = step("horizontal.staggered", name, inputs...)
			}
			w.steps = append(w.steps, st.exactly(amountOf(n, "board")))
		}
		all.add(short, whole(n*times), times)
	}
	if len(shares.kinds) > 1 || len(shares.times) > 0 && shares.times[0] > 1 {
		w.steps = append(w.steps, all.step("horizontal.sum"))
	}
	pieces, steps := b.pieces()
	w.pieces, w.steps = pieces, append(w.steps, steps...)
	slices.SortStableFunc(w.joints, func(a, b Joint) int {
		return cmp.Or(cmp.Compare(a.Stretch, b.Stretch), cmp.Compare(a.Course, b.Course))
	})
	w.with = b.fastened()
	return w
}

// course lays the boards of a number of equal courses along a stretch and is the
// posts at which one of them is joined.
func (b *lying) course(stretch int, late bool, times int) []int {
	st := b.l.Stretches[stretch]
	var joints []int
	fresh := true // at the first bay of those that a straight board can lie over
	for i := st.FirstBay; i < st.FirstBay+st.Bays; {
		if i > st.FirstBay {
			joints = append(joints, b.l.Bays[i].Start)
		}
		bays := 1
		if b.straight(i) && !(late && fresh) && b.board(i, 2).long() <= b.longest {
			bays = 2
		}
		b.boards.add(b.board(i, bays), i, times)
		b.tell(i, bays, times)
		i += bays
		fresh = !b.straight(i - 1)
	}
	return joints
}

// tell notes where a board is nailed: at every post that it passes or ends on.
func (b *lying) tell(first, bays, times int) {
	if bays == 2 {
		b.two += times
	} else {
		b.one += times
	}
	cross := func(post int) {
		if !b.known.nailed(b.l.Posts[post].Size) {
			b.metal += times
		}
	}
	cross(b.l.Bays[first].Start)
	for _, bay := range b.l.Bays[first : first+bays] {
		cross(bay.End)
	}
}

// straight reports whether one board may lie over a bay and the next of its
// stretch: they go on at one grade, but for what no tape shows, or stand on one
// step.
func (b *lying) straight(i int) bool {
	x := b.l.Bays[i]
	st := b.l.Stretches[x.Stretch]
	if b.longest == 0 || i+1 >= st.FirstBay+st.Bays {
		return false
	}
	y := b.l.Bays[i+1]
	if st.Stepped {
		return x.Top == y.Top
	}
	rise, _ := measure.MulDivRound(int64(x.Rise), int64(y.Width), int64(x.Width))
	return (measure.Length(rise) - y.Rise).Abs() <= measure.Sixteenth
}
