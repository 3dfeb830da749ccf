package takeoff

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/measure"
	"wattle/internal/spec"
	"wattle/internal/timber"
)

func moving(species, from, to string, change ...func(*spec.Spec)) spec.Spec {
	return sixFoot(append([]func(*spec.Spec){func(s *spec.Spec) {
		s.Moisture = spec.Moisture{Species: species, Installed: from, Service: to}
	}}, change...)...)
}

// [WOOD-6] through the count of three bays of 8 ft: 291-1/2 in, 53 boards.
func TestMovementIsCounted(t *testing.T) {
	gap := func(l string) func(*spec.Spec) { return func(s *spec.Spec) { s.Boards.Gap = measure.Must(l) } }
	apply := func(s *spec.Spec) { s.Moisture.ApplyGap = true }
	for _, c := range []struct {
		species, from, to string
		change            []func(*spec.Spec)
		want              string // change, advised gap, gap, gap in service, push; boards
		form              string
		caution           string
	}{
		{"western redcedar", "green", "12 %", nil, "-0.165 0.000 0.000 0.165 0.000 in; 53 boards", "wide",
			"gap-opens Boards of western redcedar at 30 % moisture, hung tight, shrink 0.165 in each by the time they are at 12 %, and stand 0.165 in apart in service."},
		{"southern pine", "green", "12 %", nil, "-0.264 0.000 0.000 0.264 0.000 in; 53 boards", "wide",
			"gap-opens Boards of southern pine at 30 % moisture, hung tight, shrink 0.264 in each by the time they are at 12 %, and stand 0.264 in apart in service."},
		// 53 x 0.07722 in
		{"western redcedar", "8 %", "14 %", nil, "0.077 0.125 0.000 -0.077 4.093 in; 53 boards", "narrow",
			"no-gap-for-swell Boards of western redcedar at 8 % moisture, hung tight, will swell 0.077 in each by the time they are at 14 %: " +
				"the 53 boards of P1 to P4 become 4.093 in too wide together and push off the rails; leave at least 1/8 in between them."},
		// 291.5 / 5.625 = 51.8
		{"western redcedar", "8 %", "14 %", []func(*spec.Spec){apply}, "0.077 0.125 0.125 0.048 0.000 in; 52 boards", "narrow", ""},
		// 291.5 / 5.5625 = 52.4; 53 x (0.07722 - 0.0625) in
		{"western redcedar", "8 %", "14 %", []func(*spec.Spec){gap("1/16 in")}, "0.077 0.125 0.063 -0.015 0.780 in; 53 boards", "narrow",
			"no-gap-for-swell Boards of western redcedar at 8 % moisture, hung 0.063 in apart, will swell"},
		{"western redcedar", "8 %", "14 %", []func(*spec.Spec){gap("0.08 in")}, "0.077 0.125 0.080 0.003 0.000 in; 53 boards", "narrow", ""},
		// Past the limit of the narrow form its part goes on to count: see spec.Movement.
		{"western redcedar", "8 %", "15 %", nil, "0.077 0.125 0.000 -0.077 4.093 in; 53 boards", "narrow", "no-gap-for-swell Boards of western redcedar at 8 % moisture"},
		{"redwood", "12 %", "12 %", nil, "0.000 0.000 0.000 0.000 0.000 in; 53 boards", "narrow", ""},
	} {
		k := tookOff(t, hill("8 ft, 8 ft, 8 ft"), moving(c.species, c.from, c.to, c.change...), nil)
		m := k.Movement
		got := thousandths(m.Change) + " " + thousandths(m.AdvisedGap) + " " + thousandths(m.Gap) + " " + thousandths(m.ServiceGap) + " " + thousandths(m.Push) +
			" in; " + amountOf(k.Faces[0].Boards, "board")
		if got != c.want || m.Form != c.form {
			t.Errorf("%s, %s to %s: %s by the %s form\nwant %s by the %s form", c.species, c.from, c.to, got, m.Form, c.want, c.form)
		}
		if got := movingCautions(k); c.caution == "" && got != "" || !strings.HasPrefix(got, c.caution) {
			t.Errorf("%s, %s to %s: %s\nwant %s", c.species, c.from, c.to, got, c.caution)
		}
	}
	if k := tookOff(t, hill("8 ft"), sixFoot(), nil); k.Movement != nil {
		t.Error("a movement of no species")
	}
}

// thousandths is a length in inches, with three decimals.
func thousandths(l measure.Length) string {
	mils, _ := measure.MulDivRound(int64(l), 1000, int64(measure.Inch))
	sign := ""
	if mils < 0 {
		sign, mils = "-", -mils
	}
	return fmt.Sprintf("%s%d.%03d", sign, mils/1000, mils%1000)
}

func movingCautions(k *Takeoff) string {
	var all []string
	for _, c := range k.Cautions {
		if slices.Contains([]string{"gap-opens", "no-gap-for-swell"}, c.Code) {
			all = append(all, c.Code+" "+c.Text)
		}
	}
	return strings.Join(all, "\n")
}

func TestMovementIsTold(t *testing.T) {
	says(t, tookOff(t, hill("8 ft, 8 ft, 8 ft"), moving("western redcedar", "8 %", "14 %"), nil), "board-1x6-6ft",
		"Boards of western redcedar swell from 8 % to 14 %: 5-1/2 in x 0.00234 for each percent x 6 % = 0.0772 in.",
		"0.0772 in of swell asks for a gap = 0.0772 in, rounded up to 1/16 in: 1/8 in.",
		"P1 to P4: boards hung 0 in apart push one another: (0.0772 in of swell - 0 in) x 53 boards = 4.0927 in.")
	says(t, tookOff(t, hill("8 ft, 8 ft, 8 ft"), moving("southern pine", "50 %", "12 %"), nil), "board-1x6-6ft",
		"Boards of southern pine shrink from 30 % to 12 %, moisture above 30 %, where the fibres are saturated, counting as that: 5-1/2 in x 18 % / (30 x 100 / 8 - 30 + 30 %) = 0.264 in.",
		"0 in apart as hung + 0.264 in of shrinkage in service = 0.264 in.")
	says(t, tookOff(t, hill("8 ft, 8 ft, 8 ft"), moving("western redcedar", "8 %", "15 %"), nil), "board-1x6-6ft",
		"Boards of western redcedar swell from 8 % to 14 % (of the whole way, 8 % to 15 %, the wide form gives 0.0666 in, which is less than this part of it alone by the narrow form, so the part counts): 5-1/2 in x 0.00234 for each percent x 6 % = 0.0772 in.")
}

// Boards of two rows stand far apart in a row, so none pushes; but they may
// shrink past what they cover.
func TestMovementOfRows(t *testing.T) {
	rows := func(overlap string) func(*spec.Spec) {
		return func(s *spec.Spec) { s.Boards.Pattern, s.Boards.Overlap = spec.BoardOnBoard, measure.Must(overlap) }
	}
	k := tookOff(t, hill("8 ft"), moving("western redcedar", "8 %", "14 %", rows("1 in")), nil)
	if m := k.Movement; m.Gap != measure.Must("3.5 in") || m.Push != 0 || movingCautions(k) != "" {
		t.Errorf("%+v\n%s", m, movingCautions(k))
	}
	k = tookOff(t, hill("8 ft"), moving("southern pine", "green", "12 %", rows("1/4 in")), nil)
	if got := movingCautions(k); !strings.HasSuffix(got, "which is more than they cover one another by, 0.25 in.") {
		t.Error(got)
	}
}

func TestBadMoistureIsRefused(t *testing.T) {
	s := moving("balsa", "green", "12 %")
	if _, err := Count(hill("8 ft"), s, nil); err == nil || !strings.Contains(err.Error(), "spec.moisture.species") {
		t.Error(err)
	}
}

// Hung with the advised gap, boards of every wood push nothing, whatever they are
// hung at and stay at; what becomes of the gap is what they change.
func TestAdvisedGapPushesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		percent := rapid.IntRange(int(timber.NarrowFrom), int(timber.NarrowTo))
		species := rapid.SampledFrom(timber.AllSpecies()).Draw(t, "species")
		if _, _, wide := species.Shrinkage(); wide && rapid.Bool().Draw(t, "wide") {
			percent = rapid.IntRange(0, 12_000)
		}
		from, to := timber.Moisture(percent.Draw(t, "from")), timber.Moisture(percent.Draw(t, "to"))
		s := moving(string(species), from.String(), to.String(), func(s *spec.Spec) { s.Moisture.ApplyGap = true })
		k, err := Count(hill("8 ft, 7 ft"), s, nil)
		if err != nil {
			t.Fatal(err)
		}
		m := k.Movement
		if m.Push != 0 || strings.Contains(movingCautions(k), "no-gap-for-swell") || m.Gap != m.AdvisedGap {
			t.Fatalf("%+v\n%s", m, movingCautions(k))
		}
		if m.ServiceGap != m.Gap-m.Change || m.ServiceGap < 0 || (m.Change < 0) != strings.Contains(movingCautions(k), "gap-opens") {
			t.Fatalf("%+v\n%s", m, movingCautions(k))
		}
	})
}
