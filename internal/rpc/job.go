package rpc

import (
	"slices"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/fault"
	"wattle/internal/geojson"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/traverse"
)

// Job is what was measured and what to build, as a request gives them: the site
// in local coordinates, whatever form the request used, and the spec without
// its defaults.
type Job struct {
	Site site.Site
	Spec spec.Spec

	// Closures are how the traverses that should close do, in run order.
	Closures []Closure
	// SavedSpec is the entry and version of the catalogue that Spec is, such as
	// cedar-privacy@3; empty where the request brought it.
	SavedSpec string
	// GeoOrigin is the place of the local origin on the map; nil where there is
	// no map.
	GeoOrigin *geojson.LonLat

	origin origin
}

// Closure is how a run's traverse closes.
type Closure struct {
	Run string
	traverse.Closure
}

// jobRequest is a request that brings a job.
type jobRequest interface {
	GetSite() *wattlev1.Site
	GetSpec() *wattlev1.Spec
}

// JobFromProto reads a job that brings its spec; everything that cannot be read
// is in one error. One that names a spec is read as far as it goes without: see
// ReadJob.
func JobFromProto(req jobRequest) (Job, error) {
	v := &fault.List{}
	j := readJob(v, req, namedSpec{})
	return j, v.Err()
}

// readJob reads the spec first, since it says how arcs are laid.
func readJob(v *fault.List, req jobRequest, named namedSpec) Job {
	specFaults := &fault.List{}
	readSavedSpec(specFaults, req)
	j := Job{Spec: named.spec, SavedSpec: named.ref}
	if named.ref == "" {
		j.Spec = SpecFromProto(specFaults.At("spec"), req.GetSpec())
	}
	j.readSite(v.At("site"), req.GetSite())
	_ = v.Merge(specFaults.Err()) // a list's own error has nothing but violations
	return j
}

// readSite brings every form of a site to local coordinates: the request's own
// runs and obstacles in their order, then those of its GeoJSON.
func (j *Job) readSite(v *fault.List, p *wattlev1.Site) {
	lr := lineReader{spec: &j.Spec, chords: mostChords}
	runs, obstacles := v.At("runs"), v.At("obstacles")
	for i, r := range p.GetRuns() {
		run, l := alongFromProto(runs.Index(i), r), lr.read(runs.Index(i), r)
		run.Vertices, run.Chords, run.Ground = l.vertices, l.chords, l.ground
		j.Site.Runs = append(j.Site.Runs, run)
		j.origin.runs = append(j.origin.runs, l.origin)
		if l.closure != nil {
			j.Closures = append(j.Closures, Closure{r.GetId(), *l.closure})
		}
	}
	for i, o := range p.GetObstacles() {
		j.Site.Obstacles = append(j.Site.Obstacles, obstacleFromProto(obstacles.Index(i), o))
	}
	j.origin.obstacles = len(j.Site.Obstacles)
	j.Site.Conditions = conditionsFromProto(v.At("conditions"), p.GetConditions())
	j.readMap(v, p)
}

// readMap adds what the GeoJSON has.
func (j *Job) readMap(v *fault.List, p *wattlev1.Site) {
	given, options := p.GetGeojsonOrigin(), geojson.Options{Beside: len(j.Site.Runs) > 0}
	if p.GetGeojson() == "" {
		v.Require(given == nil, "geojson_origin", "there is no map; expected geojson beside it")
		return
	}
	if given != nil {
		at := v.At("geojson_origin")
		east := at.Require(given.Longitude != nil, "longitude", "expected degrees east of Greenwich")
		if north := at.Require(given.Latitude != nil, "latitude", "expected degrees north of the equator"); !east || !north {
			return
		}
		options.Origin = &geojson.LonLat{Lon: given.GetLongitude(), Lat: given.GetLatitude()}
	}
	found := &fault.List{}
	drawn, at := geojson.Parse(found.At("geojson"), []byte(p.GetGeojson()), options)
	mergeRenamed(v, found, map[string]string{
		"geojson.origin.lon": "geojson_origin.longitude", "geojson.origin.lat": "geojson_origin.latitude",
	})
	j.GeoOrigin = &at
	j.Site.Runs = slices.Concat(j.Site.Runs, drawn.Runs)
	j.Site.Obstacles = slices.Concat(j.Site.Obstacles, drawn.Obstacles)
}

// echo is the site for an answer: nil where the request gave it in local
// coordinates itself.
func (j *Job) echo() *wattlev1.Site {
	if !j.origin.another(j.Site) {
		return nil
	}
	return SiteToProto(j.Site)
}

// geoOriginToProto is nil where there is no map.
func (j *Job) geoOriginToProto() *wattlev1.GeoOrigin {
	if j.GeoOrigin == nil {
		return nil
	}
	return &wattlev1.GeoOrigin{Longitude: &j.GeoOrigin.Lon, Latitude: &j.GeoOrigin.Lat}
}

// ClosuresToProto are the closures for an answer.
func (j *Job) ClosuresToProto() []*wattlev1.Closure {
	if len(j.Closures) == 0 {
		return nil
	}
	ls := new(lengths)
	var out []*wattlev1.Closure
	for _, c := range j.Closures {
		p := &wattlev1.Closure{
			Run: c.Run, Length: ls.of(c.Length), East: ls.of(c.East), North: ls.of(c.North),
			Misclosure: ls.of(c.Misclosure), Precision: c.Precision, Balanced: c.Balanced,
		}
		if c.Up != nil {
			p.Up = ls.of(*c.Up)
		}
		out = append(out, p)
	}
	return out
}
