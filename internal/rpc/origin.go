package rpc

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"wattle/internal/fault"
	"wattle/internal/site"
)

// origin leads from the parts of a site in local coordinates back to the request
// that may have given them in another form: what is found wrong with the site
// later is told by the paths of the request.
type origin struct {
	runs      []runOrigin // the others came from the GeoJSON
	obstacles int         // as many came from the request itself
}

// runOrigin is where the vertices and the ground of a run came from; nil where
// the request gave them as they are.
type runOrigin struct {
	vertices, ground []source
	// whole stands for what is about all the vertices at once.
	whole string
}

// source is a part of a run in the request; the note says which part of it.
type source struct{ field, note string }

// another reports whether the request gave the site in another form than its
// own.
func (o origin) another(s site.Site) bool {
	for _, r := range o.runs {
		if r.vertices != nil || r.ground != nil {
			return true
		}
	}
	return len(s.Runs) > len(o.runs) || len(s.Obstacles) > o.obstacles
}

// Explain is an error about the job with its paths as the request has them.
func (j *Job) Explain(err error) error {
	e, ok := errors.AsType[*fault.Error](err)
	if !ok || len(e.Violations) == 0 || !j.origin.another(j.Site) {
		return err
	}
	told := *e
	told.Violations = make([]fault.Violation, len(e.Violations))
	for i, v := range e.Violations {
		told.Violations[i] = j.explain(v)
	}
	return &told
}

var (
	partOfSite = regexp.MustCompile(`^site\.(runs|obstacles)\[(\d+)\]\.?(.*)$`)
	partOfLine = regexp.MustCompile(`^(vertices|ground|chords)(?:\[(\d+)\])?`)
)

func (j *Job) explain(v fault.Violation) fault.Violation {
	m := partOfSite.FindStringSubmatch(v.Field)
	if m == nil {
		return v
	}
	i, err := strconv.Atoi(m[2])
	if err != nil {
		return v
	}
	rest := m[3]
	switch {
	case m[1] == "obstacles" && i >= j.origin.obstacles && i < len(j.Site.Obstacles):
		return drawn(v, "keep-out", j.Site.Obstacles[i].ID, rest)
	case m[1] == "runs" && i >= len(j.origin.runs) && i < len(j.Site.Runs):
		return drawn(v, "run", j.Site.Runs[i].ID, rest)
	case m[1] == "runs" && i < len(j.origin.runs):
		if p := j.origin.runs[i].source(rest, j.Site.Runs[i].Chords); p.field != "" {
			v.Field = "site.runs[" + m[2] + "]." + p.field
			v.Description = p.note + v.Description
		}
	}
	return v
}

// drawn is a violation about something in the GeoJSON, which has ids and no
// indices of ours.
func drawn(v fault.Violation, kind, id, rest string) fault.Violation {
	about := fmt.Sprintf("%s %q: ", kind, id)
	if rest != "" {
		about = fmt.Sprintf("%s %q, %s: ", kind, id, rest)
	}
	return fault.Violation{Field: "site.geojson", Description: about + v.Description}
}

// source is where the request has a part of the run's line; none where it has it
// under the same path.
func (r runOrigin) source(part string, chords []int) source {
	m := partOfLine.FindStringSubmatch(part)
	if m == nil {
		return source{}
	}
	i, err := strconv.Atoi(m[2])
	indexed := err == nil
	pick := func(places []source) source {
		switch {
		case indexed && i < len(places):
			return places[i]
		case places != nil:
			return source{field: r.whole}
		default:
			return source{}
		}
	}
	switch m[1] {
	case "vertices":
		return pick(r.vertices)
	case "ground":
		return pick(r.ground)
	default: // a chord that an arc made is that arc's
		if indexed && i < len(chords) && chords[i] < len(r.vertices) {
			if i = chords[i]; strings.HasSuffix(r.vertices[i].field, ".arc") {
				return r.vertices[i]
			}
		}
		return source{}
	}
}
