package actuals

import (
	"testing"
)

// Rates that are read are written and read again as they are.
func FuzzParseRates(f *testing.F) {
	for _, seed := range []string{"", "rate-fence 0.11 hour/ft", "an item of words 2 hour/each\nb 1 hour", " 1 ", "a b c", "\n\n"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		rates, err := ParseRates(text)
		if err != nil {
			return
		}
		again, err := ParseRates(RatesText(rates))
		if err != nil || RatesText(rates) != RatesText(again) {
			t.Fatalf("%q reads as %v, and written again as %v, %v", text, rates, again, err)
		}
	})
}
