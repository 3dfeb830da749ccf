package geojson

import (
	"math"

	ellipsoid "github.com/tidwall/geodesic"
)

// geodesic is the shortest line from one place to another: its length in metres
// and its direction at the start.
type geodesic struct{ metres, east, north float64 }

// inverse is the geodesic between two places on the WGS 84 ellipsoid.
// Coincident places give a length of zero.
func inverse(from, to LonLat) geodesic {
	var metres, azimuth float64
	ellipsoid.WGS84.Inverse(from.Lat, from.Lon, to.Lat, to.Lon, &metres, &azimuth, nil)
	east, north := math.Sincos(float64(azimuth*math.Pi) / 180)
	return geodesic{metres, east, north}
}
