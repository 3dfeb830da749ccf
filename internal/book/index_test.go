package book

import (
	"os"
	"strings"
	"testing"

	"wattle/internal/civil"
)

// learn is the history after each file of entries is imported in turn.
func learn(files ...[]Entry) []Entry {
	var history []Entry
	for i, file := range files {
		history = apply(history, Revision(i+1), Import{Mode: Patch, Entries: file})
	}
	return history
}

// [PRC-3: US BLS producer price indexes, one month read at two dates] The later
// reading corrects the earlier one; an "as known then" query still returns the
// earlier.
func TestWhatWasKnownThen(t *testing.T) {
	readings := []struct{ item, month, earlier, later string }{
		{"WPU0811", "2025-12-01", "250.174", "250.132"},
		{"WPU0811", "2026-01-01", "260.002", "259.987"},
		{"WPU0811", "2026-03-01", "267.927", "268.274"},
		{"WPU081", "2025-02-01", "268.277", "269.404"},
	}
	var earlier, later []Entry
	for _, r := range readings {
		earlier = append(earlier, entry(r.item+" "+r.month+" "+r.earlier))
		later = append(later, entry(r.item+" "+r.month+" "+r.later))
	}
	history := learn(earlier, later)
	for _, r := range readings {
		for known, want := range map[Revision]string{1: r.earlier, 2: r.later} {
			q := Query{Offices: []string{MainOffice}, Items: []string{r.item}, AsOf: civil.Must(r.month), Revision: known}
			offers := Resolve(history, q)[0].Offers
			if len(offers) != 1 || offers[0].Revision != known || offers[0].Breaks[0].Price.String() != want {
				t.Errorf("%s of %s as known at revision %d: %v, want %s", r.item, r.month, known, offers, want)
			}
		}
	}
}

// [PRC-1: US BLS WPU081, lumber; percentages computed there] April 2020 to May
// 2021 +125.92 %, May to September 2021 -40.39 %.
func TestPercentOfTheLumberIndex(t *testing.T) {
	b, err := os.ReadFile("../../../shared/reference/lumber-index.tsv")
	if err != nil {
		t.Skip("the lumber index is not beside the checkout: ", err)
	}
	index := make(map[string]string)
	for row := range strings.Lines(string(b)) {
		if month, value, ok := strings.Cut(strings.TrimSpace(row), "\t"); ok {
			index[month] = value
		}
	}
	var history []Entry
	for _, c := range []struct{ month, want string }{{"2020-04", "0"}, {"2021-05", "125.92"}, {"2021-09", "-40.39"}} {
		in := Import{Mode: Patch, Entries: entries("lumber " + c.month + "-01 " + index[c.month])}
		changes, _ := Plan(history, in)
		if len(changes) != 1 || changes[0].Percent.String() != c.want {
			t.Errorf("to %s: %v, want %s %%", c.month, changes, c.want)
		}
		history = apply(history, Revision(len(history)+1), in)
	}
}

// A price that goes and comes back is a change each time: nothing is compared
// with what was superseded.
func TestThereAndBackAgain(t *testing.T) {
	a, b := entries("post 2026-01-01 10"), entries("post 2026-01-01 12")
	if history := learn(a, b, a, b); len(history) != 4 {
		t.Errorf("%d entries stored, want 4: %v", len(history), history)
	}
	if history := learn(a, a, b, b); len(history) != 2 {
		t.Errorf("%d entries stored, want 2: %v", len(history), history)
	}
}

// A price learned late holds from its own date, and until the date of the price
// that was already known after it.
func TestBackDated(t *testing.T) {
	history := learn(entries("post 2026-01-01 10", "post 2026-06-01 13"), entries("post 2026-03-01 11"))
	for day, want := range map[string]string{
		"2026-02-28": "post 2026-01-01#1 10", "2026-03-01": "post 2026-03-01#2 11",
		"2026-05-31": "post 2026-03-01#2 11", "2026-06-01": "post 2026-06-01#1 13",
	} {
		q := Query{Offices: []string{MainOffice}, Items: []string{"post"}, AsOf: civil.Must(day), Revision: 2}
		if got := answer(Resolve(history, q)[0]); got != want {
			t.Errorf("on %s: %s, want %s", day, got, want)
		}
	}
}
