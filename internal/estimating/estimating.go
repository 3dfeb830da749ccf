// Package estimating holds the use cases: what the service does for a caller,
// between the edge that speaks gRPC and the store that speaks SQL. Time and
// ids come in through the constructor.
package estimating

import (
	"context"
	"slices"
	"time"

	"wattle/internal/check"
	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// Service is the use cases. It keeps no state of its own, so any number may
// run beside each other. The stateless calls (PlanLayout, ComputeTakeoff) need
// no stores.
type Service struct {
	Quotes    QuoteStore
	Prices    PriceStore
	Specs     SpecStore
	Offices   OfficeStore
	Customers CustomerStore
	Papers    PaperStore
	Impacts   ImpactStore
	Actuals   ActualsStore
	Exports   ExportStore
	Events    EventStore
	Webhooks  WebhookStore
	Guard     WebhookGuard
	// News wakes watchers; without it they only ask every now and then.
	News News
	// Now is the clock; NewID makes ids that sort by time (UUIDv7); NewSecret
	// makes secrets that nobody can guess.
	Now       func() time.Time
	NewID     func() string
	NewSecret func() string
}

// PlanLayout lays out the site. It answers with the spec as it was used, every
// default filled.
func (s *Service) PlanLayout(ctx context.Context, st site.Site, sp spec.Spec) (*layout.Layout, spec.Spec, error) {
	if err := alive(ctx); err != nil {
		return nil, spec.Spec{}, err
	}
	sp.FillIn()
	l, err := layout.PlanFilled(st, &sp)
	if err != nil {
		return nil, spec.Spec{}, err
	}
	return l, sp, alive(ctx)
}

// Counted is a site laid out and counted, without prices.
type Counted struct {
	Layout  *layout.Layout
	Takeoff *takeoff.Takeoff
	Checks  []check.Result
	Spec    spec.Spec // as it was used, every default filled
}

// ComputeTakeoff counts the material of the site without prices: sticks are
// cut for the least length. Checks take the design values of a day, today where
// it is zero.
func (s *Service) ComputeTakeoff(ctx context.Context, st site.Site, sp spec.Spec, on civil.Date) (Counted, error) {
	l, sp, err := s.PlanLayout(ctx, st, sp)
	if err != nil {
		return Counted{}, err
	}
	job := takeoff.Job{Layout: l, Spec: sp, Conditions: st.Conditions}
	t, err := job.Count(nil)
	if err != nil {
		return Counted{}, err
	}
	t.Cautions = slices.Concat(t.Cautions, t.LeafCautions(l), check.Always(sp))
	if on.IsZero() && s.Now != nil { // without a clock no day's design values are known
		on = civil.Of(s.Now().UTC())
	}
	return Counted{l, t, check.Job(job, on), sp}, alive(ctx)
}

// alive turns a dead context into our own error: work is never started, and
// an answer never given, past the caller's deadline.
func alive(ctx context.Context) error {
	switch ctx.Err() {
	case nil:
		return nil
	case context.DeadlineExceeded:
		return fault.Wrap(ctx.Err(), fault.DeadlineExceeded, "DEADLINE_EXCEEDED", "the deadline passed before the answer was ready")
	default:
		return fault.Wrap(ctx.Err(), fault.Canceled, "CANCELED", "the caller cancelled the call")
	}
}
