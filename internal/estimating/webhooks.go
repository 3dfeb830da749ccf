package estimating

import (
	"context"
	"slices"
	"strings"
	"time"

	"wattle/internal/auth"
	"wattle/internal/fault"
	"wattle/internal/office"
)

// Webhook is an address that is told of events.
type Webhook struct {
	Company, ID string
	// Office: the webhook is told what a key of it is.
	Office string
	URL    string
	// Types are the types of event it is told of; empty is all.
	Types     []string
	State     WebhookState
	CreatedAt time.Time
}

// WebhookState says whether a webhook is told.
type WebhookState string

// The states of a webhook. Nothing is sent to a paused one; it is told when it
// is active again. A deleted one is gone for every caller.
const (
	WebhookActive  WebhookState = "active"
	WebhookPaused  WebhookState = "paused"
	WebhookDeleted WebhookState = "deleted"
)

// Hears reports whether an event is for the webhook: of a type it asked for, and
// one that a key of its office is told of. tree is the company's offices, and
// quotesFromAbove its setting.
func (w Webhook) Hears(e Event, tree office.Tree, quotesFromAbove bool) bool {
	if len(w.Types) > 0 && !slices.Contains(w.Types, e.Type) {
		return false
	}
	reach := auth.Caller{Company: w.Company, Office: w.Office, Tree: tree, QuotesFromAbove: quotesFromAbove}
	switch kind, _, _ := strings.Cut(e.Type, "."); kind {
	case "spec":
		return true
	case "prices":
		return slices.Contains(reach.PriceOffices(), e.Office)
	default:
		return slices.Contains(reach.QuoteOffices(), e.Office)
	}
}

// Delivery is an event on its way to a webhook.
type Delivery struct {
	Company, Webhook string
	Event            Event
	State            DeliveryState
	CreatedAt        time.Time
	Attempts         []Attempt // the newest ones, oldest first
}

// DeliveryState is where a delivery stands.
type DeliveryState string

// The states of a delivery: not tried yet, or asked for again; failed and to be
// tried again; arrived; given up.
const (
	DeliveryPending   DeliveryState = "pending"
	DeliveryFailed    DeliveryState = "failed"
	DeliveryDelivered DeliveryState = "delivered"
	DeliveryDead      DeliveryState = "dead"
)

// Attempt is an entry in the log of a delivery.
type Attempt struct {
	At      time.Time // by the database's clock
	Outcome string    // Delivered, Failed, Dead or Replayed
	Status  int       // of the receiver's answer; 0 where there was none
	Reason  string    // why it failed, in one word of ours
	Took    time.Duration
}

// The outcomes of a try; Replayed is no try, but somebody's wish for one.
const (
	Delivered = "delivered"
	Failed    = "failed"
	Dead      = "dead"
	Replayed  = "replayed"
)

// StateAfter is the state of a delivery whose log ends with an outcome, "" for
// an empty log.
func StateAfter(outcome string) DeliveryState {
	if outcome == "" || outcome == Replayed {
		return DeliveryPending
	}
	return DeliveryState(outcome)
}

// Dispatch is what a worker needs for one try.
type Dispatch struct {
	Webhook Webhook
	Event   Event
	// Sealed are the secrets to sign with, the newest first.
	Sealed [][]byte
	// Failures is how many tries have failed since the delivery was made, or
	// asked for again.
	Failures int
}

// WebhookStore keeps webhooks and their deliveries.
type WebhookStore interface {
	// CreateWebhook stores the webhook, its first secret and the key, and
	// reports true. A call with a key that was used gets that call's webhook.
	CreateWebhook(ctx context.Context, key RequestKey, w Webhook, sealed []byte) (Webhook, bool, error)
	// Webhook is NotFound (WEBHOOK_NOT_FOUND) where there is none.
	Webhook(ctx context.Context, company, id string) (Webhook, error)
	// ListWebhooks is by id.
	ListWebhooks(ctx context.Context, f WebhookFilter) ([]Webhook, error)
	// SetWebhookState pauses, takes up or deletes a webhook.
	SetWebhookState(ctx context.Context, key RequestKey, id string, state WebhookState) (Webhook, error)
	// RotateWebhookSecret adds a secret; the one before it goes on signing for
	// the overlap. It reports false where the key was used before.
	RotateWebhookSecret(ctx context.Context, key RequestKey, id string, sealed []byte, overlap time.Duration) (Webhook, bool, error)
	// PingWebhook makes an event for this webhook alone.
	PingWebhook(ctx context.Context, key RequestKey, id string) (Event, error)
	// ListDeliveries is newest first.
	ListDeliveries(ctx context.Context, f DeliveryFilter) ([]Delivery, error)
	// ReplayDeliveries has deliveries tried again, and answers how many.
	ReplayDeliveries(ctx context.Context, key RequestKey, r Redelivery) (int, error)
}

// WebhookFilter selects webhooks.
type WebhookFilter struct {
	Company string
	After   string // continues a listing
	Limit   int
}

// DeliveryFilter selects deliveries to a webhook; empty fields select all.
type DeliveryFilter struct {
	Company, Webhook string
	State            DeliveryState
	BeforeEvent      string // continues a listing: older than this event's
	Limit            int
}

// Redelivery names deliveries: that of one event, or without one all dead since a
// time.
type Redelivery struct {
	Webhook, Event string
	Since          time.Time
}

// WebhookGuard knows which addresses may be told, and makes the secrets that
// messages are signed with.
type WebhookGuard interface {
	// CheckURL adds what is wrong with an address.
	CheckURL(v *fault.List, url string)
	// NewSecret makes a secret: as its receiver is shown it once, and sealed,
	// as it is kept. Refused (WEBHOOK_KEY_MISSING) where there is no key to
	// seal with.
	NewSecret(company, webhook string) (shown string, sealed []byte, err error)
}

// CreateWebhook makes a webhook with a fresh id and secret. A repeated call gets
// the same webhook, and no secret: that is shown once.
func (s *Service) CreateWebhook(ctx context.Context, key RequestKey, w Webhook) (Webhook, string, error) {
	if err := alive(ctx); err != nil {
		return Webhook{}, "", err
	}
	c, err := CallerFor(ctx, key.Company)
	if err != nil {
		return Webhook{}, "", err
	}
	if w.Office == "" {
		w.Office = c.Office
	}
	v := &fault.List{}
	o, ok := c.Tree.Find(w.Office)
	v.Require(ok && c.Manages(w.Office), "webhook.office", "there is no office %q at or under yours, %s", w.Office, c.Office)
	v.Require(!o.Removed, "webhook.office", "the office %q is removed", w.Office)
	s.Guard.CheckURL(v.At("webhook.url"), w.URL)
	checkTypes(v.At("webhook.types"), w.Types)
	if err := v.Err(); err != nil {
		return Webhook{}, "", err
	}
	w.Company, w.ID = key.Company, s.NewID()
	slices.Sort(w.Types)
	w.Types = slices.Compact(w.Types)
	secret, sealed, err := s.Guard.NewSecret(w.Company, w.ID)
	if err != nil {
		return Webhook{}, "", err
	}
	kept, made, err := s.Webhooks.CreateWebhook(ctx, key, w, sealed)
	if err != nil || !made {
		secret = ""
	}
	return kept, secret, err
}

// Limits of RotateWebhookSecret's overlap.
const (
	DefaultOverlap = 24 * time.Hour
	LongestOverlap = 7 * 24 * time.Hour
)

// RotateWebhookSecret makes a new secret, which signs from now on. For the
// overlap messages carry signatures of both. A repeated call gets no secret.
func (s *Service) RotateWebhookSecret(ctx context.Context, key RequestKey, id string, overlap time.Duration) (Webhook, string, error) {
	if err := alive(ctx); err != nil {
		return Webhook{}, "", err
	}
	secret, sealed, err := s.Guard.NewSecret(key.Company, id)
	if err != nil {
		return Webhook{}, "", err
	}
	w, made, err := s.Webhooks.RotateWebhookSecret(ctx, key, id, sealed, overlap)
	if err != nil || !made {
		secret = ""
	}
	return w, secret, err
}

// checkTypes adds each that is no type of event.
func checkTypes(v *fault.List, types []string) {
	known := EventTypes()
	for i, t := range types {
		if !slices.Contains(known, t) {
			v.Index(i).Add("", "there is no type of event %q; expected %s", t, strings.Join(known, ", "))
		}
	}
}
