package rpc

import (
	"context"
	"encoding/hex"

	"google.golang.org/protobuf/types/known/timestamppb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/quote"
)

var quoteStates = pairsOf(map[wattlev1.QuoteState]quote.State{
	wattlev1.QuoteState_QUOTE_STATE_DRAFT:    quote.Draft,
	wattlev1.QuoteState_QUOTE_STATE_ISSUED:   quote.Issued,
	wattlev1.QuoteState_QUOTE_STATE_ACCEPTED: quote.Accepted,
	wattlev1.QuoteState_QUOTE_STATE_DECLINED: quote.Declined,
	wattlev1.QuoteState_QUOTE_STATE_EXPIRED:  quote.Expired,
	wattlev1.QuoteState_QUOTE_STATE_VOID:     quote.Void,
})

var parties = pairsOf(map[wattlev1.QuoteDecision_Party]quote.Party{
	wattlev1.QuoteDecision_PARTY_CUSTOMER: quote.Customer,
	wattlev1.QuoteDecision_PARTY_AGENT:    quote.Agent,
})

// lifeToProto writes where a quote stands into p.
func lifeToProto(p *wattlev1.Quote, company string, l estimating.Life) {
	named := func(id string) string {
		if id == "" {
			return ""
		}
		return quoteName(company, id)
	}
	p.State, p.Sequence, p.Etag = quoteStates.wire[l.State], int32(l.Sequence), l.Etag()
	p.UpdateTime = timestamppb.New(l.UpdatedAt)
	if !l.ExpiresAt.IsZero() {
		p.ExpireTime = timestamppb.New(l.ExpiresAt)
	}
	p.Root, p.RevisionNumber, p.Revises, p.SupersededBy = named(l.Root), int32(l.RevisionNumber), named(l.Revises), named(l.SupersededBy)
	p.ChangesQuote, p.OptionGroup = named(l.Changes), named(l.OptionGroup)
	if d := l.Decision; d != (estimating.Decision{}) {
		p.Decision = &wattlev1.QuoteDecision{DecidedBy: parties.wire[d.By], Reference: d.Reference, DecisionDate: d.On.String()}
	}
}

// moveRequest is a request to change where a quote stands.
type moveRequest interface {
	GetName() string
	GetRequestId() string
	GetEtag() string
}

// moveFromProto reads what such requests have in common.
func moveFromProto(ctx context.Context, method string, req moveRequest, hash [32]byte) estimating.Move {
	company, id := quoteOf(req.GetName())
	return estimating.Move{Key: requestKey(ctx, method, company, req.GetRequestId(), hash), Quote: id, Etag: req.GetEtag()}
}

// decisionRequest is a request that says who decided.
type decisionRequest interface {
	GetDecidedBy() wattlev1.QuoteDecision_Party
	GetReference() string
	GetDecisionDate() string
}

func decisionFromProto(v *fault.List, req decisionRequest) estimating.Decision {
	return estimating.Decision{
		By: parties.domain[req.GetDecidedBy()], Reference: req.GetReference(),
		On: readDate(v, "decision_date", req.GetDecisionDate()),
	}
}

func acceptFromProto(ctx context.Context, req *wattlev1.AcceptQuoteRequest) (estimating.AcceptQuote, error) {
	v := &fault.List{}
	in := estimating.AcceptQuote{
		Move:     moveFromProto(ctx, "AcceptQuote", req, requestHash(req, "request_id")),
		Decision: decisionFromProto(v, req),
	}
	if hash, err := hex.DecodeString(req.GetFingerprint()); err == nil && len(hash) == 32 { // as the .proto has it
		in.Fingerprint = (*[32]byte)(hash)
	}
	return in, v.Err()
}

func declineFromProto(ctx context.Context, req *wattlev1.DeclineQuoteRequest) (estimating.DeclineQuote, error) {
	v := &fault.List{}
	in := estimating.DeclineQuote{
		Move:     moveFromProto(ctx, "DeclineQuote", req, requestHash(req, "request_id")),
		Decision: decisionFromProto(v, req),
	}
	return in, v.Err()
}

// besideFromProto reads which quote a new one is offered beside, and which it
// changes.
func besideFromProto(v *fault.List, req *wattlev1.CreateQuoteRequest) (optionOf, changes string) {
	own := func(field, name string) string {
		company, id := quoteOf(name)
		v.Require(name == "" || company == companyOf(req.GetParent()), field, "expected a quote of the same company, %s", req.GetParent())
		return id
	}
	optionOf, changes = own("option_of", req.GetOptionOf()), own("changes_quote", req.GetChangesQuote())
	v.Require(optionOf == "" || changes == "", "changes_quote", "expected it or option_of, found both: an option of a change order is one itself")
	return optionOf, changes
}

// revisionOf reads the next revision of a quote: what the request leaves out is
// the quote's own.
func revisionOf(ctx context.Context, old estimating.Stored, req *wattlev1.ReviseQuoteRequest, named namedSpec) (estimating.ReviseQuote, Job, error) {
	v := &fault.List{}
	m := moveFromProto(ctx, "ReviseQuote", req, requestHash(req, "request_id", "view"))
	in := estimating.ReviseQuote{Quote: m.Quote, Etag: m.Etag, CreateQuote: estimating.CreateQuote{
		Key: m.Key, Office: old.Record.Office, Customer: old.Record.Customer, ExternalRef: old.Record.ExternalRef,
		Currency: old.Record.Currency, Custom: old.Request.Custom, Pricing: old.Request.Pricing,
		AsOf:       readDate(v, "as_of", req.GetAsOf()),
		ValidUntil: readDate(v, "valid_until", req.GetValidUntil()),
		Revision:   revisionFromProto(req.Revision), //nolint:protogetter // nil says absent
	}}
	if req.ExternalReference != nil {
		in.ExternalRef = req.GetExternalReference()
	}
	if lines := req.GetCustomLines(); lines != nil {
		in.Custom = customLinesFromProto(v.At("custom_lines").At("lines"), lines.GetLines())
	}
	if p := req.GetPricing(); p != nil {
		in.Pricing = pricingFromProto(v.At("pricing"), p)
	}
	job := revisedJob(v, old, req, named)
	in.Site, in.Spec, in.SavedSpec = job.Site, job.Spec, job.SavedSpec
	return in, job, v.Err()
}

func revisedJob(v *fault.List, old estimating.Stored, req *wattlev1.ReviseQuoteRequest, named namedSpec) Job {
	job := Job{Site: old.Request.Site, Spec: old.Request.Spec, SavedSpec: old.Record.SavedSpec}
	specFaults := &fault.List{}
	switch {
	case req.GetSavedSpec() != "":
		readSavedSpec(specFaults, revisedSpec{req})
		job.Spec, job.SavedSpec = named.spec, named.ref
	case req.GetSpec() != nil:
		job.Spec, job.SavedSpec = SpecFromProto(specFaults.At("spec"), req.GetSpec()), ""
	}
	if req.GetSite() != nil {
		job.Site.Runs, job.Site.Obstacles = nil, nil
		job.readSite(v.At("site"), req.GetSite())
	}
	_ = v.Merge(specFaults.Err()) // a list's own error has nothing but violations
	return job
}

// revisedSpec is a revision as a request that may name a spec.
type revisedSpec struct{ *wattlev1.ReviseQuoteRequest }

func (r revisedSpec) GetParent() string {
	company, _ := quoteOf(r.GetName())
	return "companies/" + company
}
