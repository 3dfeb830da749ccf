package measure

import (
	"slices"
	"strings"

	"wattle/internal/rational"
)

// Unit names are those that price lists and take-offs use: "ft", "lb", "each".
// Those of one kind convert into one another, and exactly: a foot is 0.3048 m
// and a pound 0.45359237 kg by definition, a gallon 231 in3, a ton 2,000 lb and
// a hundredweight 100 lb [NIST Handbook 44, appendix C; from memory]. What is no
// fixed number of anything (a bag, a roll, a box) converts into nothing.
var unitKinds = [][]unit{
	{{"in", 254, 10_000}, {"ft", 3048, 10_000}, {"yd", 9144, 10_000}, {"mm", 1, 1000}, {"cm", 1, 100}, {"m", 1, 1}},
	{{"ft2", 9_290_304, 100_000_000}, {"yd2", 83_612_736, 100_000_000}, {"m2", 1, 1}},
	{{"ft3", 28_316_846_592, 1_000_000_000_000}, {"yd3", 764_554_857_984, 1_000_000_000_000},
		{"gal", 3_785_411_784, 1_000_000_000_000}, {"qt", 946_352_946, 1_000_000_000_000}, {"l", 1, 1000}, {"m3", 1, 1}},
	{{"oz", 45_359_237, 1_600_000_000}, {"lb", 45_359_237, 100_000_000}, {"cwt", 4_535_923_700, 100_000_000},
		{"ton", 90_718_474_000, 100_000_000}, {"g", 1, 1000}, {"kg", 1, 1}, {"t", 1000, 1}},
	{{"each", 1, 1}, {"pair", 2, 1}, {"dozen", 12, 1}, {"hundred", 100, 1}, {"gross", 144, 1}, {"thousand", 1000, 1}},
	{{"minute", 1, 60}, {"hour", 1, 1}},
}

// unit is n/d of its kind's base.
type unit struct {
	name string
	n, d int64
}

// UnitRatio is how many of the unit to are one of the unit from, exactly; false
// where that is no fixed number. Rates convert part by part: an hour/m is 0.3048
// hour/ft.
//
//	UnitRatio("yd3", "ft3")  27
//	UnitRatio("ft", "m")     381/1250
//	UnitRatio("bag", "ft3")  none
//	UnitRatio("bag", "bag")  1
func UnitRatio(from, to string) (rational.Number, bool) {
	if from == to {
		return rational.Int(1), true
	}
	over, under, rate := strings.Cut(from, "/")
	toOver, toUnder, toRate := strings.Cut(to, "/")
	if rate != toRate {
		return rational.Number{}, false
	}
	if rate {
		a, ok := UnitRatio(over, toOver)
		b, ok2 := UnitRatio(under, toUnder)
		if !ok || !ok2 {
			return rational.Number{}, false
		}
		return a.Quo(b), true
	}
	for _, kind := range unitKinds {
		i := slices.IndexFunc(kind, func(u unit) bool { return u.name == from })
		j := slices.IndexFunc(kind, func(u unit) bool { return u.name == to })
		if i >= 0 && j >= 0 {
			a := rational.Of(kind[i].n, kind[i].d)
			return a.Quo(rational.Of(kind[j].n, kind[j].d)), true
		}
	}
	return rational.Number{}, false
}

// UnitsLike are the units that convert into one, itself left out; of a rate
// those of its lower part: hour/in and hour/m for hour/ft.
func UnitsLike(name string) []string {
	over, under, rate := strings.Cut(name, "/")
	if rate {
		all := UnitsLike(under)
		for i := range all {
			all[i] = over + "/" + all[i]
		}
		return all
	}
	var all []string
	for _, kind := range unitKinds {
		if !slices.ContainsFunc(kind, func(u unit) bool { return u.name == name }) {
			continue
		}
		for _, u := range kind {
			if u.name != name {
				all = append(all, u.name)
			}
		}
	}
	return all
}
