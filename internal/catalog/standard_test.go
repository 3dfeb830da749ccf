package catalog

import (
	"slices"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// Of the families, package spec defines this one (common practice).
func TestStandardVerticalBoards(t *testing.T) {
	var names []string
	for _, e := range Standard() {
		names = append(names, e.String()+" "+e.Title)
	}
	for _, want := range []string{
		"standard/vertical-boards-4ft@1 Vertical boards, 4 ft",
		"standard/vertical-boards-6ft@1 Vertical boards, 6 ft",
		"standard/vertical-boards-8ft@1 Vertical boards, 8 ft",
	} {
		if !slices.Contains(names, want) {
			t.Errorf("%q is not among %q", want, names)
		}
	}
	e, ok := Find(Ref{Name: "standard/vertical-boards-6ft"})
	if !ok || e.Spec.Height != measure.Must("6 ft") || e.Spec.Family != "vertical-boards" {
		t.Errorf("found %+v, %t", e, ok)
	}
	for _, r := range []Ref{{Name: "standard/vertical-boards-6ft", Version: 2}, {Name: "vertical-boards-6ft"}, {Name: "standard/"}} {
		if e, ok := Find(r); ok {
			t.Errorf("%s is %s", r, e)
		}
	}
}

// Every entry has a name of its own that can be read, and a spec that is sound
// with its defaults alone.
func TestStandardEntriesAreSound(t *testing.T) {
	last := ""
	for _, e := range Standard() {
		if r, err := ParseRef(e.String()); err != nil || r != e.Ref || !r.Standard() || e.Name <= last {
			t.Errorf("%s after %q reads as %+v, %v", e, last, r, err)
		}
		last = e.Name
		v := &fault.List{}
		if new(e.Spec.WithDefaults()).Validate(v); v.Err() != nil {
			t.Errorf("%s: %v", e, v.Err())
		}
	}
}

func TestHeightsInNames(t *testing.T) {
	for height, want := range map[string]string{"6 ft": "6ft", "42 in": "3ft-6in", "8 in": "8in"} {
		if got := inName(measure.Must(height)); got != want {
			t.Errorf("%s: %s, want %s", height, got, want)
		}
	}
}
