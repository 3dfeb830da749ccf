package render

import (
	"fmt"

	"wattle/internal/layout"
	"wattle/internal/measure"
)

// piece is what one dimension tells: a stretch, or the stretches along the
// chords of one arc, which are alike and too many to tell one by one.
type piece struct {
	run       int
	stretches []layout.Stretch
	bays      []layout.Bay
	firstBay  int // index of bays[0]
}

func (c piece) start() int           { return c.stretches[0].StartEnd.Post }
func (c piece) finish() int          { return c.stretches[len(c.stretches)-1].FinishEnd.Post }
func (c piece) from() measure.Length { return c.stretches[0].Start }
func (c piece) to() measure.Length   { return c.stretches[len(c.stretches)-1].End }

// alike reports that all bays have one width as printed.
func (c piece) alike() bool {
	for _, b := range c.bays {
		if b.Printed != c.bays[0].Printed {
			return false
		}
	}
	return len(c.bays) > 0
}

// words are what a dimension of the piece says, the longest first.
func (c piece) words(m Measures) []string {
	length, bays := m.tape(c.to()-c.from()), counted(len(c.bays), "bay")
	if len(c.stretches) > 1 && c.alike() {
		each := fmt.Sprintf("%s of %s", bays, m.tape(c.bays[0].Printed))
		return []string{length + ", " + each, each}
	}
	return []string{length + ", " + bays, length}
}

// findPieces joins stretches that meet where one chord of an arc follows on
// another.
func (p *plan) findPieces() {
	p.joint = make([]bool, len(p.layout.Posts))
	curves := make([]map[measure.Length]bool, len(p.site.Runs))
	for i := range curves {
		curves[i] = p.curves(i)
	}
	for i, s := range p.layout.Stretches {
		bays := p.layout.Bays[s.FirstBay : s.FirstBay+s.Bays]
		if n := len(p.pieces); n > 0 {
			last := &p.pieces[n-1]
			before := p.layout.Stretches[i-1]
			if last.run == s.Run && last.finish() == s.StartEnd.Post && before.FirstBay+before.Bays == s.FirstBay &&
				s.Run >= 0 && s.Run < len(curves) && curves[s.Run][s.Start] {
				last.stretches = p.layout.Stretches[i-len(last.stretches) : i+1]
				last.bays = p.layout.Bays[last.firstBay : s.FirstBay+s.Bays]
				p.joint[s.StartEnd.Post] = p.layout.Posts[s.StartEnd.Post].Role == layout.Bend
				continue
			}
		}
		p.pieces = append(p.pieces, piece{s.Run, p.layout.Stretches[i : i+1], bays, s.FirstBay})
	}
}

// curves are the stations where a run goes from one chord of an arc to the
// next.
func (p *plan) curves(run int) map[measure.Length]bool {
	at := make(map[measure.Length]bool)
	legs := p.legs[run]
	for i, on := range curving(p.site.Runs[run], legs) {
		if on {
			at[legs[i].Start] = true
		}
	}
	return at
}
