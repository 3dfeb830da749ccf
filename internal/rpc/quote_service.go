package rpc

import (
	"context"
	"time"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

type quoteService struct {
	estimating *estimating.Service
	limit      answerLimit
}

// CreateQuote implements wattle.v1.QuoteService.
func (s quoteService) CreateQuote(ctx context.Context, req *wattlev1.CreateQuoteRequest) (*wattlev1.CreateQuoteResponse, error) {
	stored, job, err := s.create(ctx, req)
	if err != nil {
		return nil, job.Explain(err)
	}
	answer := &wattlev1.CreateQuoteResponse{Quote: storedToProto(stored, req.GetView()), Closures: job.ClosuresToProto()}
	if !s.limit.holds(answer) {
		// The quote is stored: an error would be a lie.
		answer.Quote = recordToProto(stored.Record)
	}
	return answer, nil
}

// create also answers the job, as far as it could be read.
func (s quoteService) create(ctx context.Context, req *wattlev1.CreateQuoteRequest) (estimating.Stored, Job, error) {
	if req.GetSavedSpec() != "" {
		// A repeated call gets its quote, whatever has become of the entry since.
		stored, err := s.estimating.QuoteByRequest(ctx, createQuoteKey(ctx, req))
		if err == nil || fault.KindOf(err) != fault.NotFound {
			job, _ := JobFromProto(req) // it could be read the first time
			return stored, job, err
		}
	}
	named, err := findSpec(ctx, s.estimating, req)
	if err != nil {
		return estimating.Stored{}, Job{}, err
	}
	in, job, err := createQuoteFromProto(ctx, req, named)
	if err != nil {
		return estimating.Stored{}, job, err
	}
	stored, err := s.estimating.CreateQuote(ctx, in)
	return stored, job, err
}

// GetQuote implements wattle.v1.QuoteService.
func (s quoteService) GetQuote(ctx context.Context, req *wattlev1.GetQuoteRequest) (*wattlev1.GetQuoteResponse, error) {
	company, id := quoteOf(req.GetName())
	stored, err := s.estimating.GetQuote(ctx, company, id)
	if err != nil {
		return nil, err
	}
	return &wattlev1.GetQuoteResponse{Quote: storedToProto(stored, req.GetView())}, nil
}

// ListQuotes implements wattle.v1.QuoteService.
func (s quoteService) ListQuotes(ctx context.Context, req *wattlev1.ListQuotesRequest) (*wattlev1.ListQuotesResponse, error) {
	size := pageSize(req.GetPageSize())
	filter := estimating.QuoteFilter{
		Company: companyOf(req.GetParent()), Office: req.GetOffice(), ExternalRef: req.GetExternalReference(), Customer: req.GetCustomer(),
		Limit: size + 1,
	}
	for _, state := range req.GetStates() {
		filter.States = append(filter.States, quoteStates.domain[state])
	}
	v := &fault.List{}
	if since := req.GetUpdatedSince(); since != nil {
		v.Require(since.IsValid(), "updated_since", "expected a time of the years 1 to 9999")
		filter.UpdatedSince = since.AsTime()
	}
	if root := req.GetRoot(); root != "" {
		company, id := quoteOf(root)
		v.Require(company == filter.Company, "root", "expected a quote of the same company, %s", req.GetParent())
		filter.Root = id
	}
	if err := v.Err(); err != nil {
		return nil, err
	}
	from, err := readPageToken(req, req.GetPageToken())
	if err != nil {
		return nil, err
	}
	if from != nil {
		if filter.BeforeCreatedAt, err = time.Parse(time.RFC3339Nano, from[0]); err != nil {
			return nil, badPageToken("it is no token of this service")
		}
		filter.BeforeID = from[1]
	}
	records, err := s.estimating.ListQuotes(ctx, filter)
	if err != nil {
		return nil, err
	}
	answer := &wattlev1.ListQuotesResponse{}
	if len(records) > size {
		records = records[:size]
		last := records[size-1]
		answer.NextPageToken = pageToken(req, place{last.CreatedAt.UTC().Format(time.RFC3339Nano), last.ID})
	}
	for _, r := range records {
		answer.Quotes = append(answer.Quotes, recordToProto(r))
	}
	return answer, nil
}

// ReplayQuote implements wattle.v1.QuoteService.
func (s quoteService) ReplayQuote(ctx context.Context, req *wattlev1.ReplayQuoteRequest) (*wattlev1.ReplayQuoteResponse, error) {
	company, id := quoteOf(req.GetName())
	replay, err := s.estimating.ReplayQuote(ctx, company, id)
	if err != nil {
		return nil, err
	}
	return replayToProto(replay), nil
}

// RenderQuote implements wattle.v1.QuoteService.
func (s quoteService) RenderQuote(ctx context.Context, req *wattlev1.RenderQuoteRequest) (*wattlev1.RenderQuoteResponse, error) {
	company, id := quoteOf(req.GetName())
	if err := mayRender(estimating.CallerOf(ctx), req.GetFormat()); err != nil {
		return nil, err
	}
	if kind, ok := paperKinds.domain[req.GetFormat()]; ok {
		return s.renderPaper(ctx, company, id, kind, req)
	}
	stored, err := s.estimating.GetQuote(ctx, company, id)
	if err != nil {
		return nil, err
	}
	d, err := quoteDocument(stored, req)
	return &wattlev1.RenderQuoteResponse{Document: d}, err
}

// CompareQuotes implements wattle.v1.QuoteService.
func (s quoteService) CompareQuotes(ctx context.Context, req *wattlev1.CompareQuotesRequest) (*wattlev1.CompareQuotesResponse, error) {
	company, base := quoteOf(req.GetBase())
	otherCompany, other := quoteOf(req.GetOther())
	if otherCompany != company {
		v := &fault.List{}
		v.Add("other", "expected a quote of the same company as base, companies/%s", company)
		return nil, v.Err()
	}
	comparison, err := s.estimating.CompareQuotes(ctx, company, base, other)
	if err != nil {
		return nil, err
	}
	return comparisonToProto(comparison), nil
}

// createQuoteFromProto answers the job that the wish holds as well.
func createQuoteFromProto(ctx context.Context, req *wattlev1.CreateQuoteRequest, named namedSpec) (estimating.CreateQuote, Job, error) {
	v := &fault.List{}
	in := estimating.CreateQuote{
		Key:      createQuoteKey(ctx, req),
		Office:   req.GetOffice(),
		Customer: req.GetCustomer(), ExternalRef: req.GetExternalReference(),
		Currency:   readCurrency(v, req.GetCurrency()),
		AsOf:       readDate(v, "as_of", req.GetAsOf()),
		ValidUntil: readDate(v, "valid_until", req.GetValidUntil()),
		Revision:   revisionFromProto(req.Revision), //nolint:protogetter // nil says absent
	}
	job := readJob(v, req, named)
	in.Site, in.Spec, in.SavedSpec = job.Site, job.Spec, job.SavedSpec
	in.Custom = customLinesFromProto(v.At("custom_lines"), req.GetCustomLines())
	in.Pricing = pricingFromProto(v.At("pricing"), req.GetPricing())
	in.OptionOf, in.Changes = besideFromProto(v, req)
	return in, job, v.Err()
}

// createQuoteKey leaves the view out: it is about the answer, not about the quote.
func createQuoteKey(ctx context.Context, req *wattlev1.CreateQuoteRequest) estimating.RequestKey {
	return requestKey(ctx, "CreateQuote", req.GetParent(), req.GetRequestId(), requestHash(req, "request_id", "view"))
}

func requestKey(ctx context.Context, method, parent, requestID string, hash [32]byte) estimating.RequestKey {
	return estimating.RequestKey{
		Company: companyOf(parent), Principal: estimating.CallerOf(ctx).Principal, Method: method, RequestID: requestID, Hash: hash,
	}
}
