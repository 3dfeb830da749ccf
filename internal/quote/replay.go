package quote

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"

	"wattle/internal/book"
)

// mostDifferences bounds a list of differences; the count beyond it is told.
const mostDifferences = 100

// Replay computes a stored document anew from the request it holds and lists
// what differs, by path; an empty list means equal bytes. A document made by
// rules this program cannot run is Refused (RULES_UNSUPPORTED).
func Replay(document []byte) ([]string, error) {
	r, _, err := ParseDocument(document)
	if err != nil {
		return nil, err
	}
	q, err := Build(r)
	if err != nil {
		return nil, err
	}
	again := Document(r, q)
	if string(again) == string(document) {
		return nil, nil
	}
	return DiffDocuments(document, again)
}

// DiffDocuments lists the paths at which two documents differ, in order.
func DiffDocuments(stored, computed []byte) ([]string, error) {
	var a, b any
	if err := json.Unmarshal(stored, &a); err != nil {
		return nil, fmt.Errorf("the stored document is not JSON: %w", err)
	}
	if err := json.Unmarshal(computed, &b); err != nil {
		return nil, fmt.Errorf("the computed document is not JSON: %w", err)
	}
	d := &differ{}
	d.walk("", a, b)
	if d.more > 0 {
		d.found = append(d.found, fmt.Sprintf("and %d more", d.more))
	}
	if len(d.found) == 0 {
		d.found = []string{"the documents hold the same values, spelled differently: one is not in canonical form"}
	}
	return d.found, nil
}

type differ struct {
	found []string
	more  int
}

func (d *differ) add(path string, a, b any) {
	if len(d.found) >= mostDifferences {
		d.more++
		return
	}
	d.found = append(d.found, fmt.Sprintf("%s: stored %s, computed %s", path, brief(a), brief(b)))
}

func (d *differ) walk(path string, a, b any) {
	switch x := a.(type) {
	case map[string]any:
		y, ok := b.(map[string]any)
		if !ok {
			d.add(path, a, b)
			return
		}
		keys := maps.Clone(x)
		maps.Copy(keys, y)
		for _, k := range slices.Sorted(maps.Keys(keys)) {
			sub := k
			if path != "" {
				sub = path + "." + k
			}
			d.walk(sub, x[k], y[k])
		}
	case []any:
		y, ok := b.([]any)
		if !ok {
			d.add(path, a, b)
			return
		}
		for i := range max(len(x), len(y)) {
			var xi, yi any
			if i < len(x) {
				xi = x[i]
			}
			if i < len(y) {
				yi = y[i]
			}
			d.walk(path+"["+strconv.Itoa(i)+"]", xi, yi)
		}
	default:
		switch b.(type) {
		case map[string]any, []any:
			d.add(path, a, b)
		default:
			if a != b {
				d.add(path, a, b)
			}
		}
	}
}

// brief is a value for a list of differences.
func brief(v any) string {
	if v == nil {
		return "nothing"
	}
	s, err := json.Marshal(v)
	if err != nil {
		return "?"
	}
	if r := []rune(string(s)); len(r) > 60 {
		return string(r[:57]) + "..."
	}
	return string(s)
}

// DiffPrices lists how prices resolved anew from history differ from those a
// quote was made with; none is what must be.
func DiffPrices(stored, again []book.Resolved) []string {
	write := func(prices []book.Resolved) []byte {
		c := &canon{}
		c.begin('{')
		writePrices(c, prices)
		c.end('}')
		return c.b
	}
	a, b := write(stored), write(again)
	if string(a) == string(b) {
		return nil
	}
	diff, err := DiffDocuments(a, b)
	if err != nil {
		return []string{err.Error()}
	}
	return diff
}
