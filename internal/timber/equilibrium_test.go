package timber

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"
)

// [WOOD-1], [WOOD-2]: seen in several public sources.
func TestEquilibrium(t *testing.T) {
	for _, c := range []struct {
		celsius, humidity, want string
		tolerance               Moisture
	}{
		{"20", "65", "12.00", 1},
		{"60", "80", "13.56", 1},
		{"21", "30", "6.2", 10},
		{"21", "80", "16.0", 10},
		{"21.1", "65.0", "12", 10},
		{"20", "0", "0", 0}, // dry air, dry wood: the equation has no constant term
	} {
		got, err := Equilibrium(decimal.MustParse(c.celsius), decimal.MustParse(c.humidity))
		if want := moisture(c.want); err != nil || got < want-c.tolerance || got > want+c.tolerance {
			t.Errorf("%s C and %s %%: %v, %v; want %v within %v", c.celsius, c.humidity, got, err, want, c.tolerance)
		}
	}
}

// The fractions agree with the published formula in floating point, to the
// rounding: a slip in a coefficient's unit would not pass.
func TestEquilibriumAsPublished(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tenths, humidity := rapid.IntRange(-300, 700).Draw(t, "tenths"), rapid.IntRange(0, 1000).Draw(t, "permille")
		T, h := float64(tenths)/10, float64(humidity)/1000
		W := 349 + 1.29*T + 0.0135*T*T
		K := 0.805 + 0.000736*T - 0.00000273*T*T
		K1 := 6.27 - 0.00938*T - 0.000303*T*T
		K2 := 1.91 + 0.0407*T - 0.000293*T*T
		want := 1800 / W * (K*h/(1-K*h) + (K1*K*h+2*K1*K2*K*K*h*h)/(1+K1*K*h+K1*K2*K*K*h*h))
		got, err := Equilibrium(decimal.MustNew(int64(tenths), 1), decimal.MustNew(int64(humidity), 1))
		if err != nil || math.Abs(float64(got)/100-want) > 0.005+1e-9 {
			t.Fatalf("%v C and %v: %v, %v; want %.6f %%", T, h, got, err, want)
		}
		if got > FibreSaturation {
			t.Fatalf("%v C and %v: %v is above fibre saturation, which no air brings about", T, h, got)
		}
	})
}

func TestDampAirMakesDampWood(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		celsius := decimal.MustNew(rapid.Int64Range(-300, 700).Draw(t, "tenths"), 1)
		humidity := rapid.Int64Range(0, 10_000)
		dry, damp := humidity.Draw(t, "one"), humidity.Draw(t, "other")
		if dry > damp {
			dry, damp = damp, dry
		}
		less, err := Equilibrium(celsius, decimal.MustNew(dry, 2))
		if err != nil {
			t.Fatal(err)
		}
		more, err := Equilibrium(celsius, decimal.MustNew(damp, 2))
		if err != nil || more < less {
			t.Fatalf("%v C: %d/100 %% humidity gives %v, %d/100 %% gives %v, %v", celsius, dry, less, damp, more, err)
		}
		if damp-dry >= 100 && more == less {
			t.Fatalf("%v C: a percent of humidity makes no difference at %d/100 %%", celsius, dry)
		}
	})
}

func TestEquilibriumLimits(t *testing.T) {
	for _, c := range []struct{ celsius, humidity, want string }{
		{"-30", "100", ""},
		{"70.0", "0.001", ""},
		{"-30.1", "50", "temperature: expected -30 to 70 degrees Celsius in tenths of a degree, found -30.1"},
		{"70.1", "50", "temperature: "},
		{"20.25", "50", "found 20.25"},
		{"9999999999999999999", "50", "temperature: "},
		{"20", "100.1", "humidity: expected a relative humidity of 0 to 100 percent, found 100.1"},
		{"20", "-0.0001", "humidity: "},
	} {
		_, err := Equilibrium(decimal.MustParse(c.celsius), decimal.MustParse(c.humidity))
		if got := fmt.Sprint(err); (err != nil) != (c.want != "") || !strings.Contains(got, c.want) && err != nil {
			t.Errorf("%s C and %s %%: %s; want %q", c.celsius, c.humidity, got, c.want)
		}
	}
	_, err := Equilibrium(decimal.MustParse("200"), decimal.MustParse("200"))
	if got := fmt.Sprint(err); !strings.Contains(got, "temperature: ") || !strings.Contains(got, "humidity: ") {
		t.Errorf("both are wrong, and the error is %s", got)
	}
}

func TestCelsius(t *testing.T) {
	for fahrenheit, want := range map[string]string{
		"32": "0.0", "212.0": "", "70": "21.1", "68": "20.0", "-22": "-30.0", "158": "70.0",
		"31.9": "-0.1", // -1/18 is nearer to it than to 0
		"-40":  "", "70.05": "",
	} {
		got, err := Celsius(decimal.MustParse(fahrenheit))
		if want == "" {
			if err == nil || !strings.Contains(err.Error(), "temperature: expected -22 to 158 degrees Fahrenheit") {
				t.Errorf("%s F is %v, %v; want an error", fahrenheit, got, err)
			}
		} else if err != nil || got.String() != want {
			t.Errorf("%s F is %v C, %v; want %s", fahrenheit, got, err, want)
		}
	}
	// What Celsius gives, Equilibrium takes.
	rapid.Check(t, func(t *rapid.T) {
		f := decimal.MustNew(rapid.Int64Range(-220, 1580).Draw(t, "tenths"), 1)
		c, err := Celsius(f)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := Equilibrium(c, decimal.Hundred); err != nil {
			t.Fatalf("%v F is %v C: %v", f, c, err)
		}
	})
}
