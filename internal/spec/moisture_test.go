package spec

import (
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/measure"
	"wattle/internal/timber"
)

func TestMoistureValidate(t *testing.T) {
	number := func(s string) *decimal.Decimal { return new(decimal.MustParse(s)) }
	for name, c := range map[string]struct {
		Moisture
		want []string
	}{
		"none":                           {Moisture{}, nil},
		"named":                          {Moisture{Species: "Western Redcedar", Installed: "Kiln-dried", Service: "temperate"}, nil},
		"measured":                       {Moisture{Species: "redwood", Installed: "12.5 %", Service: "9"}, nil},
		"from the weather":               {Moisture{Species: "redwood", Temperature: number("20"), Humidity: number("65")}, nil},
		"no species":                     {Moisture{Service: "12 %"}, []string{"spec.moisture.species: expected the species"}},
		"species":                        {Moisture{Species: "balsa", Service: "12 %"}, []string{`spec.moisture.species: "balsa" is not a wood known here; expected one of western redcedar`}},
		"no service":                     {Moisture{Species: "redwood"}, []string{"spec.moisture.service: expected the moisture in service, or"}},
		"service twice":                  {Moisture{Species: "redwood", Service: "12 %", Temperature: number("20"), Humidity: number("65")}, []string{"spec.moisture.service: the moisture in service is given twice"}},
		"no humidity":                    {Moisture{Species: "redwood", Temperature: number("20")}, []string{"spec.moisture.humidity: expected a temperature and a humidity together"}},
		"bad weather":                    {Moisture{Species: "redwood", Temperature: number("99"), Humidity: number("101")}, []string{"spec.moisture.temperature: expected -30 to 70", "spec.moisture.humidity: expected a relative humidity"}},
		"conditions":                     {Moisture{Species: "redwood", Installed: "damp", Service: "moon"}, []string{"spec.moisture.installed: expected a moisture such as 12 %, or a condition: \"damp\"", "spec.moisture.service: expected a moisture such as 12 %, or a condition: \"moon\""}},
		"a climate is no way to install": {Moisture{Species: "redwood", Installed: "temperate", Service: "12 %"}, []string{"spec.moisture.installed: "}},
		"no wide form":                   {Moisture{Species: "Japanese cedar", Installed: "8 %", Service: "15 %"}, []string{"spec.moisture.species: expected a wood with a figure for the wide form"}},
	} {
		s := sixFoot()
		s.Moisture = c.Moisture
		if got := wrong(s.WithDefaults()); !slices.EqualFunc(got, c.want, strings.HasPrefix) {
			t.Errorf("%s: got\n%s\nwant\n%s", name, strings.Join(got, "\n"), strings.Join(c.want, "\n"))
		}
	}
	rows := sixFoot()
	rows.Boards.Pattern, rows.Boards.Overlap = BoardOnBoard, in
	rows.Moisture = Moisture{Species: "redwood", Service: "12 %", ApplyGap: true}
	if got := wrong(rows.WithDefaults()); len(got) != 1 || !strings.HasPrefix(got[0], "spec.moisture.apply_gap: ") {
		t.Errorf("rows: %q", got)
	}
}

// The advised gap is the swell to the next 1/16 in (common practice), where the
// spec gives none; boards that shrink are butted tight.
func TestApplyGap(t *testing.T) {
	for _, c := range []struct {
		installed, service, own string
		apply                   bool
		want                    string
	}{
		{"8 %", "14 %", "0 in", true, "1/8 in"}, // 0.077 in [WOOD-6]
		{"8 %", "14 %", "0 in", false, "0 in"},
		{"8 %", "14 %", "1/4 in", true, "1/4 in"},
		{"green", "12 %", "0 in", true, "0 in"},
		// The wide form alone would say 0.057 in: 1/16 in, less than on the way there.
		{"8 %", "14.01 %", "0 in", true, "1/8 in"},
	} {
		s := Spec{Height: 6 * ft, Boards: Boards{Gap: measure.Must(c.own)},
			Moisture: Moisture{Species: "western redcedar", Installed: c.installed, Service: c.service, ApplyGap: c.apply}}.WithDefaults()
		if got := s.Boards.Gap; got != measure.Must(c.want) {
			t.Errorf("%s to %s: a gap of %s, want %s", c.installed, c.service, got.Imperial(), c.want)
		}
		if again := s.WithDefaults(); again.Boards.Gap != s.Boards.Gap || again.Moisture != s.Moisture && s.Moisture.Temperature == nil {
			t.Errorf("%s to %s: filled twice is %+v", c.installed, c.service, again.Moisture)
		}
	}
}

// Going on to a wetter place never asks for less, whatever form the figures are
// of; nor does coming from drier stock.
func TestWetterAsksForNoLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var both []timber.Species
		for _, s := range timber.AllSpecies() {
			if _, _, ok := s.Shrinkage(); ok {
				both = append(both, s)
			}
		}
		percent := rapid.IntRange(0, 4000)
		m := Moisture{Species: string(rapid.SampledFrom(both).Draw(t, "species"))}
		at := func(from, to int) timber.Change {
			m.Installed, m.Service = timber.Moisture(from).String(), timber.Moisture(to).String()
			moves, err := m.Movement(measure.Must("5-1/2 in"))
			if err != nil {
				t.Fatal(err)
			}
			return moves.Counted
		}
		from, to := percent.Draw(t, "from"), percent.Draw(t, "to")
		wetter := rapid.IntRange(to, 4000).Draw(t, "wetter")
		drier := rapid.IntRange(0, from).Draw(t, "drier")
		now := at(from, to)
		if now.Delta <= 0 {
			return
		}
		for _, more := range []timber.Change{at(from, wetter), at(drier, to)} {
			// The forms differ in the width they are a part of, so by that much of a swell.
			if more.Delta+measure.Sixteenth/64 < now.Delta {
				t.Fatalf("%+v\nand less: %+v", now, more)
			}
		}
	})
}
