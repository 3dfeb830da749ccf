package estimating

import (
	"context"
	"slices"
	"time"

	"wattle/internal/quote"
)

// EventStore keeps events in the order in which they are told.
type EventStore interface {
	// ReadEvents is the events after a position, as far as the caller sees
	// them. What has committed before the call is among them.
	ReadEvents(ctx context.Context, f EventFilter) (EventPage, error)
	// EventHead is the position of the newest event; 0 where there is none.
	EventHead(ctx context.Context, company string) (int64, error)
}

// EventFilter selects events; empty fields select all.
type EventFilter struct {
	Company string
	// After is the position read up to; 0 is the start.
	After int64
	Types []string
	// Office is that and those under it; the use case fills Offices from it.
	Office  string
	Offices []string
	Limit   int
}

// EventPage is some events in order.
type EventPage struct {
	Events []Event
	// Next is the position read up to. It goes past events that the filter or
	// the caller's reach leaves out.
	Next int64
	// More: there may be events after Next already.
	More bool
}

// Event says that something happened: which thing, and what. It holds names and
// numbers only, so that it may be told to other systems as it is.
type Event struct {
	Company, Office string
	Type            string // one of EventTypes
	// Subject is the resource name of the thing it happened to, and Sequence
	// that thing's own count, from 1: by it a reader puts the events of one
	// subject in order. No two events of a subject have the same type and
	// sequence.
	Subject  string
	Sequence int64

	// What the store gives. ID is a UUIDv7 and Time UTC, both by the
	// database's clock; Position is 0 until the event has one.
	ID       string
	Time     time.Time
	Position int64
}

// The types of event.
const (
	QuoteCreated   = "quote.created"
	QuoteIssued    = "quote.issued"
	QuoteAccepted  = "quote.accepted"
	QuoteDeclined  = "quote.declined"
	QuoteExpired   = "quote.expired"
	QuoteVoided    = "quote.voided"
	PricesImported = "prices.imported"
	PricesImpact   = "prices.impact" // what a revision does to open quotes is worked out
	SpecSaved      = "spec.saved"
	SpecWithdrawn  = "spec.withdrawn"
	// What a finished job used was recorded, or corrected. Its subject is the job's
	// record, companies/{company}/quotes/{quote}/actuals.
	ActualsRecorded = "actuals.recorded"
	WebhookPinged   = "webhook.pinged" // for that webhook alone
)

// EventTypes is every type, sorted.
func EventTypes() []string {
	types := []string{PricesImported, PricesImpact, SpecSaved, SpecWithdrawn, ActualsRecorded, WebhookPinged}
	for _, state := range quote.States() {
		types = append(types, QuoteEvent(state))
	}
	slices.Sort(types)
	return types
}

// QuoteEvent is the type of event that tells of a quote that came to a state.
func QuoteEvent(s quote.State) string {
	switch s {
	case quote.Draft:
		return QuoteCreated
	case quote.Issued:
		return QuoteIssued
	case quote.Accepted:
		return QuoteAccepted
	case quote.Declined:
		return QuoteDeclined
	case quote.Expired:
		return QuoteExpired
	default:
		return QuoteVoided
	}
}
