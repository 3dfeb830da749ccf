package office

import (
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
)

// Tree is the offices of one company. The zero Tree has none.
type Tree struct {
	byID  map[string]Office
	below map[string][]string // direct children, by id
}

// NewTree makes a tree of offices, in any order. A parent that is not among
// them ends the way up.
func NewTree(offices []Office) Tree {
	t := Tree{byID: make(map[string]Office, len(offices)), below: make(map[string][]string)}
	for _, o := range offices {
		t.byID[o.ID] = o
		if o.Parent != "" {
			t.below[o.Parent] = append(t.below[o.Parent], o.ID)
		}
	}
	return t
}

// Find is an office by its id.
func (t Tree) Find(id string) (Office, bool) {
	o, ok := t.byID[id]
	return o, ok
}

// Path is the way from an office up to the root, both included: the order in
// which prices are looked for. Nil for an office that the tree does not have.
func (t Tree) Path(id string) []string {
	var path []string
	for o, ok := t.byID[id]; ok; o, ok = t.byID[o.Parent] {
		if slices.Contains(path, o.ID) { // the schema and Place refuse a cycle
			break
		}
		path = append(path, o.ID)
	}
	return path
}

// Below is an office and everything under it, sorted. Nil for an office that the
// tree does not have.
func (t Tree) Below(id string) []string {
	if _, ok := t.byID[id]; !ok {
		return nil
	}
	all := []string{id}
	for i := 0; i < len(all); i++ {
		for _, child := range t.below[all[i]] {
			if !slices.Contains(all, child) {
				all = append(all, child)
			}
		}
	}
	slices.Sort(all)
	return all
}

// Settings are what holds at an office: its own, filled from those above it.
func (t Tree) Settings(id string) Settings {
	var s Settings
	for _, step := range t.Path(id) {
		s = s.or(t.byID[step].Settings)
	}
	if s.TimeZone == "" {
		s.TimeZone = "UTC"
	}
	return s
}

// Floor is the margin floor that holds at an office, and the office that set it:
// the nearest on the way up that sets one. Nil where none does.
func (t Tree) Floor(id string) (floor *decimal.Decimal, setBy string) {
	for _, step := range t.Path(id) {
		if f := t.byID[step].Settings.MarginFloor; f != nil {
			return f, step
		}
	}
	return nil, ""
}

// Place notes what is wrong with standing an office under parent: one that is
// not there or removed, or one that stands under the office itself.
func (t Tree) Place(v *fault.List, id, parent string) {
	above, ok := t.byID[parent]
	switch {
	case id == Main:
		v.Require(parent == "", "parent", "%s is the root and stands under no other", Main)
	case !ok:
		v.Add("parent", "there is no office %q", parent)
	case above.Removed:
		v.Add("parent", "the office %q is removed", parent)
	case parent == id:
		v.Add("parent", "an office cannot stand under itself")
	case slices.Contains(t.Path(parent), id):
		v.Add("parent", "%q stands under %q already (%s); this would close a circle", parent, id, strings.Join(t.Path(parent), " < "))
	}
}

// With is the tree with o in it, in place of the office of that id.
func (t Tree) With(o Office) Tree {
	offices := []Office{o}
	for id, other := range t.byID {
		if id != o.ID {
			offices = append(offices, other)
		}
	}
	return NewTree(offices)
}
