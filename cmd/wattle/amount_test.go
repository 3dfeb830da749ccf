package main

import "testing"

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
