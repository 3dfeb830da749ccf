package catalog

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestParseRef(t *testing.T) {
	for text, want := range map[string]Ref{
		"cedar-privacy":                       {Name: "cedar-privacy"},
		"cedar-privacy@3":                     {Name: "cedar-privacy", Version: 3},
		"6ft":                                 {Name: "6ft"},
		"a@2147483647":                        {Name: "a", Version: 2147483647},
		"standard/vertical-boards-6ft":        {Name: "standard/vertical-boards-6ft"},
		"standard/vertical-boards-6ft@1":      {Name: "standard/vertical-boards-6ft", Version: 1},
		strings.Repeat("a", 64):               {Name: strings.Repeat("a", 64)},
		"standard/" + strings.Repeat("a", 64): {Name: "standard/" + strings.Repeat("a", 64)},
	} {
		got, err := ParseRef(text)
		if err != nil || got != want || got.String() != text || got.Standard() != strings.HasPrefix(text, "standard/") {
			t.Errorf("%q: %+v, %v", text, got, err)
		}
	}
	for text, want := range map[string]string{
		"":                      "does not name a spec",
		"Cedar":                 "does not name a spec",
		"cedar privacy":         "does not name a spec",
		"cedar--privacy":        "does not name a spec",
		"-cedar":                "does not name a spec",
		"cedar-":                "does not name a spec",
		"zäune":                 "does not name a spec",
		"cedar\n":               "does not name a spec",
		"standard/":             "does not name a spec",
		"standard/standard/x":   "does not name a spec",
		"office/cedar":          "does not name a spec",
		"companies/a/specs/b":   "does not name a spec",
		strings.Repeat("a", 65): "at most 64 bytes",
		"@3":                    "does not name a spec",
		"cedar@":                "is not a version",
		"cedar@0":               "is not a version",
		"cedar@-1":              "is not a version",
		"cedar@+1":              "is not a version",
		"cedar@01":              "is not a version",
		"cedar@1.0":             "is not a version",
		"cedar@2147483648":      "is not a version",
		"cedar@1@2":             "is not a version",
	} {
		if got, err := ParseRef(text); err == nil || !strings.Contains(err.Error(), want) || got != (Ref{}) {
			t.Errorf("%q: %+v, %v; want an error with %q", text, got, err, want)
		}
	}
}

// What is read as a reference prints as the text it was read from.
func TestRefText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`(standard/)?[a-c0-9-]{1,6}(@[0-9]{1,3})?`).Draw(t, "text")
		if r, err := ParseRef(text); err == nil && r.String() != text {
			t.Errorf("%q reads as %+v and prints as %q", text, r, r)
		}
	})
}
