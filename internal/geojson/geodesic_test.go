package geojson

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The test lines that every version of GeographicLib is held to [GeographicLib,
// geographiclib-python, geographiclib/test/test_geodesic.py, testcases]. They
// are thousands of kilometres long.
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
		g := inverse(LonLat{c.lon1, c.lat1}, LonLat{c.lon2, c.lat2})
		sin, cos := math.Sincos(c.azimuth * math.Pi / 180)
		if off := math.Hypot(g.east-sin, g.north-cos); math.Abs(g.metres-c.metres) > 0.001 || off > 1e-9 {
			t.Errorf("%v: found %v, %v m and %g radians off", c, g, g.metres-c.metres, off)
		}
	}
}

// A line of 72 mm, on which an old version of GeographicLib failed [the same
// file, GeodSolve4; tolerance as there].
func TestInverseOfAShortLine(t *testing.T) {
	g := inverse(LonLat{0, 36.493349428792}, LonLat{0.0000008, 36.49334942879201})
	if math.Abs(g.metres-0.072) > 0.0005 {
		t.Errorf("found %v", g)
	}
}

// Walking the geodesic's differential equations from the start, by length and
// direction, leads to the other place, with nothing of the library in it.
func TestInverseIsWalkedBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := LonLat{rapid.Float64Range(-180, 180).Draw(t, "lon"), rapid.Float64Range(-85, 85).Draw(t, "lat")}
		reach := 0.2
		to := LonLat{from.Lon + rapid.Float64Range(-reach, reach).Draw(t, "east"), from.Lat + rapid.Float64Range(-reach, reach).Draw(t, "north")}
		g := inverse(from, to)
		end := walk(from, math.Atan2(g.east, g.north), g.metres)
		east := (end.Lon - to.Lon) * math.Pi / 180 * semiMajor * math.Cos(to.Lat*math.Pi/180)
		north := (end.Lat - to.Lat) * math.Pi / 180 * semiMajor
		if off := math.Hypot(east, north); off > 0.00005 {
			t.Fatalf("from %v to %v: %v leads to %v, %g m off", from, to, g, end, off)
		}
	})
}

// The WGS 84 ellipsoid, in metres [NIMA TR8350.2, table 3.1].
const (
	semiMajor  = 6378137.0
	flattening = 1 / 298.257223563
)

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
