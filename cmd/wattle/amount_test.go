package main

import (
	"strings"
	"testing"
)

func TestAmount(t *testing.T) {
	for _, c := range []struct{ in, amount, difference string }{
		{"0", "0.00", "0.00"},
		{"12.4", "12.40", "+12.40"},
		{"-0.8", "-0.80", "-0.80"},
		{"-999.125", "-999.125", "-999.125"},
		{"1234567.5000", "1,234,567.50", "+1,234,567.50"},
		{"", "", ""},
		{"many", "many", "many"},
	} {
		if got := amount(c.in); got != c.amount {
			t.Errorf("amount(%q) = %q, want %q", c.in, got, c.amount)
		}
		if got := difference(c.in); got != c.difference {
			t.Errorf("difference(%q) = %q, want %q", c.in, got, c.difference)
		}
	}
}

// What callers wrote, such as a quote's reference, is no formula to whoever opens
// a list in a spreadsheet; figures stay figures.
func TestCSVIsNoFormula(t *testing.T) {
	t.Parallel()
	list := newTable("reference", "change")
	list.add(`=HYPERLINK("x")`, "-12.50")
	list.add("yard", "+3")
	var out strings.Builder
	if err := list.print(&out, asCSV); err != nil {
		t.Fatal(err)
	}
	if want := "reference,change\n\"'=HYPERLINK(\"\"x\"\")\",-12.50\nyard,+3\n"; out.String() != want {
		t.Errorf("%q, want %q", out.String(), want)
	}
}
