package rpc

import (
	"context"

	"wattle/internal/catalog"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/spec"
)

// jobByName is a request that may name a spec of the catalogue in place of its
// own.
type jobByName interface {
	jobRequest
	GetParent() string
	GetSavedSpec() string
}

// namedSpec is the spec of the catalogue that a request named; zero where it
// named none.
type namedSpec struct {
	ref  string // with the version
	spec spec.Spec
}

// ReadJob reads a job; everything that cannot be read is in one error. The spec
// that it names is found first: it says how arcs are laid.
func ReadJob(ctx context.Context, use *estimating.Service, req jobRequest) (Job, error) {
	named, err := findSpec(ctx, use, req)
	if err != nil {
		return Job{}, err
	}
	v := &fault.List{}
	j := readJob(v, req, named)
	return j, v.Err()
}

// findSpec finds the spec that a request names. A name that is none, or one
// beside a spec, finds nothing: reading the job says what is wrong.
func findSpec(ctx context.Context, use *estimating.Service, req jobRequest) (namedSpec, error) {
	company, ref, ok := readSavedSpec(&fault.List{}, req)
	if !ok {
		return namedSpec{}, nil
	}
	saved, found, err := use.SpecByName(ctx, company, ref)
	if err != nil {
		return namedSpec{}, err
	}
	return namedSpec{saved.String(), found}, nil
}

// readSavedSpec reads which spec of which company a request names, if it names
// one as it may: a request has either a spec or the name of one.
func readSavedSpec(v *fault.List, req jobRequest) (company string, ref catalog.Ref, ok bool) {
	named, may := req.(jobByName)
	switch {
	case !may:
		return "", ref, false
	case named.GetSavedSpec() == "":
		v.Require(req.GetSpec() != nil, "spec", "value is required")
		return "", ref, false
	case req.GetSpec() != nil:
		v.Add("saved_spec", "expected either a spec or the name of a saved one, found both")
		return "", ref, false
	}
	ref, err := catalog.ParseRef(named.GetSavedSpec())
	if err != nil {
		v.Add("saved_spec", "%v", err)
	}
	return companyOf(named.GetParent()), ref, err == nil
}
