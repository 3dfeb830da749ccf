package book

import (
	"errors"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/fault"
)

func TestJumps(t *testing.T) {
	for _, c := range []struct {
		old, new, limit string
		want            bool
	}{
		{"post 2026-01-01 10.00", "post 2026-02-01 13.00", "30", false},
		{"post 2026-01-01 10.00", "post 2026-02-01 13.01", "30", true},
		{"post 2026-01-01 10.00", "post 2026-02-01 7.00", "30", false},
		{"post 2026-01-01 10.00", "post 2026-02-01 6.99", "30", true},
		{"post 2026-01-01 10.00", "post 2026-02-01 6.99", "0", false}, // none is looked for
		{"post 2026-01-01 10.00", "post 2026-02-01 10.06", "0.5", true},
		{"post 2026-01-01 0", "post 2026-02-01 0.01", "99999", true},
		{"post 2026-01-01 0.01", "post 2026-02-01 0", "30", true},
		{"post 2026-01-01 0", "post 2026-02-01 0", "30", false},
		// At any quantity at which either has a break, not only the first.
		{"post 2026-01-01 10,100:9", "post 2026-02-01 10,100:90", "30", true},
		{"post 2026-01-01 10", "post 2026-02-01 10,100:4", "30", true},
		{"post 2026-01-01 10,100:4", "post 2026-02-01 10", "30", true},
		{"post 2026-01-01 10,100:9", "post 2026-02-01 10,50:9", "30", false},
		// Digits of the product outgrow a decimal's.
		{"post 2026-01-01 999999999.999999", "post 2026-02-01 999999999.999998", "33.3333", false},
		{"post 2026-01-01 999999999.999999", "post 2026-02-01 1", "33.3333", true},
		{"post 2026-01-01 10", "post 2026-02-01 withdrawn", "30", false},
		{"post 2026-01-01 withdrawn", "post 2026-02-01 10", "30", false},
	} {
		old, e := entry(c.old), entry(c.new)
		if got := ChangeOf(&old, e).Jumps(decimal.MustParse(c.limit)); got != c.want {
			t.Errorf("%s to %s jumps over %s %%: %v", c.old, c.new, c.limit, got)
		}
	}
	cad, usd := entry("post 2026-01-01 10"), entry("post 2026-02-01 99")
	cad.Currency = "CAD"
	if c := ChangeOf(&cad, usd); !c.OtherUnit() || c.Jumps(DefaultJumpLimit) {
		t.Error("a price in another currency cannot be compared")
	}
	if ChangeOf(nil, usd).Jumps(DefaultJumpLimit) || ChangeOf(nil, usd).OtherUnit() {
		t.Error("a new item jumps")
	}
}

// A change that stays within a limit stays within every higher one, and back
// and forth by less than half is seen from both sides.
func TestJumpLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyEntry(t), anyEntry(t)
		low := decimal.MustNew(rapid.Int64Range(1, 2000).Draw(t, "low"), 1)
		high := decimal.MustNew(rapid.Int64Range(2000, 4000).Draw(t, "high"), 1)
		c := ChangeOf(&a, b)
		if c.Jumps(high) && !c.Jumps(low) {
			t.Fatalf("%v to %v jumps over %v and not over %v", a, b, high, low)
		}
		if ChangeOf(&a, a).Jumps(low) {
			t.Fatalf("%v jumps to itself", a)
		}
		if c.Jumps(low) && c.OtherUnit() {
			t.Fatalf("%v to %v is both", a, b)
		}
	})
}

func TestNoticesAndRefusal(t *testing.T) {
	history := entries("post 2026-01-01#1 10.00", "rail 2026-01-01#1 6.00", "cap 2026-01-01#1 2.00")
	in := Import{Mode: Patch, JumpLimit: DefaultJumpLimit, Entries: entries(
		"post 2026-02-01 14.00", "rail 2026-02-01 6.10", "cap 2026-02-01 2.00", "gate 2026-02-01 90", "gate/acre 2026-02-01 91", "post/acre 2026-02-01 1")}
	in.Entries[2].Unit = "dozen"
	changes, _ := Plan(history, in)
	o := Notices(changes, history, in)
	if want := (Counts{Added: 3, Repriced: 2, Altered: 1, Jumps: 1, UnitChanges: 1, UnknownItems: 1}); o.Counts != want {
		t.Errorf("%+v, want %+v", o.Counts, want)
	}
	for _, c := range []struct {
		accept func(*Import)
		reason string
		lines  []string
	}{
		{func(*Import) {}, "PRICE_JUMPS", []string{
			"post, 2026-02-01: the price jumps: 10.00 -> 14.00 USD/each (40.00 %)",
			"cap, 2026-02-01: another unit or currency: 2.00 USD/each -> 2.00 USD/dozen"}},
		{func(in *Import) { in.AcceptJumps = true }, "UNIT_CHANGES", []string{
			"cap, 2026-02-01: another unit or currency: 2.00 USD/each -> 2.00 USD/dozen"}},
		{func(in *Import) { in.AcceptJumps, in.AcceptUnitChanges = true, true }, "", nil},
		{func(in *Import) { in.AcceptJumps, in.AcceptUnitChanges, in.RefuseUnknownItems = true, true, true }, "UNKNOWN_ITEMS", []string{
			"gate: an unknown item"}},
	} {
		asked := in
		c.accept(&asked)
		err := o.Refusal(asked)
		if c.reason == "" {
			if err != nil {
				t.Errorf("refused: %v", err)
			}
			continue
		}
		e, ok := errors.AsType[*fault.Error](err)
		if !ok || e.Kind != fault.Refused || e.Reason != c.reason {
			t.Fatalf("%v, want %s", err, c.reason)
		}
		var lines []string
		for _, v := range e.Violations {
			lines = append(lines, v.Field+": "+v.Description)
		}
		if strings.Join(lines, "\n") != strings.Join(c.lines, "\n") {
			t.Errorf("%s:\n%s\nwant\n%s", c.reason, strings.Join(lines, "\n"), strings.Join(c.lines, "\n"))
		}
	}
}

func TestPricesOfZeroNeedConsent(t *testing.T) {
	const file = fewColumns + "a,2026-03-01,each,0.00,USD\nb,2026-03-01,each,-0.01,USD\n"
	for accept, want := range map[bool]int{false: 2, true: 1} { // negative never
		_, _, err := ParseCSV(strings.NewReader(file), CSVOptions{AcceptZeroPrices: accept})
		e, ok := errors.AsType[*fault.Error](err)
		if !ok || len(e.Violations) != want {
			t.Errorf("accepted %v: %v", accept, err)
		}
		in := Import{Mode: Patch, Entries: entries("a 2026-03-01 0", "b 2026-03-01 -0.01"), AcceptZeroPrices: accept}
		e, ok = errors.AsType[*fault.Error](in.Validate())
		if !ok || len(e.Violations) != want {
			t.Errorf("accepted %v: %v", accept, in.Validate())
		}
	}
}
