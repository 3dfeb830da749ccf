package estimating

import (
	"context"
	"strconv"
	"time"

	"github.com/govalues/decimal"

	"wattle/internal/actuals"
	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/money"
	"wattle/internal/quote"
)

// Actuals is what a finished job used, as recorded: one version of it.
type Actuals struct {
	Company string
	// Job is the first quote of the job, Quote the accepted one that was the
	// newest when this was recorded; both are ids.
	Job, Quote, Office string
	Version            int
	FinishedOn         civil.Date
	Crew               string // an id, not a person's name
	HoursOf            actuals.HoursOf
	Currency           money.Currency
	LabourPaid         *decimal.Decimal
	RecordedAt         time.Time // UTC, to the microsecond
	Principal          string
	Lines              []actuals.Line // by kind and name; none in a list
}

// Etag names the version a caller has seen.
func (a Actuals) Etag() string { return strconv.Itoa(a.Version) }

// Place is where a quote stands among those of its job.
type Place struct {
	Job string // the first quote of the job
	// Newest is the one of them that was accepted last; empty where none was.
	Newest string
}

// ActualsStore keeps what finished jobs used. Records are only ever added.
type ActualsStore interface {
	// RecordActuals stores the next version of a job, with the key and an event,
	// in one transaction, where allow lets it: it is asked with the job's place
	// and its newest version, 0 where there is none, while nobody else records
	// for the job. Of a the job and the version are ignored.
	RecordActuals(ctx context.Context, key RequestKey, a Actuals, allow func(p Place, newest int) error) (Actuals, error)
	// Actuals is a version of the job that a quote belongs to, the newest where
	// it is nil. NotFound (QUOTE_NOT_FOUND, ACTUALS_NOT_FOUND).
	Actuals(ctx context.Context, company, id string, version *int) (Actuals, error)
	// ListActuals is the newest version of each job, without lines, the last
	// finished first.
	ListActuals(ctx context.Context, f ActualsFilter) ([]Actuals, error)
	// SummarizeActuals is actuals.Summarize of the newest version of each job,
	// and how many jobs there are.
	SummarizeActuals(ctx context.Context, f ActualsFilter, by actuals.By) ([]actuals.Group, int64, error)
}

// ActualsFilter selects finished jobs; empty fields select all.
type ActualsFilter struct {
	Company string
	// From and To are the first and the last day of finishing.
	From, To civil.Date
	// Office is that and those under it; the use case fills Offices from it.
	Office  string
	Offices []string
	Crew    string
	// Before continues a listing: what comes after this job in it.
	BeforeFinished civil.Date
	BeforeJob      string
	Limit          int
}

// RecordActuals is somebody's wish to record what a job used.
type RecordActuals struct {
	Key   RequestKey
	Quote string
	// Etag is the version that is corrected; empty for the first record.
	Etag       string
	FinishedOn civil.Date
	Crew       string
	Record     actuals.Record
}

// RecordActuals stores what a finished job used beside what its quote estimated.
// The quote is the newest accepted one of its job.
func (s *Service) RecordActuals(ctx context.Context, in RecordActuals) (Actuals, error) {
	if err := alive(ctx); err != nil {
		return Actuals{}, err
	}
	q, err := s.GetQuote(ctx, in.Key.Company, in.Quote)
	if err != nil {
		return Actuals{}, err
	}
	if state := q.Record.Life.State; state != quote.Accepted {
		return Actuals{}, fault.New(fault.Refused, "QUOTE_STATE", "the quote is %s; expected one that is accepted", state).With("state", string(state))
	}
	at := s.now()
	a := Actuals{
		Company: in.Key.Company, Quote: in.Quote, Office: q.Record.Office, FinishedOn: in.FinishedOn, Crew: in.Crew,
		Currency: q.Record.Currency, LabourPaid: in.Record.LabourPaid, RecordedAt: at, Principal: in.Key.Principal,
	}
	v := &fault.List{}
	accepted, today := q.Record.Life.Decision.On, civil.Of(at.In(zoneOf(ctx, q.Record)))
	v.Require(in.FinishedOn.Compare(accepted) >= 0 && in.FinishedOn.Compare(today) <= 0, "finished_on",
		"expected a day from %s, when the quote was accepted, to %s, today; found %s", accepted, today, in.FinishedOn)
	a.Lines, a.HoursOf = in.Record.Lines(actuals.Estimated(q.Request.Spec, q.Quote), a.Currency, v)
	if err := v.Err(); err != nil {
		return Actuals{}, err
	}
	return s.Actuals.RecordActuals(ctx, in.Key, a, in.allow)
}

// allow says whether this may become the next version.
func (in RecordActuals) allow(p Place, newest int) error {
	name := "companies/" + in.Key.Company + "/quotes/"
	switch {
	case p.Newest != in.Quote:
		return fault.New(fault.Refused, "QUOTE_CHANGED", "a change order to this quote was accepted, %s, which is the job as it was built; record for that one", p.Newest).
			About("quote", name+p.Newest).With("newest", name+p.Newest)
	case in.Etag == "" && newest > 0:
		return fault.New(fault.AlreadyExists, "ACTUALS_RECORDED", "what this job used is recorded already, as version %d; to correct it, name its etag", newest).
			About("quote", name+p.Job).With("etag", strconv.Itoa(newest))
	case in.Etag != "" && in.Etag != strconv.Itoa(newest):
		return fault.New(fault.Conflict, "ETAG_MISMATCH", "the newest record of this job is version %d; read it again", newest).
			About("quote", name+p.Job).With("etag", strconv.Itoa(newest))
	}
	return nil
}

// GetActuals is what the job of a quote used, at a version or the newest.
func (s *Service) GetActuals(ctx context.Context, company, id string, version *int) (Actuals, error) {
	return s.Actuals.Actuals(ctx, company, id, version)
}

// ListActuals is the last finished first, without lines.
func (s *Service) ListActuals(ctx context.Context, f ActualsFilter) ([]Actuals, error) {
	f, err := f.reach(ctx)
	if err != nil {
		return nil, err
	}
	return s.Actuals.ListActuals(ctx, f)
}

// reach checks a filter, and fills the offices that it asks for.
func (f ActualsFilter) reach(ctx context.Context) (ActualsFilter, error) {
	c, err := CallerFor(ctx, f.Company)
	if err != nil {
		return f, err
	}
	var v fault.List
	if !f.From.IsZero() && !f.To.IsZero() {
		v.Require(f.From.Compare(f.To) <= 0, "to_date", "expected %s, the first day, or later; found %s", f.From, f.To)
	}
	if f.Office != "" {
		f.Offices = c.Tree.Below(f.Office)
		v.Require(len(f.Offices) > 0, "office", "there is no office %q", f.Office)
	}
	return f, v.Err()
}
