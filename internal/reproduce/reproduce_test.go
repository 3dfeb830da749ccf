package main

import (
	"bufio"
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"wattle/internal/quote"
	"wattle/internal/spec"
)

// What is drawn covers what it is said to, most of it can be built, and all of
// it is the same when it is drawn again and when it is replayed.
func TestJobsCoverTheRulesAndReplay(t *testing.T) {
	const n = 150
	quotes := 0
	var words []string
	seen := map[string]bool{}
	for number := range uint64(n) {
		a := compute(7, number)
		if again := compute(7, number); again.line() != a.line() {
			t.Errorf("%s, and again %s", a.line(), again.line())
		}
		words = append(words, strings.Fields(a.what)...)
		if a.refused {
			continue
		}
		quotes++
		if seen[string(a.document)] {
			t.Errorf("job %d is another job again", number)
		}
		seen[string(a.document)] = true
		if diff, err := quote.Replay(a.document); err != nil || len(diff) > 0 {
			t.Errorf("job %d: replay: %v %v", number, diff, err)
		}
	}
	if quotes*100 < n*leastQuotes {
		t.Errorf("%d of %d jobs are quotes", quotes, n)
	}
	want := []string{"straight", "corners", "closed", "junction", "traverse", "arc", "map"}
	for _, family := range spec.Families() {
		want = append(want, string(family))
	}
	for version := quote.MinRulesVersion; version <= quote.RulesVersion; version++ {
		want = append(want, fmt.Sprintf("rules-%d", version))
	}
	for _, word := range want {
		if !slices.Contains(words, word) {
			t.Errorf("no job of %s", word)
		}
	}
	all := strings.Join(sortedKeys(seen), "\n")
	for _, part := range []string{
		`"gates":[{`, `"slides":true`, `"ground":[{`, `"keep_outs":[{`, `"obstacles":[{`, `"pins":[{`, `"neighbours":[{`, `"chords":[`,
		`"movement":{`, `"humidity":"`, `"stain":{`, `"work":{`, `"conditions":{`, `"preferred_suppliers":[`, `"order_unit":"`,
		`"kind":"discount"`, `"currency":"JPY"`, `"currency":"BHD"`, `{"from":"12",`,
	} {
		if !strings.Contains(all, part) {
			t.Errorf("no document has %s", part)
		}
	}
}

func sortedKeys(set map[string]bool) []string {
	keys := make([]string, 0, len(set))
	for k := range set {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// A job is drawn alone as it is drawn among others, whatever the blocks.
func TestPrintedDigests(t *testing.T) {
	printed := func(j jobs) string {
		var b bytes.Buffer
		if err := j.print(t.Context(), &b); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	each := printed(jobs{seed: 1, first: 10, n: 30, block: 100, each: true})
	if alone := printed(jobs{seed: 1, first: 12, n: 1, block: 100, each: true}); !strings.Contains(each, strings.SplitAfter(alone, "\n")[0]) {
		t.Errorf("alone it is %s", alone)
	}
	blocks := strings.Split(strings.TrimSpace(printed(jobs{seed: 1, first: 10, n: 30, block: 20})), "\n")
	if len(blocks) != 3 || !strings.HasPrefix(blocks[0], "000010-000029 ") || !strings.HasPrefix(blocks[1], "000030-000039 ") {
		t.Errorf("blocks:\n%s", strings.Join(blocks, "\n"))
	}
	if total := strings.TrimSpace(each[strings.LastIndex(each, "total"):]); blocks[2] != total {
		t.Errorf("by blocks %s, by jobs %s", blocks[2], total)
	}
}

// A difference is told with the number of the job.
func TestDifferencesAreNamed(t *testing.T) {
	lines := []string{"000000 aa rules-4 wire map", "000001 bb rules-4 wire map", "total aabb"}
	other := []string{"000000 aa rules-4 wire map", "000001 bc rules-4 wire map", "total aabc"}
	var b strings.Builder
	w := bufio.NewWriter(&b)
	differ, err := tell(w, "one", lines, "two", other)
	_ = w.Flush()
	if err != nil || differ != 1 || !strings.Contains(b.String(), "two: 000001 bc") || strings.Contains(b.String(), "000000") {
		t.Errorf("%d, %v:\n%s", differ, err, b.String())
	}
	if _, err := tell(w, "one", lines, "two", other[1:]); err == nil {
		t.Error("lines that lack are no difference")
	}
}
