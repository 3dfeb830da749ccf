package site

import (
	"wattle/internal/fault"
	"wattle/internal/measure"
)

// What bounds the time that Barred takes.
const (
	maxObstacles     = 1_000
	maxPathVertices  = 1_000
	maxTotalVertices = 10_000
	// maxPasses is how many times a side of an obstacle may come near a leg of
	// a run.
	maxPasses = 250_000
)

func (s Site) validateObstacles(v *fault.List) {
	before := v.Len()
	v.Require(len(s.Obstacles) <= maxObstacles, "", "expected at most %d obstacles, found %d", maxObstacles, len(s.Obstacles))
	ids := make(map[string]int, len(s.Obstacles))
	total := 0
	for i, o := range s.Obstacles {
		v := v.Index(i)
		o.validate(v)
		total += len(o.Path)
		if first, seen := ids[o.ID]; seen && o.ID != "" {
			v.Add("id", "%q is also the id of obstacles[%d]; expected an id of its own", o.ID, first)
		} else {
			ids[o.ID] = i
		}
	}
	v.Require(total <= maxTotalVertices, "", "expected at most %d vertices in all paths together, found %d", maxTotalVertices, total)
	if v.Len() > before {
		return
	}
	passes := 0
	for _, r := range s.Runs {
		legs := r.Legs()
		for _, o := range s.Obstacles {
			for range o.near(legs) {
				if passes++; passes > maxPasses {
					v.Add("", "their sides come near sides of runs more than %d times; expected fewer obstacles, with fewer vertices or less clearance", maxPasses)
					return
				}
			}
		}
	}
}

func (o Obstacle) validate(v *fault.List) {
	v.Require(o.ID != "", "id", "expected an id")
	v.Require(len(o.Path) > 0, "path", "expected one vertex (a point) or more (a line)")
	v.Require(len(o.Path) <= maxPathVertices, "path", "expected at most %d vertices, found %d", maxPathVertices, len(o.Path))
	for i, p := range o.Path {
		v.At("path").Index(i).Require(within(p.East) && within(p.North), "", "expected coordinates of at most %s", measure.MaxLength)
	}
	v.Require(o.Clearance > 0 && within(o.Clearance), "clearance", "expected a clearance of more than 0 and at most %s, found %s", measure.MaxLength, o.Clearance)
}
