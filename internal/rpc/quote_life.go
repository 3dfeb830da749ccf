package rpc

import (
	"context"

	"google.golang.org/protobuf/types/known/timestamppb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

// IssueQuote implements wattle.v1.QuoteService.
func (s quoteService) IssueQuote(ctx context.Context, req *wattlev1.IssueQuoteRequest) (*wattlev1.IssueQuoteResponse, error) {
	r, err := s.estimating.IssueQuote(ctx, moveFromProto(ctx, "IssueQuote", req, requestHash(req, "request_id")))
	if err != nil {
		return nil, err
	}
	return &wattlev1.IssueQuoteResponse{Quote: recordToProto(r)}, nil
}

// ApproveQuote implements wattle.v1.QuoteService.
func (s quoteService) ApproveQuote(ctx context.Context, req *wattlev1.ApproveQuoteRequest) (*wattlev1.ApproveQuoteResponse, error) {
	a, err := s.estimating.ApproveQuote(ctx, moveFromProto(ctx, "ApproveQuote", req, requestHash(req, "request_id")))
	if err != nil {
		return nil, err
	}
	return &wattlev1.ApproveQuoteResponse{
		ApproverOffice: a.Office, ApproveTime: timestamppb.New(a.ApprovedAt), MarginPercent: a.Margin.String(), FloorPercent: a.Floor.String(),
	}, nil
}

// AcceptQuote implements wattle.v1.QuoteService.
func (s quoteService) AcceptQuote(ctx context.Context, req *wattlev1.AcceptQuoteRequest) (*wattlev1.AcceptQuoteResponse, error) {
	in, err := acceptFromProto(ctx, req)
	if err != nil {
		return nil, err
	}
	r, err := s.estimating.AcceptQuote(ctx, in)
	if err != nil {
		return nil, err
	}
	return &wattlev1.AcceptQuoteResponse{Quote: recordToProto(r)}, nil
}

// DeclineQuote implements wattle.v1.QuoteService.
func (s quoteService) DeclineQuote(ctx context.Context, req *wattlev1.DeclineQuoteRequest) (*wattlev1.DeclineQuoteResponse, error) {
	in, err := declineFromProto(ctx, req)
	if err != nil {
		return nil, err
	}
	r, err := s.estimating.DeclineQuote(ctx, in)
	if err != nil {
		return nil, err
	}
	return &wattlev1.DeclineQuoteResponse{Quote: recordToProto(r)}, nil
}

// VoidQuote implements wattle.v1.QuoteService.
func (s quoteService) VoidQuote(ctx context.Context, req *wattlev1.VoidQuoteRequest) (*wattlev1.VoidQuoteResponse, error) {
	r, err := s.estimating.VoidQuote(ctx, moveFromProto(ctx, "VoidQuote", req, requestHash(req, "request_id")))
	if err != nil {
		return nil, err
	}
	return &wattlev1.VoidQuoteResponse{Quote: recordToProto(r)}, nil
}

// ReviseQuote implements wattle.v1.QuoteService.
func (s quoteService) ReviseQuote(ctx context.Context, req *wattlev1.ReviseQuoteRequest) (*wattlev1.ReviseQuoteResponse, error) {
	stored, job, err := s.revise(ctx, req)
	if err != nil {
		return nil, job.Explain(err)
	}
	answer := &wattlev1.ReviseQuoteResponse{Quote: storedToProto(stored, req.GetView()), Closures: job.ClosuresToProto()}
	if !s.limit.holds(answer) {
		// As in CreateQuote: it is stored.
		answer.Quote = recordToProto(stored.Record)
	}
	return answer, nil
}

// revise also answers the job, as far as it could be read.
func (s quoteService) revise(ctx context.Context, req *wattlev1.ReviseQuoteRequest) (estimating.Stored, Job, error) {
	company, id := quoteOf(req.GetName())
	old, err := s.estimating.GetQuote(ctx, company, id)
	if err != nil {
		return estimating.Stored{}, Job{}, err
	}
	if req.GetSavedSpec() != "" {
		// As in CreateQuote: whatever has become of the entry since.
		key := moveFromProto(ctx, "ReviseQuote", req, requestHash(req, "request_id", "view")).Key
		stored, err := s.estimating.QuoteByRequest(ctx, key)
		if err == nil || fault.KindOf(err) != fault.NotFound {
			_, job, _ := revisionOf(ctx, old, req, namedSpec{}) // it could be read the first time
			return stored, job, err
		}
	}
	named, err := findSpec(ctx, s.estimating, revisedSpec{req})
	if err != nil {
		return estimating.Stored{}, Job{}, err
	}
	in, job, err := revisionOf(ctx, old, req, named)
	if err != nil {
		return estimating.Stored{}, job, err
	}
	stored, err := s.estimating.ReviseQuote(ctx, in)
	return stored, job, err
}
