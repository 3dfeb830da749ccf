package catalog

import "testing"

// A reference that is read prints as it was written.
func FuzzParseRef(f *testing.F) {
	for _, seed := range []string{"cedar-privacy", "cedar-privacy@3", "standard/vertical-boards-6ft", "standard/", "a@0", "a@01", "@", "a@4294967296"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if r, err := ParseRef(text); err == nil && r.String() != text {
			t.Fatalf("ParseRef(%q) prints %q", text, r)
		}
	})
}
