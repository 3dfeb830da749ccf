package geojson

import (
	"math"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// hundredthFoot is what 2,000 ft may be off.
const hundredthFoot = 0.01 * 0.3048

func metres(l measure.Length) float64 { return float64(l) / float64(measure.Metre) }

func onPlane(t testing.TB, origin, place LonLat) measure.Point {
	t.Helper()
	v := &fault.List{}
	p := plane{origin}.point(v, place)
	if err := v.Err(); err != nil {
		t.Fatal(err)
	}
	return p
}

// Where lines of 2,000 ft (609.6 m) end [PROJ geod 9.1.1, +ellps=WGS84]: the
// plane has the end at the line's own length and azimuth.
func TestPlaneAgainstPROJ(t *testing.T) {
	for _, c := range []struct {
		origin  LonLat
		azimuth float64
		end     LonLat
	}{
		{LonLat{-179.999, 0}, 0, LonLat{-179.999000000000, 0.005513036332}},
		{LonLat{-179.999, 0}, 37, LonLat{-179.995704382708, 0.004402906580}},
		{LonLat{-179.999, 0}, 90, LonLat{-179.993523870028, 0.000000000000}},
		{LonLat{-179.999, 0}, 143.5, LonLat{-179.995742673103, -0.004431692076}},
		{LonLat{-179.999, 0}, 180, LonLat{-179.999000000000, -0.005513036332}},
		{LonLat{-179.999, 0}, 261, LonLat{179.995591290275, -0.000862428888}},
		{LonLat{-179.999, 0}, 318.25, LonLat{179.997353545445, 0.004113041412}},
		{LonLat{-73.5, 41}, 0, LonLat{-73.500000000000, 41.005489223391}},
		{LonLat{-73.5, 41}, 37, LonLat{-73.495639270926, 41.004383806667}},
		{LonLat{-73.5, 41}, 90, LonLat{-73.492754517652, 40.999999772297}},
		{LonLat{-73.5, 41}, 143.5, LonLat{-73.495690509387, 40.995587365758}},
		{LonLat{-73.5, 41}, 180, LonLat{-73.500000000000, 40.994510771364}},
		{LonLat{-73.5, 41}, 261, LonLat{-73.507156185563, 40.999141073674}},
		{LonLat{-73.5, 41}, 318.25, LonLat{-73.504824932513, 41.004095175119}},
		{LonLat{10.75, 60}, 0, LonLat{10.750000000000, 60.005471566553}},
		{LonLat{10.75, 60}, 37, LonLat{10.756575534314, 60.004369624072}},
		{LonLat{10.75, 60}, 90, LonLat{10.760924730776, 59.999999548247}},
		{LonLat{10.75, 60}, 143.5, LonLat{10.756497416397, 59.995601480564}},
		{LonLat{10.75, 60}, 180, LonLat{10.750000000000, 59.994528428880}},
		{LonLat{10.75, 60}, 261, LonLat{10.739210049507, 59.999143617316}},
		{LonLat{10.75, 60}, 318.25, LonLat{10.742724525724, 60.004081902679}},
		{LonLat{151.2, -33}, 0, LonLat{151.200000000000, -32.994503374483}},
		{LonLat{151.2, -33}, 37, LonLat{151.203925475150, -32.995610138351}},
		{LonLat{151.2, -33}, 90, LonLat{151.206523050072, -32.999999829587}},
		{LonLat{151.2, -33}, 143.5, LonLat{151.203880252242, -33.004418436318}},
		{LonLat{151.2, -33}, 180, LonLat{151.200000000000, -33.005496620670}},
		{LonLat{151.2, -33}, 261, LonLat{151.193557197003, -33.000859694988}},
		{LonLat{151.2, -33}, 318.25, LonLat{151.195656621466, -32.995899126899}},
	} {
		got := onPlane(t, c.origin, c.end)
		sin, cos := math.Sincos(c.azimuth * math.Pi / 180)
		off := math.Hypot(metres(got.East)-609.6*sin, metres(got.North)-609.6*cos)
		if off > 0.0001 { // the grid of the plane, far below a hundredth of a foot
			t.Errorf("from %v to %v: %v is %.5f m off azimuth %v", c.origin, c.end, got, off, c.azimuth)
		}
	}
}

// Distances between two points neither of which is the origin [PROJ geod 9.1.1,
// -I +ellps=WGS84].
func TestPlaneBetweenTwoPointsAgainstPROJ(t *testing.T) {
	for _, c := range []struct {
		origin, a, b LonLat
		metres       float64
	}{
		{LonLat{-179.999, 0}, LonLat{-179.9975, 0.0021}, LonLat{179.9981, -0.0012}, 610.78484},  // 286 m away
		{LonLat{-179.999, 0}, LonLat{-179.996, -0.002}, LonLat{-179.9955, 0.0034}, 599.68968},   // 401 m away
		{LonLat{-179.999, 0}, LonLat{-179.81, 0.19}, LonLat{-179.8135, 0.1935}, 549.16064},      // 29733 m away
		{LonLat{-73.5, 41}, LonLat{-73.4975, 41.0021}, LonLat{-73.5034, 40.9988}, 617.01968},    // 314 m away
		{LonLat{-73.5, 41}, LonLat{-73.5042, 40.9981}, LonLat{-73.5037, 41.0035}, 601.16483},    // 412 m away
		{LonLat{-73.5, 41}, LonLat{-73.25, 41.19}, LonLat{-73.2555, 41.1935}, 603.30655},        // 29772 m away
		{LonLat{10.75, 60}, LonLat{10.7525, 60.002}, LonLat{10.7438, 59.9985}, 622.67442},       // 263 m away
		{LonLat{10.75, 60}, LonLat{10.7441, 59.9981}, LonLat{10.7451, 60.0034}, 593.11572},      // 391 m away
		{LonLat{10.75, 60}, LonLat{10.41, 59.8}, LonLat{10.4025, 59.7965}, 573.86885},           // 29302 m away
		{LonLat{151.2, -33}, LonLat{151.2025, -32.9979}, LonLat{151.1972, -33.0012}, 615.85013}, // 330 m away
		{LonLat{151.2, -33}, LonLat{151.1958, -33.0019}, LonLat{151.1963, -32.9965}, 600.70413}, // 445 m away
		{LonLat{151.2, -33}, LonLat{151.41, -33.19}, LonLat{151.4055, -33.1935}, 571.63713},     // 28781 m away
		// Across the way to the origin, where the plane is off most: 29 km away.
		{LonLat{-179.999, 0}, LonLat{179.9983, 0.262}, LonLat{-179.9963, 0.262}, 601.11901},
		{LonLat{-73.5, 41}, LonLat{-73.5036, 41.261}, LonLat{-73.4964, 41.261}, 603.37741},
		{LonLat{10.75, 60}, LonLat{10.7445, 60.26}, LonLat{10.7555, 60.26}, 608.97740},
		{LonLat{151.2, -33}, LonLat{151.51, -33.0027}, LonLat{151.51, -32.9973}, 598.88407},
	} {
		got := metres(onPlane(t, c.origin, c.a).DistanceTo(onPlane(t, c.origin, c.b)))
		if most := hundredthFoot * c.metres / 609.6; math.Abs(got-c.metres) > most {
			t.Errorf("about %v, from %v to %v: %.4f m, want %.4f within %.4f", c.origin, c.a, c.b, got, c.metres, most)
		}
	}
}

// Known by reason alone: the quarters, the poles, the date line.
func TestPlaneByReason(t *testing.T) {
	for name, c := range map[string]struct {
		origin, place LonLat
		east, north   measure.Length
	}{
		// a pi/180 of longitude on the equator, for 1/100 degree
		"along the equator":   {LonLat{10, 0}, LonLat{10.01, 0}, 1113_194_900_000, 0},
		"across the date":     {LonLat{179.995, 0}, LonLat{-179.995, 0}, 1113_194_900_000, 0},
		"180 is -180":         {LonLat{180, 12}, LonLat{-180, 12}, 0, 0},
		"itself":              {LonLat{-73.5, 41}, LonLat{-73.5, 41}, 0, 0},
		"two names of a pole": {LonLat{0, 90}, LonLat{120, 90}, 0, 0},
		// the radius of curvature at the pole, a^2/b = 6399593.6 m, for 1/100 degree
		"from the north pole": {LonLat{0, 90}, LonLat{90, 89.99}, 1116_939_800_000, 0},
		"from the south pole": {LonLat{0, -90}, LonLat{0, -89.99}, 0, 1116_939_800_000},
	} {
		got := onPlane(t, c.origin, c.place)
		if off := got.Sub(measure.Point{East: c.east, North: c.north}); off.East.Abs() > measure.Millimetre/10 || off.North.Abs() > measure.Millimetre/10 {
			t.Errorf("%s: %v, want east %v, north %v", name, got, c.east, c.north)
		}
		if got.East%(measure.Millimetre/10) != 0 || got.North%(measure.Millimetre/10) != 0 {
			t.Errorf("%s: %v is not whole tenths of a millimetre", name, got)
		}
	}
}

// The far side of the earth is far, though no iteration settles there.
func TestPlaneEnds(t *testing.T) {
	for name, c := range map[string]struct {
		place LonLat
		ok    bool
	}{
		"29.9 km":           {LonLat{0.268, 0}, true},
		"30.1 km":           {LonLat{0.270, 0}, false},
		"the antipode":      {LonLat{180, 0}, false},
		"near the antipode": {LonLat{179.7, 0.1}, false},
	} {
		v := &fault.List{}
		plane{}.point(v, c.place)
		if (v.Len() == 0) != c.ok {
			t.Errorf("%s: %v", name, v.Err())
		}
	}
}
