package paper

import (
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
)

func mustLocale(t testing.TB, name string) locale {
	t.Helper()
	l, err := newLocale(name)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// Separators and grouping by CLDR (seen in its charts of number patterns: en
// 1,234,567.89; de 1.234.567,89; de-CH 1'234'567.89 with U+2019; hi and en-IN
// 12,34,567.89).
func TestNumbers(t *testing.T) {
	for name, want := range map[string]string{
		"en-US": "-1,234,567.80", "de-DE": "-1.234.567,80", "de-CH": "-1\u2019234\u2019567.80", "en-IN": "-12,34,567.80",
	} {
		if got := mustLocale(t, name).number("-1234567.80"); got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
	for in, want := range map[string]string{"0": "0", "0.05": "0.05", "999": "999", "1000": "1,000", "1234567890123456789": "1234567890123456789"} {
		l := mustLocale(t, "en-US")
		if got := l.number(in); got != want && in != "1234567890123456789" {
			t.Errorf("%s: %s", in, got)
		} else if in == "1234567890123456789" && len(stripped(got)) != 19 {
			t.Errorf("%s: %s loses digits", in, got)
		}
	}
	// Exact where a float is not: 2^53 + 1 cents.
	if got := mustLocale(t, "en-US").amount(decimal.MustParse("90071992547409.93"), "USD"); got != "90,071,992,547,409.93" {
		t.Error(got)
	}
}

func stripped(s string) (digits string) {
	for _, r := range s {
		if r >= '0' && r <= '9' {
			digits += string(r)
		}
	}
	return digits
}

func TestDates(t *testing.T) {
	for name, want := range map[string]string{"en-US": "March 6, 2026", "en": "March 6, 2026", "en-GB": "6 March 2026", "de-CH": "2026-03-06"} {
		if got := mustLocale(t, name).date(civil.Must("2026-03-06")); got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
	if got := mustLocale(t, "en-US").date(civil.Date{}); got != "" {
		t.Error(got)
	}
}

func TestPercent(t *testing.T) {
	l := mustLocale(t, "en-US")
	for _, c := range []struct{ d, of, want string }{
		{"5", "100", "+5.0 %"}, {"-5", "100", "-5.0 %"}, {"1", "3", "+33.3 %"}, {"0", "3", "0.0 %"}, {"-0.001", "100", "0.0 %"}, {"1", "0", ""}, {"12.25", "1", "+1,225.0 %"},
	} {
		if got := l.percent(dec(c.d), dec(c.of)); got != c.want {
			t.Errorf("%s of %s: %s, want %s", c.d, c.of, got, c.want)
		}
	}
}
