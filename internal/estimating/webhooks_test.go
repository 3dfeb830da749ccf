package estimating_test

import (
	"slices"
	"testing"

	"wattle/internal/estimating"
	"wattle/internal/office"
	"wattle/internal/quote"
)

// A webhook hears what a key of its office is told of: quotes of the offices
// under it, or where the company keeps them apart its own alone; prices of those
// above it too; and specs, which are the whole company's.
func TestAWebhookHearsWhatItsOfficeDoes(t *testing.T) {
	tree := office.NewTree([]office.Office{{ID: "main"}, {ID: "north", Parent: "main"}, {ID: "yard", Parent: "north"}, {ID: "south", Parent: "main"}})
	for _, c := range []struct {
		kind, hook string
		above      bool
		from       []string // of the four offices
	}{
		{estimating.QuoteIssued, "main", true, []string{"main", "north", "south", "yard"}},
		{estimating.QuoteIssued, "main", false, []string{"main"}},
		{estimating.QuoteIssued, "north", true, []string{"north", "yard"}},
		{estimating.QuoteIssued, "north", false, []string{"north"}},
		{estimating.QuoteIssued, "yard", true, []string{"yard"}},
		{estimating.PricesImported, "north", true, []string{"main", "north", "yard"}},
		{estimating.PricesImported, "yard", false, []string{"main", "north", "yard"}},
		{estimating.SpecSaved, "yard", false, []string{"main", "north", "south", "yard"}},
	} {
		var got []string
		for _, from := range []string{"main", "north", "south", "yard"} {
			e := estimating.Event{Company: "harrow", Type: c.kind, Office: from}
			w := estimating.Webhook{Company: "harrow", Office: c.hook}
			if w.Hears(e, tree, c.above) {
				got = append(got, from)
			}
			w.Types = []string{"another.type"}
			if w.Hears(e, tree, c.above) {
				t.Errorf("%s is heard by a webhook for another type", c.kind)
			}
		}
		if !slices.Equal(got, c.from) {
			t.Errorf("%s, webhook of %s, quotes from above %v: heard from %v, want %v", c.kind, c.hook, c.above, got, c.from)
		}
	}
}

// Each state of a quote has its own type of event, and all are known.
func TestEventTypes(t *testing.T) {
	types := estimating.EventTypes()
	if !slices.IsSorted(types) || len(slices.Compact(slices.Clone(types))) != len(types) {
		t.Errorf("types %v", types)
	}
	for _, s := range quote.States() {
		if !slices.Contains(types, estimating.QuoteEvent(s)) {
			t.Errorf("the event of %s is not among the types", s)
		}
	}
}
