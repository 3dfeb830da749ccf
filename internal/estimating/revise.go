package estimating

import (
	"context"

	"wattle/internal/fault"
	"wattle/internal/quote"
)

// ReviseQuote is the wish for the next revision of a quote: a whole quote of its
// own.
type ReviseQuote struct {
	CreateQuote
	Quote string // the one it revises
	Etag  string // the state of that one the caller has seen; empty is any
}

// ReviseQuote makes and stores the next revision of a quote. A draft or an issued
// quote becomes void by it; one that was declined, expired or voided stays what
// it is. An accepted quote is Refused, and so is one that has a revision, or
// another option of which was accepted.
func (s *Service) ReviseQuote(ctx context.Context, in ReviseQuote) (Stored, error) {
	m := Move{Key: in.Key, Quote: in.Quote, Etag: in.Etag}
	return s.store(ctx, in.CreateQuote, func(rec Record) (Record, error) {
		return s.Quotes.InsertQuoteBeside(ctx, in.Key, rec, in.Quote, func(l *Life, o Offer) ([]Step, error) {
			old := o.Quote.Life
			if err := m.holds(o.Quote); err != nil {
				return nil, err
			}
			if err := mayRevise(o); err != nil {
				return nil, err
			}
			l.Root, l.Revises, l.RevisionNumber = old.Root, o.Quote.ID, old.RevisionNumber+1
			l.OptionGroup, l.Changes = old.OptionGroup, old.Changes
			if !old.State.Open() {
				return nil, nil
			}
			return []Step{{Quote: o.Quote.ID, Action: quote.Revise}}, nil
		})
	})
}

func mayRevise(o Offer) error {
	l := o.Quote.Life
	if l.SupersededBy != "" {
		return fault.New(fault.Refused, "QUOTE_SUPERSEDED", "the quote has a revision already, %s; revise that one", l.SupersededBy).
			With("supersededBy", l.SupersededBy)
	}
	if l.State == quote.Accepted {
		return fault.New(fault.Refused, "QUOTE_STATE", "the quote is accepted; what changes from now on is a change order").
			With("state", string(l.State))
	}
	return noneAccepted(o)
}

// noneAccepted is Refused where another option was accepted: what the customer
// wants besides is a change order to that one.
func noneAccepted(o Offer) error {
	for _, other := range o.Others {
		if other.Life.State == quote.Accepted {
			return fault.New(fault.Refused, "OPTION_ACCEPTED", "another option was accepted, %s; make a change order to that one", other.ID).
				With("accepted", other.ID)
		}
	}
	return nil
}

// together is Invalid where two quotes that are to belong together are of two
// offices: who decides on one of them must be able to decide on all.
func together(field string, r Record, o Offer) error {
	var v fault.List
	v.Require(r.Office == o.Quote.Office, field, "expected a quote of the same office, %s; found one of %s", r.Office, o.Quote.Office)
	return v.Err()
}

// insert stores a new quote where it belongs.
func (s *Service) insert(ctx context.Context, in CreateQuote, rec Record) (Record, error) {
	switch {
	case in.OptionOf != "":
		return s.Quotes.InsertQuoteBeside(ctx, in.Key, rec, in.OptionOf, func(l *Life, o Offer) ([]Step, error) {
			if err := together("option_of", rec, o); err != nil {
				return nil, err
			}
			if err := noneAccepted(o); err != nil {
				return nil, err
			}
			if !o.Quote.Life.State.Open() {
				return nil, fault.New(fault.Refused, "QUOTE_STATE", "the quote to stand beside is %s; expected one that is draft or issued", o.Quote.Life.State).
					With("state", string(o.Quote.Life.State))
			}
			l.OptionGroup, l.Changes = o.Quote.Life.OptionGroup, o.Quote.Life.Changes
			return nil, nil
		})
	case in.Changes != "":
		return s.Quotes.InsertQuoteBeside(ctx, in.Key, rec, in.Changes, func(l *Life, o Offer) ([]Step, error) {
			if err := together("changes_quote", rec, o); err != nil {
				return nil, err
			}
			if o.Quote.Life.State != quote.Accepted {
				return nil, fault.New(fault.Refused, "QUOTE_STATE", "the quote to change is %s; expected one that is accepted", o.Quote.Life.State).
					With("state", string(o.Quote.Life.State))
			}
			l.Changes = o.Quote.ID
			return nil, nil
		})
	default:
		return s.Quotes.InsertQuote(ctx, in.Key, rec)
	}
}
