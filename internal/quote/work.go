package quote

import (
	"crypto/sha256"
	"encoding/json"
	"slices"

	"wattle/internal/takeoff"
)

// WorkKey is the same for two jobs that are counted and priced alike: the same
// posts, bays, openings and cautions, built to specs that differ at most in how
// stretches are shared. What the count and the checks read of that part
// of a spec has to be in the key.
func WorkKey(j takeoff.Job) ([sha256.Size]byte, error) {
	alike, s := *j.Layout, j.Spec
	alike.Bays, alike.Stretches = slices.Clone(alike.Bays), slices.Clone(alike.Stretches)
	for i := range alike.Bays {
		alike.Bays[i].Limit = 0
	}
	for i := range alike.Stretches {
		alike.Stretches[i].Method = ""
	}
	// The layout is what came of these.
	s.Layout.Method, s.Layout.MaxBay, s.Layout.MinBay = "", 0, nil
	s.Layout.ShortEnd, s.Layout.Feather, s.Curves = "", 0, nil
	h := sha256.New()
	err := json.NewEncoder(h).Encode(takeoff.Job{Layout: &alike, Spec: s, Conditions: j.Conditions})
	return [sha256.Size]byte(h.Sum(nil)), err
}
