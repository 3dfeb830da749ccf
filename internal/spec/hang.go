package spec

import "wattle/internal/measure"

// EndPast is how far what hangs between posts runs past the centre of a post of
// the given width at one of its ends: less than zero where it stops short of the
// centre, as it does unless it goes deep into the post. So its length is the bay
// and EndPast of both posts. Zero where Hang is not Between.
func (l Layout) EndPast(post measure.Length) measure.Length {
	if l.Hang != Between {
		return 0
	}
	return l.Insertion - l.BracketGap - post/2
}
