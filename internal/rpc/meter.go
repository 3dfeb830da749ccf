package rpc

import (
	"context"
	"errors"

	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/metric"
	"google.golang.org/genproto/googleapis/rpc/code"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	wattlev1 "wattle/api/wattle/v1"
)

// meter counts what matters to who runs the service and does not show in calls
// by method and code: why calls fail, and what became of quotes, replays and
// price lists.
//
// Labels have few values, whatever callers send: reasons are words of this
// program, outcomes are listed below.
type meter struct {
	errors, quotes, replays, imports, importChanges metric.Int64Counter
}

// Outcomes of a call that makes something.
const (
	outcomeMade    = "made"    // it was, or had been by the same request id
	outcomeChecked = "checked" // a dry run
	outcomeRefused = "refused" // the caller's affair: bad input, missing prices, no right
	outcomeFailed  = "failed"  // ours
)

func newMeter(p metric.MeterProvider) (meter, error) {
	m := p.Meter("wattle")
	var failures error
	counter := func(name, what string) metric.Int64Counter {
		c, err := m.Int64Counter(name, metric.WithDescription(what))
		failures = errors.Join(failures, err)
		return c
	}
	all := meter{
		errors:        counter("wattle.call.errors", "calls that were answered with an error, by its gRPC code and reason; among them those sent away by a limit"),
		quotes:        counter("wattle.quotes", "calls that make or revise a quote, by outcome: made, refused or failed"),
		replays:       counter("wattle.replays", "replays of quotes, by whether document, arithmetic and prices were all identical"),
		imports:       counter("wattle.imports", "price lists, by outcome: made, checked (a dry run), refused or failed"),
		importChanges: counter("wattle.imports.changes", "entries that price lists added to the book"),
	}
	// A rate needs a first value: without one the first replay that differs, the
	// first defect and the first call shed would go unseen.
	ctx := context.Background()
	all.errors.Add(ctx, 0, errorIs(codes.Internal, "INTERNAL"))
	for _, reason := range []string{"OVERLOADED", "TOO_MANY_CALLS", "MEMORY_SHORT"} {
		all.errors.Add(ctx, 0, errorIs(codes.Unavailable, reason))
	}
	for _, identical := range []bool{true, false} {
		all.replays.Add(ctx, 0, metric.WithAttributes(attribute.Bool("identical", identical)))
	}
	for _, outcome := range []string{outcomeMade, outcomeRefused, outcomeFailed} {
		all.quotes.Add(ctx, 0, outcomeIs(outcome))
		all.imports.Add(ctx, 0, outcomeIs(outcome))
	}
	all.imports.Add(ctx, 0, outcomeIs(outcomeChecked))
	all.importChanges.Add(ctx, 0)
	return all, failures
}

func outcomeIs(outcome string) metric.AddOption {
	return metric.WithAttributes(attribute.String("outcome", outcome))
}

func errorIs(c codes.Code, reason string) metric.AddOption {
	return metric.WithAttributes(attribute.String("code", code.Code(c).String()), attribute.String("reason", reason))
}

// ended counts a call that ended: st is nil where it went well, answer is what
// was then answered last.
func (m meter) ended(ctx context.Context, method string, answer any, st *status.Status) {
	if st != nil {
		m.errors.Add(ctx, 1, errorIs(st.Code(), reasonIn(st)))
	}
	switch method {
	case wattlev1.QuoteService_CreateQuote_FullMethodName, wattlev1.QuoteService_ReviseQuote_FullMethodName:
		m.quotes.Add(ctx, 1, outcomeIs(outcomeOf(st)))
	case wattlev1.QuoteService_ReplayQuote_FullMethodName:
		if replay, ok := answer.(*wattlev1.ReplayQuoteResponse); ok && st == nil {
			m.replays.Add(ctx, 1, metric.WithAttributes(attribute.Bool("identical", replay.GetIdentical())))
		}
	case wattlev1.PriceBookService_ImportPrices_FullMethodName, wattlev1.PriceBookService_CommitImport_FullMethodName:
		m.imported(ctx, answer, st)
	}
}

func (m meter) imported(ctx context.Context, answer any, st *status.Status) {
	if st != nil {
		m.imports.Add(ctx, 1, outcomeIs(outcomeOf(st)))
		return
	}
	out, _ := answer.(*wattlev1.ImportPricesResponse)
	if committed, ok := answer.(*wattlev1.CommitImportResponse); ok {
		out = committed.GetOutcome()
	}
	counts := out.GetCounts()
	changes := counts.GetAdded() + counts.GetRepriced() + counts.GetAltered() + counts.GetWithdrawn() + counts.GetConfirmed()
	if !out.GetApplied() && changes > 0 {
		m.imports.Add(ctx, 1, outcomeIs(outcomeChecked))
		return
	}
	m.imports.Add(ctx, 1, outcomeIs(outcomeMade))
	m.importChanges.Add(ctx, changes)
}

func outcomeOf(st *status.Status) string {
	switch st.Code() {
	case codes.OK:
		return outcomeMade
	case codes.Internal, codes.Unknown, codes.DataLoss, codes.Unavailable, codes.DeadlineExceeded:
		return outcomeFailed
	default:
		return outcomeRefused
	}
}

// reasonIn is the reason of an error of ours; empty of gRPC's own.
func reasonIn(st *status.Status) string {
	for _, detail := range st.Details() {
		if info, ok := detail.(*errdetails.ErrorInfo); ok {
			return info.GetReason()
		}
	}
	return ""
}
