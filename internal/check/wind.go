package check

import (
	"fmt"
	"math/big"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/money"
)

// Wind asks what the wind does to one bay of a solid or nearly solid fence:
// F = qz G Cf A, qz = 0.00256 Kz Kzt Kd V^2 [WL-2, WL-4, WL-10]. A check that
// has no limit of its own: it hands its load to Footing and Bending.
type Wind struct {
	Face
	// Speed is the ultimate (strength design) wind speed V in miles an hour;
	// nil is "not known".
	Speed *decimal.Decimal
	// Exposure gives Kz unless Kz is stated.
	Exposure Exposure
	// Kz, Kzt, Kd, G and Cf are stated values; nil is Kz by exposure and height,
	// Kzt 1 (flat terrain), Kd and G 0.85, and Cf by ForceCoefficient.
	Kz, Kzt, Kd, G, Cf *decimal.Decimal
}

// allowable is the share of ultimate wind that allowable-stress design takes
// [WL-4].
const allowable = "0.6"

// Validate notes everything wrong with the input; see Check.
func (w Wind) Validate(v *fault.List) {
	w.validate(v)
	if w.Speed != nil {
		v.Require(within(*w.Speed, "1", "400"), "speed", "expected 1 to 400 miles an hour, found %s", w.Speed)
	}
	v.Require(w.Exposure == "" || w.Exposure.Known(), "exposure", "expected one of %v, found %q", Exposures(), w.Exposure)
	for _, c := range []struct {
		name string
		d    *decimal.Decimal
	}{{"kz", w.Kz}, {"kzt", w.Kzt}, {"kd", w.Kd}, {"g", w.G}, {"cf", w.Cf}} {
		if c.d != nil {
			v.Require(within(*c.d, "0.01", "3"), c.name, "expected 0.01 to 3, found %s", c.d)
		}
	}
}

// Check is the load and the result that explains it. Where something is not
// known, or openings are 30 % or more, the load's figures are nil and the
// outcome is NotEnoughData; an Invalid error lists everything wrong with the
// input.
func (w Wind) Check() (Load, Result, error) {
	v := new(fault.List)
	w.Validate(v)
	if err := v.Err(); err != nil {
		return Load{}, Result{}, err
	}
	kz, known := w.Exposure.Kz(w.Height)
	if w.Kz != nil {
		kz, known = *w.Kz, true
	}
	lacks := func(field, text string) (Load, Result, error) {
		return Load{}, result(WindLoad, NotEnoughData, field, text+", so no wind load follows; "+endsNotCovered+"."), nil
	}
	switch {
	case w.Speed == nil:
		return lacks("speed", "The ultimate wind speed is not known")
	case !known && w.Exposure == "":
		return lacks("exposure", "Neither an exposure nor Kz is known")
	case !known:
		return lacks("kz", fmt.Sprintf("The table of Kz ends at 20 ft and the fence is %s high", w.Height.Imperial()))
	case w.Solid == nil:
		return lacks("solid", "How much of the fence is solid is not known")
	case w.tooOpen():
		return lacks("solid", fmt.Sprintf("The fence is %s solid and the rule is for openings under 30 %%", percent(*w.Solid)))
	}
	l, r := w.load(kz)
	return l, r, nil
}

func (w Wind) load(kz decimal.Decimal) (Load, Result) {
	kzt, kd, g := orElse(w.Kzt, "1"), orElse(w.Kd, "0.85"), orElse(w.G, "0.85")
	v := money.Rat(*w.Speed)
	qz := product(ratio("0.00256"), money.Rat(kz), kzt, kd, v, v)
	cf, err := w.cf()
	open, err2 := OpenFactor(*w.Solid)
	if err != nil || err2 != nil { // Validate keeps both in range
		return Load{}, result(WindLoad, NotEnoughData, "", "The input is out of range, so no wind load follows; "+endsNotCovered+".")
	}
	force := product(qz, g, cf, open, w.area())
	pressure, ultimate, design := hundredths(product(qz, g, cf, open)), hundredths(force), hundredths(product(force, ratio(allowable)))
	l := Load{Pressure: &pressure, Ultimate: &ultimate, Design: &design, At: w.resultant()}
	text := fmt.Sprintf("Wind of %s miles an hour puts %s lb on a bay %s wide and %s high%s, %s lb of it (0.6 W) for allowable design, at %s above grade; %s.",
		w.Speed.Trim(0), ultimate, w.Bay.Imperial(), w.Height.Imperial(), w.in(), design, l.At.In(measure.Foot, 2), endsNotCovered)
	return l, result(WindLoad, Advisory, "", text, w.named(
		given("V", *w.Speed, "mph"), given("Kz", kz, ""), fixed("Kzt", kzt, 2, ""), fixed("Kd", kd, 2, ""), fixed("G", g, 2, ""),
		fixed("qz", qz, 2, "psf"), fixed("Cf", cf, 2, ""), fixed("open factor", open, 4, ""), fixed("area", w.area(), 2, "ft2"),
		given("pressure", pressure, "psf"), given("force", ultimate, "lb"), given("design force", design, "lb"), inFeet("at", l.At))...)
}

func (w Wind) cf() (*big.Rat, error) {
	if w.Cf != nil {
		return money.Rat(*w.Cf), nil
	}
	s := w.depth()
	return ForceCoefficient(big.NewRat(int64(w.Run), int64(s)), big.NewRat(int64(s), int64(w.Height)))
}

func percent(d decimal.Decimal) string {
	return product(money.Rat(d), big.NewRat(100, 1)).FloatString(0) + " %"
}
