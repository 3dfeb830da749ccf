package check

import (
	"fmt"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// YardLimit is the highest fence that a town allows in a kind of yard.
type YardLimit struct {
	// Yard is the town's word: "front", "side", "rear", or any other.
	Yard            string
	Most            measure.Length
	Source, Edition string
}

// YardFence is a piece of fence in one yard. Height is the highest above grade.
type YardFence struct {
	Yard   string
	Height *measure.Length
}

// Yards holds fences against the limits of their yards. All of it is the job's
// data; what is missing gives NotEnoughData.
type Yards struct {
	Limits []YardLimit
	Fences []YardFence
}

// Validate notes everything wrong with the input; see Check.
func (y Yards) Validate(v *fault.List) {
	seen := make(map[string]bool)
	for i, l := range y.Limits {
		at := v.At("limits").Index(i)
		at.Require(l.Yard != "", "yard", "expected a name, found nothing")
		at.Require(!seen[l.Yard], "yard", "expected one limit for each yard, found %q again", l.Yard)
		at.Require(l.Most > 0 && l.Most <= maxReach, "most", "expected more than 0 and at most %s, found %s", maxReach, l.Most)
		seen[l.Yard] = true
	}
	for i, f := range y.Fences {
		if f.Height != nil {
			v.At("fences").Index(i).Require(*f.Height > 0 && *f.Height <= maxReach, "height", "expected more than 0 and at most %s, found %s", maxReach, *f.Height)
		}
	}
}

// Check is one result for each fence, in their order; an Invalid error lists
// everything wrong with the input.
func (y Yards) Check() ([]Result, error) {
	v := new(fault.List)
	y.Validate(v)
	if err := v.Err(); err != nil {
		return nil, err
	}
	var results []Result
	for i, f := range y.Fences {
		results = append(results, y.fence(f).Under(fmt.Sprintf("fences[%d]", i)))
	}
	return results, nil
}

// unnamedYard is the yard of a fence whose yard is not named but has a limit.
const unnamedYard = "this"

// called is a yard as a sentence has it.
func called(yard string) string {
	if yard == unnamedYard {
		return "this yard"
	}
	return "the " + yard + " yard"
}

func (y Yards) fence(f YardFence) Result {
	switch {
	case f.Yard == "":
		return notKnown(YardHeight, "yard", "Which yard the fence is in")
	case f.Height == nil:
		return notKnown(YardHeight, "height", "The height of the fence in "+called(f.Yard))
	}
	for _, l := range y.Limits {
		if l.Yard == f.Yard {
			return most(YardHeight, "height", "The fence in "+called(f.Yard), f.Height, l.Most).from(l.Source, l.Edition)
		}
	}
	return notKnown(YardHeight, "yard", "The town's height limit for "+called(f.Yard))
}

// PermitLimit is the height up to which a town asks for no permit.
type PermitLimit struct {
	UpTo            measure.Length
	Source, Edition string
}

// ModelPermit is the model code's: fences up to 7 ft need none [IRC 2015 R105.2,
// PZ-1]. Many towns say 6 ft.
func ModelPermit() PermitLimit {
	return PermitLimit{UpTo: 7 * measure.Foot, Source: "IRC R105.2", Edition: "2015"}
}

// Permit asks whether a fence is low enough to need no permit.
type Permit struct {
	Height measure.Length
	// Town is the town's own limit; nil is "not known", and then the model
	// code's is told, which decides nothing.
	Town *PermitLimit
}

// Validate notes everything wrong with the input; see Check.
func (p Permit) Validate(v *fault.List) {
	v.Require(p.Height > 0 && p.Height <= maxReach, "height", "expected more than 0 and at most %s, found %s", maxReach, p.Height)
	if p.Town != nil {
		v.Require(p.Town.UpTo >= 0 && p.Town.UpTo <= maxReach, "town.up_to", "expected 0 to %s, found %s", maxReach, p.Town.UpTo)
		v.Require(p.Town.Source != "", "town.source", "expected where the rule was read, found nothing")
	}
}

// Check is Pass at or under the town's limit, otherwise Advisory: a permit is a
// thing to get, not a fault of the fence. An Invalid error lists everything
// wrong with the input.
func (p Permit) Check() (Result, error) {
	v := new(fault.List)
	p.Validate(v)
	if err := v.Err(); err != nil {
		return Result{}, err
	}
	limit, whose, outcome := ModelPermit(), "the model code, which many towns tighten to 6 ft,", Advisory
	if p.Town != nil {
		limit, whose = *p.Town, "the town"
		if p.Height <= limit.UpTo {
			outcome = Pass
		}
	}
	asks := "asks for no permit"
	if p.Height > limit.UpTo {
		asks = "asks for a permit"
	}
	text := fmt.Sprintf("The fence is %s high and %s %s; the limit is %s.", p.Height.Imperial(), whose, asks, limit.UpTo.Imperial())
	return result(PermitHeight, outcome, "height", text, inFeet("height", p.Height), inFeet("limit", limit.UpTo)).from(limit.Source, limit.Edition), nil
}
