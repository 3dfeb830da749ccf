package check

import (
	"fmt"

	"wattle/internal/section"
	"wattle/internal/steel"
	"wattle/internal/timber"
)

// optionOf is the post that a section is, without a design value. Steel has a
// wall that is not asked for: of pipe that of schedule 40, of square tube the
// thinnest usual one; its name says which. Not known of vinyl, which bends by
// what is in it, of T posts, and of pipe whose wall is not known.
func optionOf(s section.Section) (PostOption, bool) {
	width := s.Width()
	switch s.Kind() {
	case section.Sawn:
		return PostOption{Name: string(s), Sawn: timber.Size(s)}, true
	case section.RoundWood:
		return PostOption{Name: s.Describe() + " wood", Outside: width, Wall: width / 2, Wood: true}, true
	case section.Pipe:
		wall, err := steel.WallFor(width)
		return PostOption{Name: fmt.Sprintf("%s with the %s wall of %s", s.Describe(), wall.Inches(3), steel.Schedule40), Outside: width, Wall: wall}, err == nil
	case section.Tube:
		wall := steel.TubeWallFor(width)
		return PostOption{
			Name: fmt.Sprintf("%s with a wall of %s, the thinnest usual", s.Describe(), wall.Inches(3)), Outside: width, Wall: wall, Square: true,
		}, 2*wall <= width
	case section.Vinyl, section.TPost, section.None:
	}
	return PostOption{}, false
}
