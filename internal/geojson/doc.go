// Package geojson reads a site from a map: a GeoJSON text [RFC 7946] with
// positions in WGS 84 longitude and latitude, in that order.
//
//	LineString       an open run
//	MultiLineString  a run for each line: the ids are name-1, name-2, ...
//	Polygon          a closed run along its only ring, walked as it is drawn
//	Point            a gate, a keep-out or a pin, as its property "kind" says
//
// Properties of a feature (lengths are text with a unit, as measure.Parse reads
// them; null counts as absent; other names are ignored):
//
//	all       kind             run, gate, keep-out or pin; run for lines and polygons
//	          id               else the feature's own id, else run-1, gate-1, keep-out-1, ...
//	run       face             left (default) or right
//	          start_tie_in     true: the run starts at a wall; so end_tie_in
//	          start_wall_gap   between wall and tie-in post; so end_wall_gap
//	gate      width            the clear opening; the Point is the middle of it
//	          run              id of its run; else the nearest
//	          leaves           1 (default) or 2
//	          hinge            start (default) or finish
//	          swing            left (default) or right
//	          slides           true: one leaf slides past the fence, on the side of its
//	                           swing, at the end where it would hang
//	keep-out  clearance        no hole nearer than this; a Point or a LineString
//	pin       existing         true: an old post that is kept
//	          run              id of its run; else the nearest
//
// Gates and pins belong to the map's own runs; a map that only adds obstacles to
// runs measured otherwise has none, and needs to be told its origin.
//
// A third coordinate is an elevation in metres. A line where every position has
// one gives its run the ground; Points and keep-outs need none.
//
// The plane. Positions go to the azimuthal equidistant plane about the origin:
// distance and direction from the origin are those of the geodesic on the
// ellipsoid. Between two other points a length is off by at most s^2/(6 R^2) of
// itself, s being the distance from the origin: by 0.0074 ft in 2,000 ft at 30
// km, where reading stops.
//
// What a map cannot give. The ellipsoid lies about at sea level; at an elevation
// h the ground is longer by h/R, that is by 0.1 ft in 2,000 ft for each 1,000 ft
// of h. No correction is made. And positions from a phone or clicked on a
// picture are commonly several feet off (common practice): measure on the ground
// before stock is cut, and have boundaries and buried lines marked by those
// licensed to do it.
package geojson
