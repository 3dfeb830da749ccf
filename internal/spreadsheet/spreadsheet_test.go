package spreadsheet

import "testing"

func TestGuard(t *testing.T) {
	for text, want := range map[string]string{
		"": "", "post": "post", "4x4": "4x4", "=1+1": "'=1+1", "+1": "'+1", "-1": "'-1", "@SUM(A1)": "'@SUM(A1)", "\t=1": "'\t=1", "\r=1": "'\r=1",
		"＝1": "'＝1", "'=1": "''=1", "a=1": "a=1", "\xff=1": "\xff=1",
	} {
		if got := Guard(text); got != want || Unguard(got) != text {
			t.Errorf("%q: %q, back %q", text, got, Unguard(got))
		}
	}
}

func TestCell(t *testing.T) {
	for cell, want := range map[string]string{"-12.50": "-12.50", "+3": "+3", "0": "0", "": "", "-1+1": "'-1+1", "＝1": "'＝1", "Ash": "Ash"} {
		if got := Cell(cell); got != want {
			t.Errorf("%q: %q, expected %q", cell, got, want)
		}
	}
}
