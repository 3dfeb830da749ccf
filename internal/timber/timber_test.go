package timber

import (
	"fmt"
	"math/big"
	"strings"
	"testing"

	"wattle/internal/measure"
)

// [LUM-1: engineeringtoolbox.com softwood-lumber-dimensions, from PS 20], but
// for the rows that say otherwise.
func TestDressedSizes(t *testing.T) {
	want := map[Size][2]string{
		"1x4": {"3/4 in", "3-1/2 in"},
		"1x6": {"3/4 in", "5-1/2 in"},
		"2x4": {"1-1/2 in", "3-1/2 in"},
		"2x6": {"1-1/2 in", "5-1/2 in"},
		"2x8": {"1-1/2 in", "7-1/4 in"},
		"4x4": {"3-1/2 in", "3-1/2 in"},
		"4x6": {"3-1/2 in", "5-1/2 in"},
		"6x6": {"5-1/2 in", "5-1/2 in"},
		// from memory
		"1x3":   {"3/4 in", "2-1/2 in"},
		"1x8":   {"3/4 in", "7-1/4 in"},
		"5/4x6": {"1 in", "5-1/2 in"},
	}
	for _, size := range Sizes() {
		thickness, width := size.Dressed()
		if got := [2]string{thickness.String(), width.String()}; got != want[size] {
			t.Errorf("%s measures %v, want %v", size, got, want[size])
		}
		delete(want, size)
	}
	for size := range want {
		t.Errorf("%s is not in the table", size)
	}
}

func TestNominal(t *testing.T) {
	inches := func(l measure.Length) string {
		return strings.NewReplacer("1-1/4", "5/4", " in", "").Replace(l.String())
	}
	for _, size := range Sizes() {
		thickness, width := size.Nominal()
		if got := inches(thickness) + "x" + inches(width); got != string(size) {
			t.Errorf("%s is nominally %s", size, got)
		}
		dressedThickness, dressedWidth := size.Dressed()
		if dressedThickness >= thickness || dressedWidth >= width {
			t.Errorf("%s loses nothing in dressing", size)
		}
	}
}

func TestParseSize(t *testing.T) {
	for _, size := range Sizes() {
		if got, err := ParseSize(size.String()); err != nil || got != size || !got.Known() {
			t.Errorf("ParseSize(%q) = %q, %v", size, got, err)
		}
	}
	for _, text := range []string{"", "2X4", "2 x 4", "3x5", "2x4 "} {
		size, err := ParseSize(text)
		if err == nil || size != "" || !strings.Contains(err.Error(), "expected one of 1x3, 1x4, 1x6, ") {
			t.Errorf("ParseSize(%q) = %q, %v", text, size, err)
		}
		if thickness, width := Size(text).Dressed(); Size(text).Known() || thickness != 0 || width != 0 {
			t.Errorf("%q measures %v by %v", text, thickness, width)
		}
	}
}

// [LUM-1w: same page] lb/ft at 35 lb/ft3, within 0.01.
func TestPoundsPerFoot(t *testing.T) {
	for size, want := range map[Size]string{"1x6": "1.00", "2x4": "1.28", "2x6": "2.00", "4x4": "2.98"} {
		published, _ := new(big.Rat).SetString(want)
		got := size.PoundsPerFoot(35)
		if off := published.Sub(published, got.Big()); off.Abs(off).Cmp(big.NewRat(1, 100)) > 0 {
			t.Errorf("%s weighs %s lb/ft, want %s", size, got.Fixed(4), want)
		}
	}
	if got := Size("").PoundsPerFoot(35); got.Sign() != 0 {
		t.Errorf("no size weighs %v", got)
	}
}

// [LUM-3] board feet = nominal T(in) W(in) L(ft) / 12.
func TestBoardFeet(t *testing.T) {
	for _, c := range []struct{ thickness, width, length, want string }{
		{"1 in", "3 in", "8 ft", "2"},
		{"1 in", "12 in", "10 ft", "10"},
		{"1/2 in", "12 in", "10 ft", "10"}, // under 1 in counts as 1 in (PS 20, from memory)
		{"5/4 in", "6 in", "8 ft", "5"},
		{"0 in", "12 in", "10 ft", "0"},
	} {
		got := BoardFeet(measure.Must(c.thickness), measure.Must(c.width), measure.Must(c.length))
		if got.String() != c.want {
			t.Errorf("%s x %s x %s: %s board feet, want %s", c.thickness, c.width, c.length, got.String(), c.want)
		}
	}
	if got := Size("1x3").BoardFeet(measure.Must("8 ft")).String(); got != "2" {
		t.Errorf("a 1x3 of 8 ft: %s board feet, want 2", got)
	}
}

func ExampleSize_Dressed() {
	//    |<-3-1/2 in->|
	//    +------------+
	//    |    2x4     |  1-1/2 in
	//    +------------+
	thickness, width := Size("2x4").Dressed()
	fmt.Println(thickness, "by", width)
	// Output: 1-1/2 in by 3-1/2 in
}
