package check

import (
	"fmt"
	"math/big"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// Sight is a triangle at a street corner or a drive in which a town keeps the
// view free.
type Sight struct {
	Name    string
	Corners [3]measure.Point
	// Most is the highest fence within it; nil is "not known".
	Most            *measure.Length
	Source, Edition string
}

// SightFence is a straight piece of fence in the same coordinates, or a gate.
type SightFence struct {
	Gate     string // its name; empty of fence
	From, To measure.Point
	Height   *measure.Length
}

// Sights holds fences against sight triangles. All of it is the job's data.
type Sights struct {
	Triangles []Sight
	Fences    []SightFence
}

// Validate notes everything wrong with the input; see Check.
func (s Sights) Validate(v *fault.List) {
	for i, t := range s.Triangles {
		at := v.At("triangles").Index(i)
		ok := !slices.ContainsFunc(t.Corners[:], outOfRange)
		at.Require(ok, "corners", "expected coordinates up to %s, found %v", measure.MaxLength, t.Corners)
		at.Require(side(t.Corners[0], t.Corners[1], t.Corners[2]) != 0, "corners", "expected three points not on one line, found %v", t.Corners)
		if t.Most != nil {
			at.Require(*t.Most >= 0 && *t.Most <= maxReach, "most", "expected 0 to %s, found %s", maxReach, *t.Most)
		}
	}
	for i, f := range s.Fences {
		at := v.At("fences").Index(i)
		at.Require(!outOfRange(f.From) && !outOfRange(f.To), "", "expected coordinates up to %s, found %v and %v", measure.MaxLength, f.From, f.To)
		if f.Height != nil {
			at.Require(*f.Height > 0 && *f.Height <= maxReach, "height", "expected more than 0 and at most %s, found %s", maxReach, *f.Height)
		}
	}
}

// Check is one result for each fence and each triangle that it enters or
// touches, fences first; none for the others. An Invalid error lists everything
// wrong with the input.
func (s Sights) Check() ([]Result, error) {
	v := new(fault.List)
	s.Validate(v)
	if err := v.Err(); err != nil {
		return nil, err
	}
	var results []Result
	for i, f := range s.Fences {
		for _, t := range s.Triangles {
			if t.touches(f.From, f.To) {
				results = append(results, t.judge(f).Under(fmt.Sprintf("fences[%d]", i)))
			}
		}
	}
	return results, nil
}

func (t Sight) judge(f SightFence) Result {
	what := "The fence in the sight triangle " + t.Name
	if f.Gate != "" {
		what = fmt.Sprintf("The gate %s in the sight triangle %s", f.Gate, t.Name)
	}
	if t.Most == nil {
		return notKnown(SightTriangle, "", "The town's height limit in the sight triangle "+t.Name)
	}
	return most(SightTriangle, "height", what, f.Height, *t.Most).from(t.Source, t.Edition)
}

// touches reports whether the line from a to b has a point of the triangle, its
// edge included. Two convex figures are apart only where a line along a side of
// one of them parts them; for figures that lie on one line, a side of the
// triangle does.
func (t Sight) touches(a, b measure.Point) bool {
	c := t.Corners
	for i := range c {
		from, to := c[i], c[(i+1)%3]
		inner := side(from, to, c[(i+2)%3])
		if side(from, to, a) == -inner && side(from, to, b) == -inner {
			return false
		}
	}
	first := side(a, b, c[0])
	return a == b || first == 0 || side(a, b, c[1]) != first || side(a, b, c[2]) != first
}

// side is 1 where c lies left of the line from a to b, -1 right, 0 on it.
func side(a, b, c measure.Point) int {
	along, to := b.Sub(a), c.Sub(a)
	left := new(big.Int).Mul(big.NewInt(int64(along.East)), big.NewInt(int64(to.North)))
	right := new(big.Int).Mul(big.NewInt(int64(along.North)), big.NewInt(int64(to.East)))
	return left.Cmp(right)
}

func outOfRange(p measure.Point) bool {
	return max(p.East, p.North) > measure.MaxLength || min(p.East, p.North) < -measure.MaxLength
}
