package paper

import (
	"fmt"
	"slices"
	"strings"

	"wattle/internal/layout"
)

// glyphs notes, by the field that is being printed, which characters no font
// has and whether letters should have joined.
type glyphs struct {
	field  string
	fields []string // in order of first trouble
	lacks  map[string][]rune
	joins  []string
}

// in names the field whose text is printed from now on.
func (g *glyphs) in(field string) { g.field = field }

func (g *glyphs) note(r rune, missing bool) {
	if missing {
		if g.lacks == nil {
			g.lacks = make(map[string][]rune)
		}
		if g.lacks[g.field] == nil {
			g.fields = append(g.fields, g.field)
		}
		if !slices.Contains(g.lacks[g.field], r) {
			g.lacks[g.field] = append(g.lacks[g.field], r)
		}
	}
	if needsShaping(r) && !slices.Contains(g.joins, g.field) {
		g.joins = append(g.joins, g.field)
	}
}

// mostNamed characters are named in a caution; of the others the number is told.
const mostNamed = 20

// cautions name the characters that are not printed as they should be. Codes:
//
//	font-lacks-glyphs   no font has them; a box stands in their place
//	letters-not-joined  they print letter by letter, in the right order
func (g *glyphs) cautions() []layout.Caution {
	var all []layout.Caution
	for _, field := range g.fields {
		lacks := slices.Sorted(slices.Values(g.lacks[field]))
		var named []string
		for _, r := range lacks[:min(len(lacks), mostNamed)] {
			named = append(named, fmt.Sprintf("U+%04X %c", r, r))
		}
		if n := len(lacks) - len(named); n > 0 {
			named = append(named, fmt.Sprintf("%d more", n))
		}
		all = append(all, layout.Caution{Code: "font-lacks-glyphs", Field: field, Text: fmt.Sprintf(
			"The font has no glyph for characters of %s: %s. A box stands in the place of each; a template may bring a font that has them.", field, strings.Join(named, ", "))})
	}
	for _, field := range g.joins {
		all = append(all, layout.Caution{Code: "letters-not-joined", Field: field, Text: fmt.Sprintf(
			"Letters of %s are of a script that joins them; they are printed in order and not joined.", field)})
	}
	return all
}
