package estimating

import (
	"context"
	"strconv"
	"time"

	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/quote"
)

// Life is where a quote stands: its state, and its place among other quotes,
// which never changes. Quotes are named by their ids.
type Life struct {
	State quote.State
	// Sequence counts what happened to the quote; making it is 1.
	Sequence  int
	UpdatedAt time.Time // UTC, to the microsecond
	// ExpiresAt is the first instant at which it can no longer be accepted; zero
	// before it is issued.
	ExpiresAt time.Time
	// Root is the first quote of the chain of revisions, RevisionNumber its
	// place there, from 1; Revises is the one before, SupersededBy the one
	// after, empty at the ends.
	Root                  string
	RevisionNumber        int
	Revises, SupersededBy string
	// Changes is the accepted quote that this one, a change order, changes.
	Changes string
	// OptionGroup is the first of the quotes that are offered side by side, of
	// which one can be accepted; a quote offered alone is its own.
	OptionGroup string
	// Decision is who accepted or declined it, where it was.
	Decision Decision
}

// Decision is who accepted or declined a quote: a role, a reference to what
// shows it (a signed document, a record in a CRM), and the day; never a name.
type Decision struct {
	By        quote.Party
	Reference string
	On        civil.Date
}

// Etag names the state a caller has seen.
func (l Life) Etag() string { return strconv.Itoa(l.Sequence) }

// Begin is the life of a quote that was just made and stands alone.
func Begin(id string, at time.Time) Life {
	return Life{State: quote.Draft, Sequence: 1, UpdatedAt: at, Root: id, RevisionNumber: 1, OptionGroup: id}
}

// Offer is a quote and the others of its option group, all without documents.
type Offer struct {
	Quote  Record
	Others []Record
}

// Step is what is done to one quote.
type Step struct {
	Quote     string
	Action    quote.Action
	ExpiresAt time.Time // of Issue
	Decision  Decision  // of Accept and Decline
}

// LifeStore changes where quotes stand. While a decision is taken, nobody else
// changes a quote of the option group.
type LifeStore interface {
	// MoveQuote stores the steps that decide makes of a quote as it stands, and
	// the key, in one transaction. A repeated call decides nothing and answers
	// the quote as it stands. NotFound (QUOTE_NOT_FOUND) where there is none.
	MoveQuote(ctx context.Context, key RequestKey, id string, at time.Time, decide func(Offer) ([]Step, error)) (Record, error)
	// InsertQuoteBeside is InsertQuote of a quote whose place depends on
	// another's: join gives it its place, and says what becomes of others.
	InsertQuoteBeside(ctx context.Context, key RequestKey, r Record, other string, join func(*Life, Offer) ([]Step, error)) (Record, error)
	// ApproveQuote stores an approval and the key where allow lets it; an office
	// that approved the quote already is answered its first approval.
	ApproveQuote(ctx context.Context, key RequestKey, id string, a Approval, allow func(Record) error) (Approval, error)
	// Approvals are a quote's, the first first.
	Approvals(ctx context.Context, company, id string) ([]Approval, error)
	// ExpireQuotes expires up to limit issued quotes whose time has come, and
	// answers how many. Quotes that somebody else works on are left for the
	// next call.
	ExpireQuotes(ctx context.Context, company string, now time.Time, limit int) (int, error)
}

// Move is the caller's wish to change where a quote stands.
type Move struct {
	Key   RequestKey
	Quote string
	// Etag is the state the caller has seen; empty is any.
	Etag string
}

// holds is Conflict (ETAG_MISMATCH) where the quote has moved on.
func (m Move) holds(r Record) error {
	if m.Etag == "" || m.Etag == r.Life.Etag() {
		return nil
	}
	return fault.New(fault.Conflict, "ETAG_MISMATCH", "the quote has changed since it was read: it is %s now; read it again", r.Life.State).
		About("quote", "companies/"+r.Company+"/quotes/"+r.ID).With("etag", r.Life.Etag())
}

// IssueQuote offers a draft to the customer, until its last day of validity ends
// in the time zone of its office.
func (s *Service) IssueQuote(ctx context.Context, m Move) (Record, error) {
	at := s.now()
	lacking, err := s.approvalLacking(ctx, m.Key.Company, m.Quote)
	if err != nil {
		return Record{}, err
	}
	return s.move(ctx, m, at, func(o Offer) ([]Step, error) {
		if _, err := o.Quote.Life.State.After(quote.Issue); err != nil {
			return nil, err
		}
		if lacking != nil { // what it rests on never changes
			return nil, lacking
		}
		ends, err := s.mayIssue(ctx, o.Quote, at)
		return []Step{{Quote: o.Quote.ID, Action: quote.Issue, ExpiresAt: ends}}, err
	})
}

// mayIssue is where it is decided whether a draft may be offered, and until
// when. A further rule of the house goes here.
func (s *Service) mayIssue(ctx context.Context, r Record, at time.Time) (time.Time, error) {
	ends := validityEnds(r.ValidUntil, zoneOf(ctx, r)).UTC()
	if !at.Before(ends) {
		return ends, validityEnded(r)
	}
	return ends, nil
}

// zoneOf is the time zone in which a quote's days begin and end: its office's.
func zoneOf(ctx context.Context, r Record) *time.Location {
	return Zone(CallerOf(ctx).Tree.Settings(r.Office))
}

// AcceptQuote is a Move with the decision of the customer.
type AcceptQuote struct {
	Move
	Decision Decision // On is today where it is zero
	// Fingerprint is that of the document that was accepted; nil where the
	// caller does not say.
	Fingerprint *[32]byte
}

// AcceptQuote records that an issued quote was accepted, and closes the other
// options: those issued are declined, drafts are void. After the last day of
// validity it is Refused, whether or not the quote has been expired yet.
func (s *Service) AcceptQuote(ctx context.Context, in AcceptQuote) (Record, error) {
	at := s.now()
	return s.move(ctx, in.Move, at, func(o Offer) ([]Step, error) {
		if _, err := o.Quote.Life.State.After(quote.Accept); err != nil {
			return nil, err
		}
		if !at.Before(o.Quote.Life.ExpiresAt) {
			return nil, validityEnded(o.Quote)
		}
		if in.Fingerprint != nil && *in.Fingerprint != o.Quote.Fingerprint {
			return nil, fault.New(fault.Refused, "FINGERPRINT_MISMATCH", "the document that was accepted is not this quote's: its fingerprint is %x", o.Quote.Fingerprint)
		}
		decision, err := decided(ctx, o.Quote, in.Decision, at)
		if err != nil {
			return nil, err
		}
		steps := []Step{{Quote: o.Quote.ID, Action: quote.Accept, Decision: decision}}
		for _, other := range o.Others {
			if other.Life.State.Open() {
				steps = append(steps, Step{Quote: other.ID, Action: quote.ChooseOther})
			}
		}
		return steps, nil
	})
}

// DeclineQuote is a Move with the decision of the customer; who decided may be
// left out.
type DeclineQuote struct {
	Move
	Decision Decision
}

// DeclineQuote records that the customer declined an issued quote.
func (s *Service) DeclineQuote(ctx context.Context, in DeclineQuote) (Record, error) {
	at := s.now()
	return s.move(ctx, in.Move, at, func(o Offer) ([]Step, error) {
		decision, err := decided(ctx, o.Quote, in.Decision, at)
		return []Step{{Quote: o.Quote.ID, Action: quote.Decline, Decision: decision}}, err
	})
}

// VoidQuote withdraws a draft or an issued quote.
func (s *Service) VoidQuote(ctx context.Context, m Move) (Record, error) {
	return s.move(ctx, m, s.now(), func(o Offer) ([]Step, error) {
		return []Step{{Quote: o.Quote.ID, Action: quote.Cancel}}, nil
	})
}

// ExpireQuotes expires up to limit issued quotes of a company whose last day of
// validity has ended by now, and answers how many; fewer than limit means that
// none is left but what others are at work on. It may be repeated.
func (s *Service) ExpireQuotes(ctx context.Context, company string, now time.Time, limit int) (int, error) {
	if err := alive(ctx); err != nil {
		return 0, err
	}
	return s.Quotes.ExpireQuotes(ctx, company, now.UTC().Truncate(time.Microsecond), limit)
}

// move checks what all moves have in common, then decides.
func (s *Service) move(ctx context.Context, m Move, at time.Time, decide func(Offer) ([]Step, error)) (Record, error) {
	if err := alive(ctx); err != nil {
		return Record{}, err
	}
	return s.Quotes.MoveQuote(ctx, m.Key, m.Quote, at, func(o Offer) ([]Step, error) {
		if err := m.holds(o.Quote); err != nil {
			return nil, err
		}
		return decide(o)
	})
}

// decided fills the day of a decision, which lies between the quote's making and
// today.
func decided(ctx context.Context, r Record, d Decision, at time.Time) (Decision, error) {
	zone := zoneOf(ctx, r)
	made, today := civil.Of(r.CreatedAt.In(zone)), civil.Of(at.In(zone))
	if d.On.IsZero() && d.By != "" {
		d.On = today
	}
	var v fault.List
	if !d.On.IsZero() {
		v.Require(d.On.Compare(made) >= 0 && d.On.Compare(today) <= 0, "decision_date",
			"expected a day from %s, when the quote was made, to %s, today; found %s", made, today, d.On)
	}
	return d, v.Err()
}

// validityEnds is the first instant after the last day of validity, as the clocks
// of a zone show it.
func validityEnds(validUntil civil.Date, zone *time.Location) time.Time {
	next := validUntil.AddDays(1)
	return time.Date(next.Year, next.Month, next.Day, 0, 0, 0, 0, zone)
}

func validityEnded(r Record) error {
	return fault.New(fault.Refused, "VALIDITY_ENDED", "the quote was valid until %s; revise it for one that is valid today", r.ValidUntil).
		With("validUntil", r.ValidUntil.String())
}
