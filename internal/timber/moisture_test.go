package timber

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// moisture reads a moisture that a test states.
func moisture(s string) Moisture {
	m, err := ParseMoisture(s)
	if err != nil {
		panic(err)
	}
	return m
}

func TestParseMoisture(t *testing.T) {
	for s, want := range map[string]struct {
		moisture Moisture
		text     string
	}{
		"12 %":    {1200, "12 %"},
		"12.5":    {1250, "12.5 %"},
		" 9.05% ": {905, "9.05 %"},
		"0.5 %":   {50, "0.5 %"},
		"0":       {0, "0 %"},
		"013.50":  {1350, "13.5 %"},
		"300 %":   {30000, "300 %"},
	} {
		got, err := ParseMoisture(s)
		if err != nil || got != want.moisture || got.String() != want.text {
			t.Errorf("ParseMoisture(%q) = %d (%v), %v; want %d (%s)", s, got, got, err, want.moisture, want.text)
		}
	}
	for s, want := range map[string]string{
		"":                        "expected a percentage",
		"%":                       "expected a percentage",
		"12.":                     "at most two decimals",
		"12.345":                  "at most two decimals",
		".5":                      "expected a percentage",
		"-1 %":                    "expected a percentage",
		"12 % wet":                "expected a percentage",
		"1e2":                     "expected a percentage",
		"٣ %":                     "expected a percentage",
		"300.01":                  "expected at most 300 %",
		strings.Repeat("7", 1000): "expected a percentage",
	} {
		got, err := ParseMoisture(s)
		if err == nil || !strings.Contains(err.Error(), want) || len(err.Error()) > 200 {
			t.Errorf("ParseMoisture(%q) = %v, %v; want an error with %q", s, got, err, want)
		}
	}
}

func TestMoistureText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := Moisture(rapid.IntRange(0, int(MaxMoisture)).Draw(t, "moisture"))
		if got, err := ParseMoisture(m.String()); err != nil || got != m {
			t.Fatalf("%v reads back as %v, %v", m, got, err)
		}
	})
	if got := Moisture(-105).String(); got != "-1.05 %" {
		t.Errorf("a moisture below 0 is %q", got)
	}
}
