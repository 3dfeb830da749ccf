package rpc

import (
	"context"
	"slices"
	"sync"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/money"
	"wattle/internal/quote"
	"wattle/internal/spec"
)

type adviceService struct{ estimating *estimating.Service }

// CompareOptions implements wattle.v1.AdviceService.
func (s adviceService) CompareOptions(ctx context.Context, req *wattlev1.CompareOptionsRequest) (*wattlev1.CompareOptionsResponse, error) {
	named, err := findOptionSpecs(ctx, s.estimating, req)
	if err != nil {
		return nil, err
	}
	in, job, err := compareOptionsFromProto(req, named)
	if err != nil {
		return nil, err
	}
	options, err := s.estimating.CompareOptions(ctx, in)
	if err != nil {
		return nil, err
	}
	answer := optionsToProto(options)
	answer.Closures = job.ClosuresToProto()
	return answer, nil
}

// Advise implements wattle.v1.AdviceService.
func (s adviceService) Advise(ctx context.Context, req *wattlev1.AdviseRequest) (*wattlev1.AdviseResponse, error) {
	named, err := findSpec(ctx, s.estimating, req)
	if err != nil {
		return nil, err
	}
	in, job, err := adviseFromProto(req, named)
	if err != nil {
		return nil, err
	}
	advice, err := s.estimating.Advise(ctx, in)
	if err != nil {
		return nil, err
	}
	answer := adviceToProto(advice)
	answer.Closures = job.ClosuresToProto()
	return answer, nil
}

// pricedRequest is what requests for unstored figures have in common.
type pricedRequest interface {
	GetParent() string
	GetOffice() string
	GetCurrency() string
	GetAsOf() string
	GetCustomLines() []*wattlev1.CustomLine
	GetPricing() *wattlev1.Pricing
}

// baseFromProto reads them as the quote that is not stored.
func baseFromProto(v *fault.List, req pricedRequest, revision *int64) estimating.CreateQuote {
	return estimating.CreateQuote{
		Key:      estimating.RequestKey{Company: companyOf(req.GetParent())},
		Office:   req.GetOffice(),
		Currency: read(v, "currency", req.GetCurrency(), money.ParseCurrency),
		AsOf:     readDate(v, "as_of", req.GetAsOf()),
		Revision: revisionFromProto(revision),
		Custom:   customLinesFromProto(v.At("custom_lines"), req.GetCustomLines()),
		Pricing:  pricingFromProto(v.At("pricing"), req.GetPricing()),
	}
}

// optionRequest is an option as a request of its own, which may name its spec.
type optionRequest struct {
	*wattlev1.CompareOptionsRequest_NamedSpec
	all *wattlev1.CompareOptionsRequest
}

func (o optionRequest) GetSite() *wattlev1.Site { return o.all.GetSite() }
func (o optionRequest) GetParent() string       { return o.all.GetParent() }

// findOptionSpecs finds the specs that options name, in the order of the options.
func findOptionSpecs(ctx context.Context, use *estimating.Service, req *wattlev1.CompareOptionsRequest) ([]namedSpec, error) {
	all := make([]namedSpec, len(req.GetOptions()))
	for i, o := range req.GetOptions() {
		named, err := findSpec(ctx, use, optionRequest{o, req})
		if err != nil {
			return nil, err
		}
		all[i] = named
	}
	return all, nil
}

// compareOptionsFromProto takes the specs that options name, nil where none was
// looked up. It answers, as the job of the first option, what a site
// has besides. What cannot be read is the call's error, an option's spec under
// its own path; an arc that the bays of one option do not go around is not.
func compareOptionsFromProto(req *wattlev1.CompareOptionsRequest, saved []namedSpec) (estimating.CompareOptions, Job, error) {
	v := &fault.List{}
	in := estimating.CompareOptions{
		Base: baseFromProto(v, req, req.Revision),
		Site: siteFor(req.GetSite()),
	}
	var job Job
	var unread error // of the site, where no spec helps
	for i, o := range req.GetOptions() {
		at := v.At("options").Index(i)
		named := estimating.NamedSpec{Name: o.GetName()}
		readSavedSpec(at, optionRequest{o, req})
		if i < len(saved) && saved[i].ref != "" {
			named.Spec = saved[i].spec
		} else {
			named.Spec = SpecFromProto(at.At("spec"), o.GetSpec())
		}
		in.Options = append(in.Options, named)
		if i > 0 && unread == nil {
			continue
		}
		read := &fault.List{}
		job = Job{Spec: named.Spec}
		job.readSite(read.At("site"), req.GetSite())
		unread = read.Err()
	}
	_ = v.Merge(unread) // a list's own error has nothing but violations
	return in, job, v.Err()
}

// adviseFromProto takes the spec that the request names, zero where none was
// looked up.
func adviseFromProto(req *wattlev1.AdviseRequest, named namedSpec) (estimating.Advise, Job, error) {
	v := &fault.List{}
	in := estimating.Advise{
		Base: baseFromProto(v, req, req.Revision),
		Site: siteFor(req.GetSite()),
		Search: quote.Search{
			From: readSize(v, "bay_from", req.GetBayFrom()),
			To:   readSize(v, "bay_to", req.GetBayTo()),
			Step: readSize(v, "bay_step", req.GetBayStep()),
		},
		Table: int(req.GetTableSize()),
	}
	for _, m := range req.GetMethods() {
		in.Search.Methods = append(in.Search.Methods, methods.domain[m])
	}
	job := readJob(v, req, named)
	in.Spec = job.Spec
	return in, job, v.Err()
}

// siteFor reads the site under any spec. Only arcs depend on that: a site
// without any is read once.
func siteFor(p *wattlev1.Site) estimating.SiteFor {
	read := func(sp spec.Spec) (estimating.Measured, error) {
		v := &fault.List{}
		j := Job{Spec: sp}
		j.readSite(v.At("site"), p)
		return estimating.Measured{Site: j.Site, Explain: j.Explain}, v.Err()
	}
	curved := slices.ContainsFunc(p.GetRuns(), func(r *wattlev1.Run) bool {
		return slices.ContainsFunc(r.GetVertices(), func(vertex *wattlev1.Vertex) bool { return vertex.GetArc() != nil })
	})
	if curved {
		return read
	}
	once := sync.OnceValues(func() (estimating.Measured, error) { return read(spec.Spec{}) })
	return func(spec.Spec) (estimating.Measured, error) { return once() }
}
