package geojson

import (
	"math"
	"testing"

	"pgregory.net/rapid"

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
		{LonLat{10.75, 60}, LonLat{10.4, 59.79}, LonLat{10.3925, 59.7865}, 573.96092},           // 30516 m away
		{LonLat{151.2, -33}, LonLat{151.2025, -32.9979}, LonLat{151.1972, -33.0012}, 615.85013}, // 330 m away
		{LonLat{151.2, -33}, LonLat{151.1958, -33.0019}, LonLat{151.1963, -32.9965}, 600.70413}, // 445 m away
		{LonLat{151.2, -33}, LonLat{151.42, -33.2}, LonLat{151.4155, -33.2035}, 571.60254},      // 30228 m away
	} {
		got := metres(onPlane(t, c.origin, c.a).DistanceTo(onPlane(t, c.origin, c.b)))
		if most := hundredthFoot * c.metres / 609.6; math.Abs(got-c.metres) > most {
			t.Errorf("about %v, from %v to %v: %.4f m, want %.4f within %.4f", c.origin, c.a, c.b, got, c.metres, most)
		}
	}
}

// The test lines that every version of GeographicLib is held to [GeographicLib,
// geographiclib-python, geographiclib/test/test_geodesic.py, testcases]. They
// are thousands of kilometres long, where the iteration is good to a millimetre.
func TestInverseAgainstGeographicLib(t *testing.T) {
	for _, c := range []struct{ lat1, lon1, azimuth, lat2, lon2, metres float64 }{
		{35.60777, -139.44815, 111.098748429560326, -11.17491, -69.95921, 8935244.5604818305},
		{55.52454, 106.05087, 22.020059880982801, 77.03196, 197.18234, 4105086.1713924406},
		{-21.97856, 142.59065, -32.44456876433189, 41.84138, 98.56635, 8394328.894657671},
		{-66.99028, 112.2363, 173.73491240878403, -12.70631, 285.90344, 11150344.2312080241},
		{-17.42761, 173.34268, -159.033557661192928, -15.84784, 5.93557, 16076603.1631180673},
		{32.84994, 48.28919, 150.492927788121982, -56.28556, 202.29132, 16727068.9438164461},
		{6.96833, 52.74123, 92.581585386317712, -7.39675, 206.17291, 17102477.2496958388},
		{-50.56724, -16.30485, -105.439679907590164, -33.56571, -94.97412, 6455670.5118668696},
		{-58.93002, -8.90775, 140.965397902500679, -8.91104, 133.13503, 11756066.0219864627},
		{-68.82867, -74.28391, 93.774347763114881, -50.63005, -8.36685, 3956936.926063544},
		{-10.62672, -32.0898, -86.426713286747751, 5.883, -134.31681, 11470869.3864563009},
		{-21.76221, 166.90563, 29.319421206936428, 48.72884, 213.97627, 9098627.3986554915},
		{-19.79938, -174.47484, 71.167275780171533, -11.99349, -154.35109, 2319004.8601169389},
		{-11.95887, -116.94513, 92.712619830452549, 4.57352, 7.16501, 13834722.5801401374},
		{-87.85331, 85.66836, -65.120313040242748, 66.48646, 16.09921, 17286615.3147144645},
		{1.74708, 128.32011, -101.584843631173858, -11.16617, 11.87109, 12942901.1241347408},
		{-25.72959, -144.90758, -153.647468693117198, -57.70581, -269.17879, 9413446.7452453107},
		{-41.22777, 122.32875, 14.285113402275739, -7.57291, 130.37946, 3812686.035106021},
		{11.01307, 138.25278, 79.43682622782374, 6.62726, 247.05981, 11911190.819018408},
		{-29.47124, 95.14681, -163.779130441688382, -27.46601, -69.15955, 13487015.8381145492},
	} {
		g, ok := inverse(LonLat{c.lon1, c.lat1}, LonLat{c.lon2, c.lat2})
		sin, cos := math.Sincos(c.azimuth * math.Pi / 180)
		if off := math.Hypot(g.east-sin, g.north-cos); !ok || math.Abs(g.metres-c.metres) > 0.001 || off > 1e-9 {
			t.Errorf("%v: found %v, %v m and %g radians off", c, g, g.metres-c.metres, off)
		}
	}
}

// A line of 72 mm, on which an old version of GeographicLib failed [the same
// file, GeodSolve4; tolerance as there].
func TestInverseOfAShortLine(t *testing.T) {
	g, ok := inverse(LonLat{0, 36.493349428792}, LonLat{0.0000008, 36.49334942879201})
	if !ok || math.Abs(g.metres-0.072) > 0.0005 {
		t.Errorf("found %v", g)
	}
}

// Walking the geodesic's differential equations from the start, by length and
// direction, leads to the other place. Nothing of Vincenty's series is in it.
func TestInverseIsWalkedBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := LonLat{rapid.Float64Range(-180, 180).Draw(t, "lon"), rapid.Float64Range(-85, 85).Draw(t, "lat")}
		reach := 0.2
		to := LonLat{from.Lon + rapid.Float64Range(-reach, reach).Draw(t, "east"), from.Lat + rapid.Float64Range(-reach, reach).Draw(t, "north")}
		g, ok := inverse(from, to)
		if !ok {
			t.Fatalf("no geodesic from %v to %v", from, to)
		}
		end := walk(from, math.Atan2(g.east, g.north), g.metres)
		east := (end.Lon - to.Lon) * math.Pi / 180 * semiMajor * math.Cos(to.Lat*math.Pi/180)
		north := (end.Lat - to.Lat) * math.Pi / 180 * semiMajor
		if off := math.Hypot(east, north); off > 0.00005 {
			t.Fatalf("from %v to %v: %v leads to %v, %g m off", from, to, g, end, off)
		}
	})
}

// walk follows a geodesic by the classical Runge-Kutta method: radii of
// curvature along and across the meridian, and Clairaut's turning of the azimuth.
func walk(from LonLat, azimuth, metres float64) LonLat {
	type state [3]float64 // latitude, longitude, azimuth
	slope := func(s state) state {
		sinLat, cosLat := math.Sincos(s[0])
		const e2 = flattening * (2 - flattening)
		w := 1 - e2*sinLat*sinLat
		across := semiMajor / math.Sqrt(w)
		along := semiMajor * (1 - e2) / (w * math.Sqrt(w))
		sin, cos := math.Sincos(s[2])
		return state{cos / along, sin / (across * cosLat), sin * sinLat / (across * cosLat)}
	}
	step := func(s, d state, h float64) state { return state{s[0] + h*d[0], s[1] + h*d[1], s[2] + h*d[2]} }
	s := state{from.Lat * math.Pi / 180, from.Lon * math.Pi / 180, azimuth}
	const steps = 200
	h := metres / steps
	for range steps {
		a := slope(s)
		b := slope(step(s, a, h/2))
		c := slope(step(s, b, h/2))
		d := slope(step(s, c, h))
		for i := range s {
			s[i] += h / 6 * (a[i] + 2*b[i] + 2*c[i] + d[i])
		}
	}
	return LonLat{s[1] * 180 / math.Pi, s[0] * 180 / math.Pi}
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
		"49.9 km":           {LonLat{0.448, 0}, true},
		"50.1 km":           {LonLat{0.450, 0}, false},
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
