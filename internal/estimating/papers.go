package estimating

import (
	"cmp"
	"context"
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"
	"time"

	"wattle/internal/auth"
	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/paper"
	"wattle/internal/quote"
	"wattle/internal/render"
)

// MakePaper asks for a document of a quote as PDF; zero fields take the defaults
// named.
type MakePaper struct {
	Company, Quote string
	Kind           paper.Kind
	// Template names the office whose template is used, at a version or at its
	// newest; that of the nearest office at or above the quote's. BuiltIn is the
	// one that nobody saved.
	Template        string
	TemplateVersion int
	BuiltIn         bool
	// The template's.
	Paper, Locale string
	Measures      render.Measures
	// Of a price letter: the prices that the quote is held against.
	AsOf     civil.Date     // today at the quote's office
	Revision *book.Revision // the head
}

// Paper is a document, and what it was made of.
type Paper struct {
	paper.Result
	Hash     [32]byte
	Template SavedTemplate
	// CustomerVersion is that of the details it has; 0 for none.
	CustomerVersion int
	// Recorded is how it stands to the papers that were recorded; RecordedAt is
	// when the first of the same inputs was.
	Recorded   Recorded
	RecordedAt time.Time
}

// Recorded is how a paper stands to those recorded of the same inputs.
type Recorded int

const (
	NotRecorded Recorded = iota // of a draft
	RecordedFirst
	RecordedIdentical
	RecordedDiffers // another program made the one recorded
)

// PaperRecord is what is kept of a paper of a quote that was issued.
type PaperRecord struct {
	Company, Quote, Office           string
	Kind                             paper.Kind
	MadeOf                           string // its inputs, for people
	Hash                             [32]byte
	TemplateOffice                   string
	TemplateVersion, CustomerVersion int
	MadeAt                           time.Time // UTC, to the microsecond
	// New: nothing of the same inputs was there before.
	New bool
}

// mostOptions are how many quotes stand side by side on a proposal.
const mostOptions = 12

// MakePaper makes a document of a stored quote, and records it where the quote
// is no draft. The customer's details are left out for a reader.
func (s *Service) MakePaper(ctx context.Context, in MakePaper) (Paper, error) {
	c, err := CallerFor(ctx, in.Company)
	if err != nil {
		return Paper{}, err
	}
	stored, err := s.GetQuote(ctx, in.Company, in.Quote)
	if err != nil {
		return Paper{}, err
	}
	saved, err := s.chosenTemplate(ctx, in, stored.Record.Office)
	if err != nil {
		return Paper{}, err
	}
	from := paper.Input{
		Ref: stored.Record.ID, Made: civil.Of(stored.Record.CreatedAt.In(zoneOf(ctx, stored.Record))), Draft: stored.Record.Life.State == quote.Draft,
		Fingerprint: stored.Record.Fingerprint, Request: stored.Request, Quote: stored.Quote,
	}
	if from.Template, err = s.titled(ctx, in.Company, saved.Template); err != nil {
		return Paper{}, err
	}
	from.Template.Paper = cmp.Or(in.Paper, from.Template.Paper)
	from.Template.Locale = cmp.Or(in.Locale, from.Template.Locale)
	from.Template.Measures = cmp.Or(in.Measures, from.Template.Measures)
	if err := s.fill(ctx, in, stored, c, &from); err != nil {
		return Paper{}, err
	}
	if err := alive(ctx); err != nil {
		return Paper{}, err
	}
	made, err := paper.Make(in.Kind, from)
	if err != nil {
		return Paper{}, err
	}
	out := Paper{Result: made, Hash: sha256.Sum256(made.PDF), Template: saved, CustomerVersion: from.Customer.Version}
	if from.Draft {
		return out, alive(ctx)
	}
	return s.recorded(ctx, in, stored.Record, from, out)
}

// chosenTemplate is the template that a paper is made with.
func (s *Service) chosenTemplate(ctx context.Context, in MakePaper, at string) (SavedTemplate, error) {
	switch {
	case in.BuiltIn:
		return builtIn(in.Company), nil
	case in.Template != "":
		return s.GetTemplate(ctx, in.Company, in.Template, in.TemplateVersion, false)
	case in.TemplateVersion != 0:
		v := &fault.List{}
		v.Add("template", "name the template that version %d is of", in.TemplateVersion)
		return SavedTemplate{}, v.Err()
	default:
		return s.templateFor(ctx, in.Company, at)
	}
}

// fill adds what only some documents have: the customer, other options, prices of
// another day.
func (s *Service) fill(ctx context.Context, in MakePaper, stored Stored, c auth.Caller, from *paper.Input) (err error) {
	if in.Kind.ForCustomer() && (c.Role.May(auth.Estimator) || c.Everywhere) {
		if from.Customer, err = s.namedOn(ctx, in.Company, stored.Record.Customer); err != nil {
			return err
		}
	}
	switch in.Kind {
	case paper.Proposal:
		from.Options, err = s.besides(ctx, stored, from.Template.Measures)
		return err
	case paper.PriceLetter:
		again, err := s.RepriceQuote(ctx, Reprice{Company: in.Company, ID: in.Quote, AsOf: in.AsOf, Revision: in.Revision})
		if err != nil {
			return err
		}
		from.Repricing = &again
		// As many days as the quote was valid for.
		was := stored.Request
		days := int(was.ValidUntil.Time().Sub(was.AsOf.Time()).Hours() / 24)
		from.NewLastDay = again.Now.AsOf.AddDays(max(days, 0))
		return nil
	default:
		return nil
	}
}

// namedOn are the details that a paper has of a customer: none where the quote's
// reference is known to the caller alone, or the details are not for this one.
func (s *Service) namedOn(ctx context.Context, company, id string) (paper.Customer, error) {
	if id == "" {
		return paper.Customer{}, nil
	}
	c, err := s.GetCustomer(ctx, company, id)
	if fault.KindOf(err) == fault.NotFound {
		return paper.Customer{}, nil
	}
	if err != nil || c.Erased() {
		return paper.Customer{}, err
	}
	d, a := c.Details, c.Details.Address
	place := strings.TrimSpace(strings.Join(slices.DeleteFunc([]string{a.Locality, a.Region, a.PostalCode}, func(s string) bool { return s == "" }), " "))
	lines := slices.Clone(a.Lines)
	for _, l := range []string{place, a.Country} {
		if l != "" {
			lines = append(lines, l)
		}
	}
	return paper.Customer{Version: c.Version, Name: d.DisplayName, Lines: lines, Email: d.Email, Telephone: d.Telephone}, nil
}

// besides are the quotes that are offered side by side, the quote itself first
// and the others as they were made; those that were withdrawn are left out.
func (s *Service) besides(ctx context.Context, stored Stored, m render.Measures) ([]paper.Option, error) {
	own := stored.Record
	group, err := s.Quotes.ListQuotes(ctx, QuoteFilter{Company: own.Company, OptionGroup: own.Life.OptionGroup, Limit: 100})
	if err != nil {
		return nil, err
	}
	slices.Reverse(group) // oldest first
	all := []paper.Option{optionOf(stored, m, true)}
	for _, r := range group {
		offered := r.Life.State.Open() || r.Life.State == quote.Accepted
		if r.ID == own.ID || !offered || r.Currency != own.Currency || len(all) == mostOptions {
			continue
		}
		other, err := s.GetQuote(ctx, r.Company, r.ID)
		if err != nil {
			return nil, err
		}
		all = append(all, optionOf(other, m, false))
	}
	return all, nil
}

func optionOf(s Stored, m render.Measures, this bool) paper.Option {
	t := s.Quote.Totals
	return paper.Option{
		Ref: s.Record.ID, Name: cmp.Or(s.Request.Spec.Name, s.Request.ExternalRef, s.Record.ID), Fence: render.Infill(s.Request.Spec, m),
		ValidUntil: s.Record.ValidUntil, Net: t.Net, Tax: t.Tax, Total: t.Total, This: this, Acceptable: s.Record.Life.State.Open(),
	}
}

// recorded keeps the paper's hash, and says how it stands to what was kept.
func (s *Service) recorded(ctx context.Context, in MakePaper, r Record, from paper.Input, out Paper) (Paper, error) {
	rec := PaperRecord{
		Company: in.Company, Quote: r.ID, Office: r.Office, Kind: in.Kind, MadeOf: madeOf(from, out.Template), Hash: out.Hash,
		TemplateOffice: out.Template.Office, TemplateVersion: out.Template.Version, CustomerVersion: out.CustomerVersion, MadeAt: s.now(),
	}
	first, err := s.Papers.RecordPaper(ctx, rec)
	if err != nil {
		return Paper{}, err
	}
	out.RecordedAt = first.MadeAt
	switch {
	case first.New:
		out.Recorded = RecordedFirst
	case first.Hash == out.Hash:
		out.Recorded = RecordedIdentical
	default:
		out.Recorded = RecordedDiffers
	}
	return out, nil
}

// madeOf names everything that a paper's bytes follow from but the program: the
// quote by its fingerprint, the customer by the version of his details.
func madeOf(in paper.Input, saved SavedTemplate) string {
	t := in.Template.WithDefaults()
	var b strings.Builder
	fmt.Fprintf(&b, "quote %s of %v, made %v\n", in.Ref, fmt.Sprintf("%x", in.Fingerprint), in.Made)
	fmt.Fprintf(&b, "template %x, title %q, paper %s, measures %s, locale %s\n", saved.Hash, t.Title, t.Paper, t.Measures, t.Locale)
	fmt.Fprintf(&b, "customer version %d\n", in.Customer.Version)
	for _, o := range in.Options {
		fmt.Fprintf(&b, "option %s, open %t\n", o.Ref, o.Acceptable)
	}
	if again := in.Repricing; again != nil {
		fmt.Fprintf(&b, "prices of %v at revision %d, rules %d, until %v\n", again.Now.AsOf, again.Now.Head.Revision, again.RulesNow, in.NewLastDay)
	}
	return b.String()
}
