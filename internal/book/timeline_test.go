package book

import (
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/civil"
)

// On every day of a window a timeline says what Resolve says, with what is known
// now and with what was known then, and changes only where the answer does.
func TestTimelineLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		// Revisions are learned in order, at most one a day, so that the day
		// names what was known.
		learned := make(map[Revision]civil.Date)
		day := anyDate(t)
		for r := range Revision(6) {
			learned[r] = day
			day = day.AddDays(rapid.IntRange(1, 3).Draw(t, "days"))
		}
		entries := rapid.SliceOfNDistinct(rapid.Custom(anyEntry), 0, 30, func(e Entry) slotAt { return slotAt{e.slot(), e.Revision} }).Draw(t, "entries")
		history := make([]Learned, len(entries))
		for i, e := range entries {
			history[i] = Learned{e, learned[e.Revision]}
		}
		q := Query{
			Items: []string{"post"}, Offices: rapid.SampledFrom([][]string{{"main"}, {"west", "main"}}).Draw(t, "offices"),
			Revision: Revision(rapid.IntRange(0, 6).Draw(t, "at")), Currency: "USD",
		}
		from := anyDate(t)
		w := Window{from, from.AddDays(rapid.IntRange(0, 12).Draw(t, "length"))}
		then := rapid.Bool().Draw(t, "then")
		spans := Timeline("post", history, q, w, then)
		if len(spans) == 0 || spans[0].From != w.From {
			t.Fatalf("spans %v do not begin with %v", spans, w)
		}
		in := 0
		for on := w.From; on.Compare(w.To) <= 0; on = on.AddDays(1) {
			if in+1 < len(spans) && spans[in+1].From == on {
				in++
			}
			ask := q
			ask.AsOf = on
			if then {
				for r := ask.Revision; r > 0; r-- {
					if at, ok := learned[r]; !ok || at.Compare(on) > 0 {
						ask.Revision = r - 1
					}
				}
			}
			// A note may be of the span's first day.
			if want, got := Resolve(entries, ask)[0], spans[in].Resolved; !reflect.DeepEqual(got.Offers, want.Offers) || spans[in].From == on && got.Note != want.Note {
				t.Fatalf("on %v, then %v: %s, want %s", on, then, answer(got), answer(want))
			}
		}
		if in != len(spans)-1 {
			t.Fatalf("%d spans of %d lie in the window", in+1, len(spans))
		}
	})
}
