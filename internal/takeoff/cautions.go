package takeoff

import (
	"fmt"
	"strings"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// cautions are what the estimator should look at in what was counted.
func cautions(s *spec.Spec, t *Takeoff) []layout.Caution {
	var all []layout.Caution
	add := func(code, field, text string) {
		all = append(all, layout.Caution{Code: code, Field: field, Text: text})
	}
	if ripped, narrowest := rips(t); ripped > 0 {
		add("ripped-boards", "", amountOf(ripped, "board")+" to rip, the narrowest to "+narrowest.Imperial()+".")
		if least := value(s.Boards.MinRip); narrowest < least {
			add("narrow-rip", "spec.boards.min_rip", "A board is ripped to "+narrowest.Imperial()+", which is under the least rip of "+least.Imperial()+".")
		}
	}
	if s.HasBoards() {
		nailCautions(s, add)
	}
	const most = 6 * measure.Inch
	for _, reveal := range []struct {
		field, name string
		length      measure.Length
	}{{"top_reveal", "top", value(s.Rails.TopReveal)}, {"bottom_reveal", "bottom", value(s.Rails.BottomReveal)}} {
		if reveal.length > most && s.HasBoards() && s.HasRails() {
			add("wide-reveal", "spec.rails."+reveal.field, "Boards run "+reveal.length.Imperial()+" past the "+reveal.name+" rail; past 6 in they tend to warp.")
		}
	}
	if s.Concrete.Set.Poured() && s.Holes.Float > 0 && s.Posts.Size.Wood() {
		add("post-over-concrete", "spec.holes.float", "Posts float "+s.Holes.Float.Imperial()+" above the gravel, so concrete runs under them; a wood post lasts longer standing on gravel.")
	}
	for _, c := range t.Cuts {
		if !c.Plan.Proven {
			add("cut-plan-not-proven", "", fmt.Sprintf("The cut plan of %s is the best one found, at %s; it is only proven that none takes less than %s.",
				c.Use, c.figure(c.Plan.Cost), c.figure(c.Plan.LowerBound)))
		}
	}
	return all
}

// nailCautions are of the nails that hold boards.
func nailCautions(s *spec.Spec, add func(code, field, text string)) {
	if text := s.NailCaution(); text != "" {
		add("board-nail-long", "spec.fasteners.board_nail", text)
	}
	nail, known := spec.NailLength(s.Fasteners.BoardNail)
	board := s.Boards.Thickness
	if known && nail < 3*board {
		add("board-nail-short", "spec.fasteners.board_nail", fmt.Sprintf("A nail of %s (%s) is shorter than three times the board's thickness of %s.",
			s.Fasteners.BoardNail, nail.Imperial(), board.Imperial()))
	}
	// Three times what it holds [FAS-2] leaves twice that in the wood behind.
	if known && s.Boards.Pattern == spec.BoardOnBoard && nail < 4*board {
		add("front-nail-short", "spec.fasteners.board_nail", fmt.Sprintf("Where the front row covers the back a nail of %s goes through two boards of %s, and %s of it into the rail; a longer one holds the front row better.",
			s.Fasteners.BoardNail, board.Imperial(), max(nail-2*board, 0).Imperial()))
	}
	if s.Fasteners.Coating == spec.Bright {
		wood := "treated wood, cedar and redwood"
		if name := strings.ToLower(s.Moisture.Species); strings.Contains(name, "cedar") || strings.Contains(name, "redwood") {
			wood = s.Moisture.Species + ", and in treated posts"
		}
		add("bright-fasteners", "spec.fasteners.coating", "Bright fasteners rust in "+wood+", and stain it; hot-dip galvanized or stainless ones last.")
	}
}

// rips are how many boards are ripped, and to how little.
func rips(t *Takeoff) (n int, narrowest measure.Length) {
	note := func(b Boarding, times int) {
		if b.Ripped == 0 {
			return
		}
		if n == 0 || b.Rip < narrowest {
			narrowest = b.Rip
		}
		n += times * b.Ripped
	}
	for _, f := range t.Faces {
		note(f.Boarding, 1)
	}
	for _, f := range t.Leaves {
		note(f.Boarding, f.Leaves)
	}
	return n, narrowest
}
