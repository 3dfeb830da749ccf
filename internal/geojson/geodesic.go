package geojson

import "math"

// The WGS 84 ellipsoid: semi-axes in metres, and flattening [NIMA TR8350.2,
// table 3.1].
const (
	semiMajor  = 6378137.0
	flattening = 1 / 298.257223563
	semiMinor  = semiMajor * (1 - flattening)
)

// geodesic is the shortest line from one place to another: its length in metres
// and its direction at the start.
type geodesic struct{ metres, east, north float64 }

// inverse is the geodesic between two places, by the iteration of T. Vincenty,
// "Direct and inverse solutions of geodesics on the ellipsoid" (Survey Review
// 23, 1975), which is good to a fraction of a millimetre on any line and to far
// less on the 50 km that are asked of it. It is not ok for places so nearly
// antipodal that the iteration does not settle. Coincident places give the zero
// geodesic.
//
// It is written out here, and the tests hold it against two libraries, because
// no Go module of one could be had, and one in C would bring cgo into a pure
// package.
//
// Every product stands in a float64() of its own: a compiler may otherwise fuse
// it with a sum on one machine and not on another.
func inverse(from, to LonLat) (geodesic, bool) {
	sinU1, cosU1 := reduced(from.Lat)
	sinU2, cosU2 := reduced(to.Lat)
	difference := radians(math.Remainder(to.Lon-from.Lon, 360)) // the short way round, across 180 degrees too
	sinSin, cosCos := float64(sinU1*sinU2), float64(cosU1*cosU2)

	lambda := difference
	for range 50 {
		sinLambda, cosLambda := math.Sincos(lambda)
		east := float64(cosU2 * sinLambda)
		north := float64(cosU1*sinU2) - float64(float64(sinU1*cosU2)*cosLambda)
		sinSigma := math.Hypot(east, north)
		cosSigma := sinSin + float64(cosCos*cosLambda)
		if sinSigma == 0 {
			return geodesic{}, cosSigma > 0
		}
		sigma := math.Atan2(sinSigma, cosSigma)
		sinAlpha := float64(cosCos*sinLambda) / sinSigma
		cos2Alpha := max(1-float64(sinAlpha*sinAlpha), 0)
		cosMiddle := 0.0 // on the equator it has no weight
		if cos2Alpha > 0 {
			cosMiddle = cosSigma - float64(2*sinSin)/cos2Alpha
		}
		arc := arc{sigma, sinSigma, cosSigma, cosMiddle}
		last := lambda
		lambda = difference + float64(sinAlpha*arc.onSphere(cos2Alpha))
		if math.Abs(lambda-last) < 1e-14 { // a tenth of a micrometre
			return geodesic{arc.metres(cos2Alpha), east / sinSigma, north / sinSigma}, true
		}
	}
	return geodesic{}, false
}

// reduced is the sine and cosine of the reduced latitude.
func reduced(latitude float64) (sin, cos float64) {
	tan := float64((1 - flattening) * math.Tan(radians(latitude)))
	cos = 1 / math.Hypot(1, tan)
	return float64(tan * cos), cos
}

func radians(degrees float64) float64 { return float64(degrees*math.Pi) / 180 }

// arc is the geodesic's image on the auxiliary sphere: its angle, and the cosine
// of twice the angle from the equator to its middle.
type arc struct{ sigma, sin, cos, cosMiddle float64 }

// onSphere times the sine of the azimuth at the equator is by how much the
// difference of longitudes on the sphere is greater than on the ellipsoid
// (Vincenty's equations 10 and 11).
func (a arc) onSphere(cos2Alpha float64) float64 {
	c := float64(flattening/16*cos2Alpha) * (4 + float64(flattening*(4-float64(3*cos2Alpha))))
	inner := a.cosMiddle + float64(c*float64(a.cos*(float64(2*float64(a.cosMiddle*a.cosMiddle))-1)))
	return float64(float64((1-c)*flattening) * (a.sigma + float64(c*float64(a.sin*inner))))
}

// metres is the length on the ellipsoid (Vincenty's equations 3, 4, 6 and 19).
func (a arc) metres(cos2Alpha float64) float64 {
	const eccentricity2 = (semiMajor*semiMajor - semiMinor*semiMinor) / (semiMinor * semiMinor)
	u := float64(cos2Alpha * eccentricity2)
	scale := 1 + float64(u/16384*(4096+float64(u*(float64(u*(320-float64(175*u)))-768))))
	b := float64(u / 1024 * (256 + float64(u*(float64(u*(74-float64(47*u)))-128))))
	m2 := float64(a.cosMiddle * a.cosMiddle)
	last := float64(float64(b/6*a.cosMiddle) * float64((float64(4*float64(a.sin*a.sin))-3)*(float64(4*m2)-3)))
	shorter := float64(float64(b*a.sin) * (a.cosMiddle + float64(b/4*(float64(a.cos*(float64(2*m2)-1))-last))))
	return float64(semiMinor * float64(scale*(a.sigma-shorter)))
}
