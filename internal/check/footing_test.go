package check_test

import (
	"math/big"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/check"
	"wattle/internal/measure"
)

// near fails where got is further than percent of want from it.
func near(t *testing.T, what string, got measure.Length, want string, tolerance measure.Length) {
	t.Helper()
	if (got - must(want)).Abs() > tolerance {
		t.Errorf("%s: %s, want %s within %s", what, got.In(measure.Foot, 4), want, tolerance.In(measure.Foot, 4))
	}
}

func TestEmbedFixed(t *testing.T) {
	for _, c := range []struct {
		name, load, at, width, s1 string
		depth                     string
		perMille                  measure.Length
		a                         string // as printed
	}{
		// FT-3, Zephyrhills FL permit sheet p. 35.
		{"FT-3", "1740", "4.17 ft", "5.5 ft", "400", "3.97 ft", 5, "1.9"},
		// FT-5, the same set p. 30.
		{"FT-5", "80", "3.2 ft", "1.5 ft", "267", "1.53 ft", 10, "0.5"},
	} {
		e, err := check.EmbedFixed(num(c.load), must(c.at), must(c.width), num(c.s1))
		if err != nil {
			t.Fatal(c.name, err)
		}
		near(t, c.name, e.Depth, c.depth, must(c.depth)*c.perMille/1000)
		if got := e.A.FloatString(1); got != c.a {
			t.Errorf("%s: A %s, want %s", c.name, got, c.a)
		}
	}
}

func TestEmbed(t *testing.T) {
	// FT-6, eng-tips 266547: 100 psf/ft, no pole factor.
	e, err := check.Embed(num("480"), must("5 ft"), must("1.5 ft"), num("100"), false)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "FT-6", e.Depth, "6.44 ft", must("0.1 ft"))

	// FT-9, scribd 296150218: factor 2, the 12 ft limit read on d/3, which
	// 30.6 ft does not reach though it is deeper than 12 ft itself.
	e, err = check.Embed(num("100000"), must("62.11 ft"), must("6 ft"), num("200"), true)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "FT-9", e.Depth, "30.6 ft", must("30.6 ft")*5/1000)
	if third := new(big.Rat).Mul(big.NewRat(int64(e.Depth), int64(3*measure.Foot)), big.NewRat(400, 1)); e.S1.Cmp(third) != 0 {
		t.Errorf("FT-9: S1 %v, want 400 psf/ft at a third of the depth, %v", e.S1, third)
	}

	// LA-1, Los Angeles County Code 26-6605.2.3: 100 lb at 5 ft on an 18 in hole,
	// class 5 with the pole factor; 3 ft of concrete satisfies.
	clay, _ := check.Clay.LateralBearing()
	e, err = check.Embed(num("100"), must("5 ft"), must("18 in"), clay, true)
	if err != nil || e.Depth > must("3 ft") || e.Depth < must("2.5 ft") {
		t.Errorf("LA-1: %s, %v; want at most 3 ft, and not much less", e.Depth.In(measure.Foot, 3), err)
	}

	// Past 36 ft the bearing grows no more: 12 ft of it, computed.
	e, err = check.Embed(num("100000"), must("62.11 ft"), must("6 ft"), num("100"), false)
	if err != nil || e.Depth <= must("36 ft") || e.S1.Cmp(big.NewRat(1200, 1)) != 0 {
		t.Errorf("a deep footing: %s at %v psf, %v; want over 36 ft at 1200 psf", e.Depth, e.S1, err)
	}
	fixed, err := check.EmbedFixed(num("100000"), must("62.11 ft"), must("6 ft"), num("1200"))
	if err != nil || (fixed.Depth-e.Depth).Abs() > 2 {
		t.Errorf("with a bearing that no longer grows, iterated %s and fixed %s differ, %v", e.Depth, fixed.Depth, err)
	}
	if _, err := check.Embed(num("100000"), must("62 ft"), must("1 in"), num("1"), false); err == nil {
		t.Error("a footing deeper than 100 ft was found")
	}
}

// FT-13: IBC Table 1806.2 (2012) as quoted.
func TestLateralBearing(t *testing.T) {
	want := map[check.Soil]string{"1": "1200", "2": "400", "3": "200", "4": "150", "5": "100"}
	for _, soil := range check.Soils() {
		psf, ok := soil.LateralBearing()
		if w, has := want[soil]; ok != has || ok && psf.String() != w {
			t.Errorf("%s: %s, %v; want %q", soil, psf, ok, w)
		}
		if ok != (soil != check.Peat && soil != check.OrganicSoil && soil != check.UnpreparedFill) {
			t.Errorf("%s: value %v", soil, ok)
		}
	}
	if _, ok := check.Soil("").LateralBearing(); ok {
		t.Error("a soil that is not known has a value")
	}
}

// What is needed here is computed from the formula by hand: d^3 = 22.464 (d + 5.45)
// at d = 6.44, half of it with the pole factor at 4.88.
func TestFooting(t *testing.T) {
	base := check.Footing{Load: dec("480"), At: must("5 ft"), Diameter: must("18 in"), Soil: check.Clay, Depth: long("7 ft")}
	with := func(change func(*check.Footing)) check.Footing {
		f := base
		change(&f)
		return f
	}
	for _, c := range []struct {
		name    string
		footing check.Footing
		want    check.Outcome
		needed  string
	}{
		{"deep enough", base, check.Pass, "6.44"},
		{"too shallow", with(func(f *check.Footing) { f.Depth = long("6 ft") }), check.Fail, "6.44"},
		{"the pole factor", with(func(f *check.Footing) { f.Depth, f.PoleFactor = long("6 ft"), true }), check.Pass, "4.88"},
		{"no depth", with(func(f *check.Footing) { f.Depth = nil }), check.Advisory, "6.44"},
		{"stated bearing in fill", with(func(f *check.Footing) { f.Soil, f.Bearing = check.UnpreparedFill, dec("100") }), check.Pass, "6.44"},
		{"peat", with(func(f *check.Footing) { f.Soil = check.Peat }), check.NotEnoughData, ""},
		{"unknown soil", with(func(f *check.Footing) { f.Soil = "" }), check.NotEnoughData, ""},
		{"unknown load", with(func(f *check.Footing) { f.Load = nil }), check.NotEnoughData, ""},
		{"no load", with(func(f *check.Footing) { f.Load = dec("0") }), check.Pass, "0.00"},
		{"hopeless", with(func(f *check.Footing) { f.Load = dec("99999999") }), check.Fail, ""},
	} {
		results, err := c.footing.Check()
		if err != nil || len(results) != 1 {
			t.Fatalf("%s: %v, %v", c.name, results, err)
		}
		sound(t, results...)
		if r := results[0]; r.Code != check.FootingEmbedment || r.Outcome != c.want || figure(r, "needed") != c.needed {
			t.Errorf("%s: %s, needed %q; want %s, %q: %s", c.name, r.Outcome, figure(r, "needed"), c.want, c.needed, r.Text)
		}
	}
	results, _ := base.Check()
	const want = "A lateral load of 480 lb at 5 ft on a footing 18 in across needs 6.44 ft of embedment at 100 psf per foot " +
		"read a third of the way down, without the pole factor; 7 ft is planned. " +
		"Advisory only: the building official, or a licensed engineer, decides."
	if results[0].Text != want {
		t.Errorf("got\n%s\nwant\n%s", results[0].Text, want)
	}
}

// FT-5 by a square: its diagonal is b; 267 psf fixed, 1.53 ft.
func TestFixedBesidesIterated(t *testing.T) {
	f := check.Footing{Load: dec("80"), At: must("3.2 ft"), Side: must("12.728 in"), Soil: check.Clay, FixedS1: dec("267"), Depth: long("1.6 ft")}
	results, err := f.Check()
	if err != nil || len(results) != 2 {
		t.Fatalf("%v, %v", results, err)
	}
	sound(t, results...)
	if r := results[1]; r.Code != check.FootingEmbedmentFixed || r.Outcome != check.Pass || figure(r, "width") != "1.50" || figure(r, "needed") != "1.53" {
		t.Errorf("%+v", r)
	}
	f.Load = nil
	results, err = f.Check()
	if err != nil || results[1].Outcome != check.NotEnoughData {
		t.Errorf("without a load: %+v, %v", results, err)
	}
}

func TestBadFootings(t *testing.T) {
	f := check.Footing{Load: dec("-1"), At: -1, Soil: "6", Bearing: dec("0"), FixedS1: dec("0.5"), Depth: long("0 in")}
	_, err := f.Check()
	if got := fields(err); got != "load at diameter soil bearing fixed_s1 depth" {
		t.Errorf("violations of %s", got)
	}
	f = check.Footing{Diameter: must("1 ft"), Side: must("1 ft")}
	if _, err = f.Check(); fields(err) != "diameter" {
		t.Errorf("both shapes: %v", err)
	}
	for _, bad := range []struct{ load, at, width, s1 string }{
		{"-1", "1 ft", "1 ft", "100"}, {"1", "101 ft", "1 ft", "100"}, {"1", "1 ft", "0 ft", "100"}, {"1", "1 ft", "1 ft", "0"},
	} {
		_, err := check.Embed(num(bad.load), must(bad.at), must(bad.width), num(bad.s1), false)
		_, err2 := check.EmbedFixed(num(bad.load), must(bad.at), must(bad.width), num(bad.s1))
		if err == nil || err2 == nil {
			t.Errorf("%+v is taken: %v, %v", bad, err, err2)
		}
	}
}

// More load, a higher one, a narrower footing or weaker ground never asks for
// less; the pole factor never for more; and the answer meets the fixed form at
// its own S1 to within a nanometre or two.
func TestEmbedLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		load := rapid.Int64Range(0, 2_000_00).Draw(t, "hundredths of a pound")
		at := measure.Length(rapid.Int64Range(0, int64(20*measure.Foot)).Draw(t, "at"))
		width := measure.Length(rapid.Int64Range(int64(6*measure.Inch), int64(4*measure.Foot)).Draw(t, "width"))
		bearing := rapid.Int64Range(50, 1500).Draw(t, "bearing")
		pole := rapid.Bool().Draw(t, "pole")
		more := rapid.Int64Range(0, 100).Draw(t, "more")
		embed := func(load int64, at, width measure.Length, bearing int64, pole bool) check.Embedment {
			e, err := check.Embed(decimal.MustNew(load, 2), at, width, decimal.MustNew(bearing, 0), pole)
			if err != nil {
				t.Fatal(err)
			}
			return e
		}
		e := embed(load, at, width, bearing, pole)
		for name, deeper := range map[string]check.Embedment{
			"load":    embed(load+more, at, width, bearing, pole),
			"height":  embed(load, at+measure.Length(more)*measure.Inch, width, bearing, pole),
			"width":   embed(load, at, width-measure.Length(more)*measure.Millimetre, bearing, pole),
			"bearing": embed(load, at, width, bearing-min(more, bearing/4), pole),
			"factor":  embed(load, at, width, bearing, false),
		} {
			if deeper.Depth < e.Depth {
				t.Fatalf("%s: %d nm, yet %d nm before", name, deeper.Depth, e.Depth)
			}
		}
		// The fixed form's S1 is a decimal: an S1 rounded to 1e-9 psf moves a
		// depth of feet by far less than a nanometre unless S1 is tiny.
		if s1, err := decimal.Parse(e.S1.FloatString(9)); err == nil && s1.Cmp(decimal.MustNew(1, 0)) >= 0 {
			fixed, err := check.EmbedFixed(decimal.MustNew(load, 2), at, width, s1)
			if err != nil || fixed.Depth-e.Depth > 1 || e.Depth-fixed.Depth > 3 {
				t.Fatalf("iterated %d nm, the fixed form at its S1 %d nm, %v", e.Depth, fixed.Depth, err)
			}
		}
	})
}

// A deeper hole never makes a pass a fail.
func TestDeeperIsNoWorse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := check.Footing{Load: dec("300"), At: must("3.3 ft"), Diameter: must("12 in"), Soil: check.Sand}
		d := rapid.Int64Range(1, int64(10*measure.Foot)).Draw(t, "depth")
		outcome := func(d int64) check.Outcome {
			f.Depth = new(measure.Length(d))
			results, err := f.Check()
			if err != nil {
				t.Fatal(err)
			}
			sound(t, results...)
			return results[0].Outcome
		}
		if outcome(d) == check.Pass && outcome(d+rapid.Int64Range(0, int64(measure.Foot)).Draw(t, "more")) != check.Pass {
			t.Fatalf("%d nm passes and deeper does not", d)
		}
	})
}
