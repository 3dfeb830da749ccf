package webhook

import (
	"strings"
	"testing"
)

// A key file is read or refused, and no error shows a line of it.
func FuzzParseKeyring(f *testing.F) {
	f.Add(NewKey())
	f.Add("# a comment\n\n" + NewKey() + "\r\n" + NewKey())
	f.Add("short")
	f.Add(strings.Repeat("A", 44))
	f.Fuzz(func(t *testing.T, text string) {
		k, err := ParseKeyring(text)
		if err == nil {
			if _, _, err := k.NewSecret("harrow", "hook"); err != nil {
				t.Fatal(err)
			}
			return
		}
		for line := range strings.Lines(text) {
			if line = strings.TrimSpace(line); len(line) > 20 && strings.Contains(err.Error(), line) {
				t.Fatalf("%v shows a line of the file", err)
			}
		}
	})
}
