// Package catalog knows the names of catalogued specs, and the entries that are
// built in: each family of fence at its usual heights, with the defaults of the
// trade. The entries that companies save are kept by a store.
package catalog

import (
	"slices"
	"strings"

	"wattle/internal/measure"
	"wattle/internal/spec"
)

// Entry is a built-in entry. It can be read and used, and never changed.
type Entry struct {
	Ref   // with its version
	Title string
	// Spec says no more than the entry is about: what it leaves out has the
	// defaults of the program that reads it.
	Spec spec.Spec
}

// standardVersion is the version of every entry so far.
const standardVersion = 1

// Standard is every built-in entry, by name: each family that the program has,
// at the heights that its definition calls usual.
func Standard() []Entry {
	var entries []Entry
	for _, family := range spec.Families() {
		for _, text := range family.Definition().Heights {
			height := measure.Must(text)
			title := family.Title() + ", " + height.Imperial()
			entries = append(entries, Entry{
				Ref:   Ref{Name: StandardSpace + string(family) + "-" + inName(height), Version: standardVersion},
				Title: title,
				Spec:  spec.Spec{Name: title, Family: family, Height: height},
			})
		}
	}
	slices.SortFunc(entries, func(a, b Entry) int { return strings.Compare(a.Name, b.Name) })
	return entries
}

// Find is the built-in entry that r names, and whether there is one.
func Find(r Ref) (Entry, bool) {
	all := Standard()
	i := slices.IndexFunc(all, func(e Entry) bool {
		return e.Name == r.Name && (r.Version == 0 || r.Version == e.Version)
	})
	if i < 0 {
		return Entry{}, false
	}
	return all[i], true
}

// inName spells a height as in the name of an entry: 6ft, 3ft-6in.
func inName(height measure.Length) string {
	return strings.NewReplacer(" ft", "ft", " in", "in", " ", "-").Replace(height.Imperial())
}
