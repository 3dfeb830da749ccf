package quote

import (
	"os"
	"path/filepath"
	"testing"
)

// A stored document that was damaged, or written by nobody's rules, is refused; one
// that is read has the same lines either way.
func FuzzParseDocument(f *testing.F) {
	corpus, err := filepath.Glob("../../testdata/fingerprints/*")
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range corpus {
		document, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		if len(document) < 20_000 { // small ones, so that there are many turns
			f.Add(document)
		}
	}
	f.Add([]byte(`{"fingerprint_version":"1","request":{},"result":{},"rules_version":"1"}`))
	f.Fuzz(func(t *testing.T, document []byte) {
		_, _ = ParseSpecDocument(document)
		lines, _, linesErr := ParseLines(document)
		_, q, err := ParseDocument(document)
		if err != nil {
			return
		}
		if linesErr != nil || len(lines) != len(q.Lines) {
			t.Fatalf("%d lines (%v), and %d with the rest of the quote", len(lines), linesErr, len(q.Lines))
		}
	})
}
