package main

import (
	"encoding/csv"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// TestDemo runs two demos at once: both tell the whole story, and the same job
// at the same prices has the same fingerprint.
func TestDemo(t *testing.T) {
	dirs := []string{filepath.Join(t.TempDir(), "a"), filepath.Join(t.TempDir(), "b")}
	stories := make([]string, len(dirs))
	var both sync.WaitGroup
	for i, dir := range dirs {
		both.Go(func() { stories[i], _ = wattle(t, exitDone, "demo", "--out", dir) })
	}
	both.Wait()
	if t.Failed() {
		return
	}
	for _, story := range stories {
		for _, part := range []string{
			"Harrow & Daughters Fence", "Why its three largest lines are what they are\n", "\n3. ",
			"Total             10,625.68  11,191.11  +565.43\n", "The job costs 394.66 USD more on 2026-09-16 than on 2026-03-16: ",
			"From 2026-03-16 to 2026-09-16 a foot went from ", "Replay: identical, fingerprint ",
		} {
			if !strings.Contains(story, part) {
				t.Errorf("the demo does not say %q:\n%s", part, story)
			}
		}
	}
	const replayed = "Replay: identical, fingerprint "
	first := field(t, stories[0], replayed)
	if second := field(t, stories[1], replayed); first != second {
		t.Errorf("two demos have the fingerprints %s and %s", first, second)
	}
	if made := field(t, stories[0], "Fingerprint"); made != first {
		t.Errorf("the quote was made with fingerprint %s and replayed with %s", made, first)
	}
	for i, dir := range dirs {
		checkDocuments(t, dir, stories[i])
	}
}

func checkDocuments(t *testing.T, dir, story string) {
	t.Helper()
	quote, err := os.ReadFile(filepath.Join(dir, "quote.txt"))
	if err != nil {
		t.Fatal(err)
	}
	if len(quote) == 0 || !strings.Contains(story, string(quote)) {
		t.Errorf("quote.txt is not the quote that was shown:\n%s", quote)
	}
	list, err := os.Open(filepath.Join(dir, "takeoff.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = list.Close() }()
	if rows, err := csv.NewReader(list).ReadAll(); err != nil || len(rows) < 15 {
		t.Errorf("takeoff.csv has %d rows: %v", len(rows), err)
	}
	for _, name := range []string{"proposal.pdf", "crew-sheet.pdf"} {
		content, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil || !strings.HasPrefix(string(content), "%PDF-") || !strings.HasSuffix(strings.TrimSpace(string(content)), "%%EOF") {
			t.Errorf("%s is no PDF: %v", name, err)
		}
	}
	for _, name := range []string{"plan.svg", "elevation.svg", "crew-sheet.svg", "movers.svg"} {
		checkSVG(t, filepath.Join(dir, name))
	}
}

func checkSVG(t *testing.T, path string) {
	t.Helper()
	drawing, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = drawing.Close() }()
	root := ""
	for dec := xml.NewDecoder(drawing); ; {
		token, err := dec.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		if e, ok := token.(xml.StartElement); ok && root == "" {
			root = e.Name.Local
		}
	}
	if root != "svg" {
		t.Errorf("%s starts with <%s>", path, root)
	}
}

// TestDemoWithoutPostgres: one sentence says what to install, and no empty
// folder stays.
func TestDemoWithoutPostgres(t *testing.T) {
	t.Setenv("WATTLE_POSTGRES_BIN", t.TempDir())
	t.Chdir(t.TempDir())
	_, stderr := wattle(t, exitFailed, "demo")
	if !strings.Contains(stderr, "install it") || strings.Count(stderr, "\n") != 1 {
		t.Errorf("found %q, want one sentence", stderr)
	}
	if left, err := os.ReadDir("."); err != nil || len(left) > 0 {
		t.Errorf("left behind: %v %v", left, err)
	}
}
