package takeoff

import (
	"slices"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/spec"
)

// Count counts a layout made by layout.Plan from a spec with its defaults
// filled. With offers, sticks are cut for the least cost and ordered in packs;
// without (nil), for the least length, and labour is left out with a caution.
// An offer in another unit than its item's is an Invalid error that lists all.
func Count(l *layout.Layout, s spec.Spec, offers map[string]Offer) (*Takeoff, error) {
	if err := checkItems(items(l, s), s, offers); err != nil {
		return nil, err
	}
	if s.Boards.Width <= 0 || s.Boards.Gap < 0 {
		var v fault.List
		v.Add("spec.boards", "expected boards with a width and a gap of zero or more, found %s and %s", s.Boards.Width, s.Boards.Gap)
		return nil, v.Err()
	}
	t := &Takeoff{}
	for _, st := range l.Stretches {
		t.NetLength += st.Length()
	}
	for _, o := range l.Openings {
		t.GateLength += o.Span
	}
	var alike tally[faceKind]
	t.Faces, alike = boardStretches(l, s)
	var err error
	if t.Leaves, err = buildLeaves(l, s); err != nil {
		return nil, err
	}
	needs := slices.Concat(posts(l), boards(l, s, t.Faces, alike, t.Leaves), gravel(l, s), caps(l, s), gateParts(t.Leaves))
	for _, f := range sticks(l, s, t.Leaves) {
		cut, plan, err := f.cut(s, offers)
		if err != nil {
			return nil, err
		}
		needs, t.Cuts = append(needs, cut...), append(t.Cuts, plan)
	}
	bags, err := concrete(l, s)
	if err != nil {
		return nil, err
	}
	nails, err := fasteners(l, s, t.Faces, t.Leaves)
	if err != nil {
		return nil, err
	}
	for _, n := range slices.Concat(needs, bags, nails) {
		if n.net.Sign() == 0 {
			continue
		}
		line, err := n.line(s, offers)
		if err != nil {
			return nil, err
		}
		t.Lines = append(t.Lines, line)
	}
	hours, unrated, err := labour(t.NetLength, t.Leaves, s, offers)
	if err != nil {
		return nil, err
	}
	if hours != nil {
		t.Lines = append(t.Lines, *hours)
	}
	slices.SortFunc(t.Lines, compareLines)
	t.Cautions = slices.Concat(cautions(s, t), unrated)
	return t, nil
}
