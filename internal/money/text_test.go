package money

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestParseDecimal(t *testing.T) {
	for _, text := range []string{
		"0", "1234.50", "-3.25", "0.0000000000000000001", "9999999999999999999", "99999999999999999.99", "12", "0.10",
	} {
		d, err := ParseDecimal(text)
		if err != nil || d.String() != text {
			t.Errorf("ParseDecimal(%q) = %v, %v", text, d, err)
		}
	}
	const plainly, digits = "expected plain digits such as 1234.50", "expected at most 19"
	for text, why := range map[string]string{
		"": plainly, " 1": plainly, "1 ": plainly, "1,234.50": plainly, "1.234,50": plainly, "1e3": plainly, "+1": plainly,
		"$5": plainly, ".5": plainly, "5.": plainly, "-": plainly, "--1": plainly, "007": plainly, "0x10": plainly, "NaN": plainly,
		"1_000": plainly, "١": plainly, "1\n": plainly,
		"10000000000000000000":   digits, // 20
		"1.0000000000000000000":  digits, // 19 decimals and a whole
		"0.00000000000000000001": digits,
		strings.Repeat("9", 70):  digits,
		strings.Repeat("é", 40):  "not a number",
	} {
		d, err := ParseDecimal(text)
		if err == nil || !d.IsZero() || !strings.Contains(err.Error(), why) {
			t.Errorf("ParseDecimal(%q) = %v, %v; want an error saying %q", text, d, err, why)
		}
	}
}

func TestFixed(t *testing.T) {
	for _, c := range []struct {
		amount string
		scale  int
		want   string
	}{
		{"12.5", 2, "12.50"}, {"12", 2, "12.00"}, {"12.345", 2, "12.35"}, {"-12.345", 2, "-12.35"}, {"0", 0, "0"},
		{"12.5", 0, "13"}, {"0.004", 2, "0.00"}, {"-0.004", 2, "0.00"}, {"1", 25, "1.0000000000000000000000000"},
		{"9999999999999999999", 4, "9999999999999999999.0000"}, // 19 digits and no room for more
		{"9.999", 2, "10.00"}, {"12.5", -3, "13"},
	} {
		if got := Fixed(dec(c.amount), c.scale); got != c.want {
			t.Errorf("Fixed(%s, %d) = %s, want %s", c.amount, c.scale, got, c.want)
		}
	}
}

func TestFixedReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := decimals().Draw(t, "amount")
		if got, err := ParseDecimal(Fixed(d, d.Scale())); err != nil || got.Cmp(d) != 0 {
			t.Fatalf("%v prints %s, which reads %v, %v", d, Fixed(d, d.Scale()), got, err)
		}
	})
}

func FuzzParseDecimal(f *testing.F) {
	for _, seed := range []string{"0", "-3.25", "1e3", "007", "9999999999999999999", "0.00000000000000000001", "1,5", "-0", ""} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		d, err := ParseDecimal(text)
		if err != nil {
			return
		}
		// What is read is what was written, digit for digit (but for a minus
		// before zero).
		want := text
		if d.IsZero() {
			want = strings.TrimPrefix(text, "-")
		}
		if d.String() != want {
			t.Fatalf("ParseDecimal(%q) = %v", text, d)
		}
	})
}
