package estimating

import (
	"cmp"
	"context"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/money"
	"wattle/internal/quote"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// DefaultValidDays is how long a quote may be accepted where the caller names
// no date.
const DefaultValidDays = 30

// CreateQuote is the caller's wish; zero fields take the defaults named.
type CreateQuote struct {
	Key         RequestKey
	Office      string // the caller's own
	Customer    string
	ExternalRef string
	Currency    money.Currency
	AsOf        civil.Date     // today at the office
	ValidUntil  civil.Date     // AsOf + DefaultValidDays
	Revision    *book.Revision // the head
	Site        site.Site
	Spec        spec.Spec
	SavedSpec   string // where Spec came from, as Record has it
	Custom      []quote.CustomLine
	Pricing     quote.Pricing
	// OptionOf is an open quote that this one is offered beside, Changes the
	// accepted quote that it is a change order to; one of them at most.
	OptionOf, Changes string
}

// Stored is a stored quote, decoded.
type Stored struct {
	Record  Record
	Request quote.Request
	Quote   *quote.Quote
}

// CreateQuote makes and stores a quote, a draft. The same key answers with the
// same quote; of two at once, one is stored and both get it.
func (s *Service) CreateQuote(ctx context.Context, in CreateQuote) (Stored, error) {
	return s.store(ctx, in, func(rec Record) (Record, error) { return s.insert(ctx, in, rec) })
}

// store makes the quote and has it stored.
func (s *Service) store(ctx context.Context, in CreateQuote, insert func(Record) (Record, error)) (Stored, error) {
	if err := alive(ctx); err != nil {
		return Stored{}, err
	}
	if old, err := s.QuoteByRequest(ctx, in.Key); err == nil || fault.KindOf(err) != fault.NotFound {
		return old, err
	}
	at, err := writesAt(ctx, in.Key.Company, "office", in.Office)
	if err != nil {
		return Stored{}, err
	}
	in.Office = at
	r, job, err := s.resolve(ctx, in)
	if err != nil {
		return Stored{}, err
	}
	q, err := quote.PriceJob(r, job)
	if err != nil {
		return Stored{}, err
	}
	doc := quote.Document(r, q)
	rec := Record{
		Company: r.Company, ID: s.NewID(), Office: r.Offices[0],
		Customer: r.Customer, ExternalRef: r.ExternalRef,
		CreatedAt: s.now(), AsOf: r.AsOf, ValidUntil: r.ValidUntil,
		Head: r.Head, RulesVersion: r.RulesVersion, FingerprintVersion: quote.FingerprintVersion,
		Fingerprint: quote.Fingerprint(doc), Currency: r.Currency, Total: q.Totals.Total, SavedSpec: in.SavedSpec, Document: doc,
		Items: r.Items(),
	}
	if err := alive(ctx); err != nil {
		return Stored{}, err
	}
	kept, err := insert(rec)
	if err != nil {
		return Stored{}, err
	}
	if kept.ID != rec.ID { // another call with this key was first
		return decode(kept)
	}
	return Stored{Record: kept, Request: r, Quote: q}, nil
}

// QuoteByRequest is the quote that an earlier CreateQuote with this key made;
// NotFound where there was none.
func (s *Service) QuoteByRequest(ctx context.Context, key RequestKey) (Stored, error) {
	rec, err := s.Quotes.QuoteByRequest(ctx, key)
	if err != nil {
		return Stored{}, err
	}
	return decode(rec)
}

// request is the wish with every default filled, as yet without prices.
func (s *Service) request(ctx context.Context, in CreateQuote) quote.Request {
	at := cmp.Or(in.Office, book.MainOffice)
	r := quote.Request{
		Company: in.Key.Company, Offices: CallerOf(ctx).Path(at),
		Customer: in.Customer, ExternalRef: in.ExternalRef, Currency: in.Currency,
		AsOf: in.AsOf, ValidUntil: in.ValidUntil, RulesVersion: quote.RulesVersion,
		Site: in.Site, Spec: in.Spec.WithDefaults(), Custom: in.Custom, Pricing: pricing(ctx, at, in.Pricing),
	}
	if r.AsOf.IsZero() {
		r.AsOf = s.today(ctx, at)
	}
	if r.ValidUntil.IsZero() {
		r.ValidUntil = r.AsOf.AddDays(DefaultValidDays)
	}
	return r.Normalised()
}

// pricing fills what the caller leaves open: how an office buys, from its
// settings and those above it, then what quote.Pricing has for everybody.
func pricing(ctx context.Context, at string, p quote.Pricing) quote.Pricing {
	p.PreferredSuppliers = Preferred(ctx, at, p.PreferredSuppliers)
	if p.StaleAfterDays == nil {
		p.StaleAfterDays = CallerOf(ctx).Tree.Settings(at).StaleAfterDays
	}
	return p.WithDefaults()
}

// Preferred are the suppliers asked for, where that is not nil, or those that
// the office's settings prefer. Where there are none, it is the cheapest.
func Preferred(ctx context.Context, at string, asked []string) []string {
	switch {
	case len(asked) > 0:
		return asked
	case asked != nil:
		return nil
	}
	return CallerOf(ctx).Tree.Settings(at).PreferredSuppliers
}

// resolve fills every default and fetches, with one query, the price of every
// item the job may buy.
func (s *Service) resolve(ctx context.Context, in CreateQuote) (quote.Request, *takeoff.Gathered, error) {
	r := s.request(ctx, in)
	l, err := quote.Plan(r)
	if err != nil {
		return r, nil, err
	}
	job := r.Job(l).Gather()
	r.Prices, r.Head, err = s.pricesOf(ctx, r, book.At(in.Revision), job.Candidates())
	return r, job, err
}

// GetQuote answers with the quote as it was stored.
func (s *Service) GetQuote(ctx context.Context, company, id string) (Stored, error) {
	rec, err := s.Quotes.Quote(ctx, company, id)
	if err != nil {
		return Stored{}, err
	}
	return decode(rec)
}

// ListQuotes answers with records, newest first, without their documents.
func (s *Service) ListQuotes(ctx context.Context, f QuoteFilter) ([]Record, error) {
	return s.Quotes.ListQuotes(ctx, f)
}

// CompareQuotes says, line by line, how quote b differs from quote a.
func (s *Service) CompareQuotes(ctx context.Context, company, a, b string) (quote.Comparison, error) {
	qa, errA := s.GetQuote(ctx, company, a)
	qb, errB := s.GetQuote(ctx, company, b)
	for _, err := range []error{errA, errB} {
		if err != nil {
			return quote.Comparison{}, err
		}
	}
	if qa.Record.Currency != qb.Record.Currency {
		return quote.Comparison{}, fault.New(fault.Refused, "CURRENCY_MISMATCH", "the quotes are in %s and %s", qa.Record.Currency, qb.Record.Currency)
	}
	return quote.Compare(qa.Quote, qb.Quote)
}

func decode(rec Record) (Stored, error) {
	r, q, err := quote.ParseDocument(rec.Document)
	if err != nil {
		return Stored{}, fault.Wrap(err, fault.Internal, "DOCUMENT_UNREADABLE", "the stored document of quote %s cannot be read", rec.ID)
	}
	return Stored{Record: rec, Request: r, Quote: q}, nil
}

// Replay is what replaying a stored quote showed: three things apart.
type Replay struct {
	// HashHolds: the stored document still has the stored fingerprint.
	HashHolds bool
	// Arithmetic are the differences between the stored document and the one
	// computed anew from the stored request; none when it replays.
	Arithmetic []string
	// Resolution are the differences between the stored prices and those that
	// history resolves for the same date, revision and office.
	Resolution []string
	// RulesUnsupported says why the arithmetic could not be replayed.
	RulesUnsupported string
	Fingerprint      [32]byte
}

// Identical reports whether everything could be checked and agreed.
func (r Replay) Identical() bool {
	return r.HashHolds && len(r.Arithmetic) == 0 && len(r.Resolution) == 0 && r.RulesUnsupported == ""
}

// ReplayQuote recomputes a stored quote from its own request, and resolves its
// prices once more from the history of the book.
func (s *Service) ReplayQuote(ctx context.Context, company, id string) (Replay, error) {
	stored, err := s.GetQuote(ctx, company, id)
	if err != nil {
		return Replay{}, err
	}
	rec, r := stored.Record, stored.Request
	out := Replay{Fingerprint: rec.Fingerprint, HashHolds: quote.Fingerprint(rec.Document) == rec.Fingerprint}
	switch out.Arithmetic, err = quote.Replay(rec.Document); {
	case err == nil:
	case fault.KindOf(err) == fault.Refused:
		out.RulesUnsupported = err.Error()
	default:
		return Replay{}, err
	}
	// As the quote's office saw them then: offices may have moved since.
	again, head, err := s.pricesOf(asService(ctx, company), r, r.Head.Revision, r.Items())
	if err != nil {
		return Replay{}, err
	}
	out.Resolution = quote.DiffPrices(r.Prices, again)
	if head.Hash != r.Head.Hash {
		out.Resolution = append(out.Resolution, "the book's history up to this revision no longer has the hash the quote saw")
	}
	return out, nil
}
