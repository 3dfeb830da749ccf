package timber

import "testing"

// Sizes, species, conditions and moisture contents that are read print as they were
// written, moistures in their one form.
func FuzzText(f *testing.F) {
	for _, seed := range []string{"2x4", "western-red-cedar", "green", "12 %", "12.5 %", "0.001 %", "-1 %", "1e3", "x", "9999999999999999999 %"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if s, err := ParseSize(text); err == nil && s.String() != text {
			t.Errorf("ParseSize(%q) prints %q", text, s)
		}
		if s, err := ParseSpecies(text); err == nil && s.String() != text {
			t.Errorf("ParseSpecies(%q) prints %q", text, s)
		}
		for _, use := range []Use{Installed, InService} {
			_, _ = ParseCondition(use, text)
		}
		m, err := ParseMoisture(text)
		if err != nil {
			return
		}
		again, err := ParseMoisture(m.String())
		if err != nil || again != m {
			t.Errorf("ParseMoisture(%q) prints %q, which reads as %v, %v", text, m, again, err)
		}
	})
}
