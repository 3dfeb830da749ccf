package measure

import (
	"math/big"
	"slices"
	"testing"
)

func TestUnitRatio(t *testing.T) {
	for _, c := range []struct{ from, to, want string }{
		// By definition.
		{"ft", "m", "0.3048"}, {"in", "mm", "25.4"}, {"yd", "ft", "3"}, {"lb", "kg", "0.45359237"}, {"lb", "oz", "16"},
		{"yd3", "ft3", "27"}, {"yd2", "ft2", "9"}, {"m3", "l", "1000"}, {"gal", "qt", "4"}, {"gal", "l", "3.785411784"},
		{"ft3", "l", "28.316846592"}, {"ton", "lb", "2000"}, {"cwt", "lb", "100"}, {"t", "kg", "1000"},
		{"gross", "dozen", "12"}, {"thousand", "each", "1000"}, {"hour", "minute", "60"},
		{"ft3", "gal", "1728/231"}, {"m", "ft", "1250/381"},
		{"hour/m", "hour/ft", "0.3048"}, {"minute/yd", "hour/ft", "1/180"}, {"hour/each", "hour/dozen", "12"},
		{"bag", "bag", "1"}, {"hour/leaf", "hour/leaf", "1"},
		// No fixed number.
		{"bag", "ft3", ""}, {"ft", "lb", ""}, {"each", "pallet", ""}, {"hour", "day", ""}, {"hour/ft", "hour", ""},
		{"hour/leaf", "hour/each", ""}, {"", "each", ""}, {"M", "m", ""},
	} {
		got, ok := UnitRatio(c.from, c.to)
		if ok != (c.want != "") {
			t.Errorf("%s in %s: %v, %v", c.from, c.to, got, ok)
			continue
		}
		if want, _ := new(big.Rat).SetString(c.want); ok && got.Big().Cmp(want) != 0 {
			t.Errorf("%s in %s: %v, want %s", c.from, c.to, got, c.want)
		}
	}
}

// There and back is one, over any unit between.
func TestUnitRatiosAgree(t *testing.T) {
	for _, kind := range unitKinds {
		for _, a := range kind {
			for _, b := range kind {
				for _, c := range kind {
					ab, _ := UnitRatio(a.name, b.name)
					bc, _ := UnitRatio(b.name, c.name)
					ac, ok := UnitRatio(a.name, c.name)
					if !ok || ab.Mul(bc).Cmp(ac) != 0 {
						t.Errorf("%s in %s over %s: %v, directly %v", a.name, c.name, b.name, ab, ac)
					}
				}
			}
		}
	}
	if got := UnitsLike("hour/ft"); !slices.Equal(got, []string{"hour/in", "hour/yd", "hour/mm", "hour/cm", "hour/m"}) {
		t.Errorf("like hour/ft: %v", got)
	}
	if got := UnitsLike("bag"); got != nil {
		t.Errorf("like a bag: %v", got)
	}
}
