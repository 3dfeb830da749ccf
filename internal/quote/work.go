package quote

import (
	"crypto/sha256"
	"encoding/json"
	"slices"

	"wattle/internal/layout"
	"wattle/internal/spec"
)

// WorkKey is the same for two layouts that are counted and priced alike: the
// same posts, bays, openings and cautions, built to specs that differ at most
// in how stretches are shared. What the count and the checks read of that part
// of a spec has to be in the key.
func WorkKey(l *layout.Layout, s spec.Spec) ([sha256.Size]byte, error) {
	alike := *l
	alike.Bays, alike.Stretches = slices.Clone(l.Bays), slices.Clone(l.Stretches)
	for i := range alike.Bays {
		alike.Bays[i].Limit = 0
	}
	for i := range alike.Stretches {
		alike.Stretches[i].Method = ""
	}
	laps := s.Layout.TerminalLimit
	s.Layout, s.Curves = spec.Layout{TerminalLimit: laps}, nil // the layout is what came of them
	h := sha256.New()
	err := json.NewEncoder(h).Encode(struct {
		Layout layout.Layout
		Spec   spec.Spec
	}{alike, s})
	return [sha256.Size]byte(h.Sum(nil)), err
}
