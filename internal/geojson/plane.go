package geojson

import (
	"math"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// LonLat is a place on the WGS 84 ellipsoid: degrees east of Greenwich and
// degrees north of the equator.
type LonLat struct{ Lon, Lat float64 }

// validate says what is wrong with the place, each coordinate under its own
// name.
func (p LonLat) validate(v *fault.List, lon, lat string) bool {
	switch {
	case !(math.Abs(p.Lat) <= 90) && math.Abs(p.Lat) <= 180 && math.Abs(p.Lon) <= 90:
		v.Add(lat, "a latitude of %v is not between -90 and 90; longitude comes first, then latitude: are they swapped?", p.Lat)
		return false
	default:
		east := v.Require(math.Abs(p.Lon) <= 180, lon, "expected a longitude between -180 and 180 degrees, found %v", p.Lon)
		north := v.Require(math.Abs(p.Lat) <= 90, lat, "expected a latitude between -90 and 90 degrees, found %v; longitude comes first", p.Lat)
		return east && north
	}
}

// maxMetres is how far from the origin a site may reach: as far as the plane
// keeps to 0.01 ft in 2,000 ft, with a quarter to spare.
const maxMetres = 30_000

// plane is the azimuthal equidistant plane about an origin.
type plane struct{ origin LonLat }

// point is the place on the plane, to a whole 0.1 mm: the last bits of sines and
// tangents may differ between machines, and on so coarse a grid all of them find
// the same point, but for the rare one that falls between two. The site that is
// stored holds the point itself, which is exact and never projected again. A
// place farther than maxMetres is noted as wrong.
func (p plane) point(v *fault.List, place LonLat) measure.Point {
	line := inverse(p.origin, place)
	if !(line.metres <= maxMetres) {
		v.Add("", "more than 30 km from the origin at longitude %v, latitude %v; expected one site", p.origin.Lon, p.origin.Lat)
		return measure.Point{}
	}
	return measure.Point{
		East:  fromMetres(float64(line.metres * line.east)),
		North: fromMetres(float64(line.metres * line.north)),
	}
}

// fromMetres is a length to a whole 0.1 mm.
func fromMetres(m float64) measure.Length {
	return measure.Length(math.Round(float64(m*10_000))) * (measure.Millimetre / 10)
}
