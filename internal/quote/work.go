package quote

import (
	"crypto/sha256"
	"encoding/json"
	"slices"

	"wattle/internal/layout"
	"wattle/internal/takeoff"
)

// WorkKey is the same for two jobs that are counted and priced alike: the same
// posts, bays, openings and cautions, built to specs that differ at most in how
// stretches are shared. What the count and the checks read of that part
// of a spec has to be in the key.
func WorkKey(j takeoff.Job) ([sha256.Size]byte, error) {
	alike, s := built(j.Layout), j.Spec
	// The layout is what came of these.
	s.Layout.Method, s.Layout.MaxBay, s.Layout.MinBay = "", 0, nil
	s.Layout.ShortEnd, s.Layout.Feather, s.Curves = "", 0, nil
	h := sha256.New()
	err := json.NewEncoder(h).Encode(takeoff.Job{Layout: &alike, Spec: s, Conditions: j.Conditions})
	return [sha256.Size]byte(h.Sum(nil)), err
}

// FenceKey is the same for two quotes of one site that are one fence at one
// cost: the same posts, bays and openings, whatever was asked for.
func FenceKey(q *Quote) ([sha256.Size]byte, error) {
	l := built(q.Layout)
	l.Cautions = nil // say what was asked for and not done
	h := sha256.New()
	err := json.NewEncoder(h).Encode(struct {
		Layout layout.Layout
		Cost   string
	}{l, q.Totals.Cost.Trim(0).String()})
	return [sha256.Size]byte(h.Sum(nil)), err
}

// built is a layout without what its spec asked for beside what came of it.
func built(l *layout.Layout) layout.Layout {
	alike := *l
	alike.Bays, alike.Stretches = slices.Clone(l.Bays), slices.Clone(l.Stretches)
	for i := range alike.Bays {
		alike.Bays[i].Limit = 0
	}
	for i := range alike.Stretches {
		alike.Stretches[i].Method = ""
	}
	return alike
}
