package estimating

import (
	"context"
	"errors"
	"time"

	"github.com/govalues/decimal"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/office"
	"wattle/internal/quote"
)

// ExportStore reads the book and quotes in an order that never changes, a page at
// a time and of each what the caller sees.
type ExportStore interface {
	// Entries are those after a place and up to a revision, by revision, item,
	// office, supplier and effective date.
	Entries(ctx context.Context, q EntryRange) ([]book.Entry, error)
	// CountEntries counts what revisions after one up to another brought, at any
	// office.
	CountEntries(ctx context.Context, company string, since, until book.Revision) (int64, error)
	// Items are the next items after one that the book has ever had, by name.
	Items(ctx context.Context, company, after string, limit int) ([]string, error)
	// QuotesInOrder are quotes with their documents, oldest first: the one of the
	// place and those after it.
	QuotesInOrder(ctx context.Context, f QuoteRange, from QuotePlace, limit int) ([]Record, error)
	CountQuotes(ctx context.Context, f QuoteRange) (int64, error)
}

// EntryPlace is an entry's place in the order of an export.
type EntryPlace struct {
	Revision               book.Revision
	Item, Office, Supplier string
	Effective              civil.Date
}

// PlaceOf is the place of an entry.
func PlaceOf(e book.Entry) EntryPlace {
	return EntryPlace{e.Revision, e.Item, e.Office, e.Supplier, e.Effective}
}

// EntryRange is a stretch of the book: entries after a place (where that names no
// item, after the whole revision) up to a revision.
type EntryRange struct {
	Company string
	After   EntryPlace
	Until   book.Revision
	Limit   int
}

// QuoteRange selects quotes; empty fields select all.
type QuoteRange struct {
	Company, Office string
	States          []quote.State
	// From is the earliest time of creation, Before the first too late.
	From, Before time.Time
}

// QuotePlace is the place of a line in the order of an export; the zero place is
// before every line.
type QuotePlace struct {
	CreatedAt time.Time
	ID        string
	Line      int // from 1
}

// ExportHead is the revision up to which an export of what the book learned
// since another goes; the newest where none is asked for.
func (s *Service) ExportHead(ctx context.Context, company string, since book.Revision, until *book.Revision) (book.Head, error) {
	head, err := s.headAt(ctx, company, until)
	if err != nil {
		return head, underField(err, "revision", "until_revision")
	}
	v := &fault.List{}
	v.Require(since <= head.Revision, "since_revision", "expected at most %d, up to which the list goes, found %d", head.Revision, since)
	return head, v.Err()
}

// ExportTotal is how many entries such an export has; 0 for a caller who does
// not see every office, since how much others buy is not his to know.
func (s *Service) ExportTotal(ctx context.Context, company string, since, until book.Revision) (int64, error) {
	if c := CallerOf(ctx); !c.Everywhere && c.Office != office.Main {
		return 0, nil
	}
	return s.Exports.CountEntries(ctx, company, since, until)
}

// ExportEntries is a page of the book.
func (s *Service) ExportEntries(ctx context.Context, q EntryRange) ([]book.Entry, error) {
	return s.Exports.Entries(ctx, q)
}

// underField names the field by which the caller knows it.
func underField(err error, was, is string) error {
	e, ok := errors.AsType[*fault.Error](err)
	if !ok {
		return err
	}
	for i := range e.Violations {
		if e.Violations[i].Field == was {
			e.Violations[i].Field = is
		}
	}
	return err
}

// PriceListPlace is a place in a price list: after an item, or after one of its
// suppliers. The zero place is before every item.
type PriceListPlace struct {
	Item     string
	Supplier *string
}

// PriceListQuery asks for the entries in force at the first of its offices, of
// which the others are the way up. Its items are the book's, those after a place.
type PriceListQuery struct {
	book.Query
	After PriceListPlace
	Limit int
}

// PriceListHead is the revision of a price list; the newest where none is asked
// for.
func (s *Service) PriceListHead(ctx context.Context, company string, revision *book.Revision) (book.Head, error) {
	return s.headAt(ctx, company, revision)
}

// ExportPriceList is a page of what holds at an office on a day, by item and
// supplier, and where the list goes on; nil at its end. It looks at as many items
// as the page may have entries: those that nobody sells make a page short, even
// empty, and no call long.
func (s *Service) ExportPriceList(ctx context.Context, q PriceListQuery) ([]book.Entry, *PriceListPlace, error) {
	var err error
	if q.Items, err = s.Exports.Items(ctx, q.Company, q.After.Item, q.Limit); err != nil {
		return nil, nil, err
	}
	var next *PriceListPlace
	if len(q.Items) == q.Limit {
		next = &PriceListPlace{Item: q.Items[q.Limit-1]}
	}
	if q.After.Supplier != nil {
		q.Items = append([]string{q.After.Item}, q.Items...)
	}
	if len(q.Items) == 0 {
		return nil, nil, nil
	}
	resolved, _, err := s.Prices.Resolve(ctx, q.Query)
	if err != nil {
		return nil, nil, err
	}
	var entries []book.Entry
	for _, r := range resolved {
		for _, e := range r.Offers { // by supplier
			if e.Item == q.After.Item && e.Supplier <= *q.After.Supplier {
				continue
			}
			if len(entries) == q.Limit {
				last := entries[q.Limit-1]
				return entries, &PriceListPlace{last.Item, &last.Supplier}, nil
			}
			entries = append(entries, e)
		}
	}
	return entries, next, nil
}

// QuotedLine is a line of a quote.
type QuotedLine struct {
	Record  Record // without its document
	Number  int    // from 1
	NetFeet decimal.Decimal
	quote.Line
}

// Place is the line's place in the order of an export.
func (l QuotedLine) Place() QuotePlace {
	return QuotePlace{l.Record.CreatedAt, l.Record.ID, l.Number}
}

// ExportQuoteLines is a page of the lines of quotes, and how many quotes the
// whole list is of, which is counted for the first page alone.
func (s *Service) ExportQuoteLines(ctx context.Context, f QuoteRange, after QuotePlace, limit int) (lines []QuotedLine, quotes int64, err error) {
	if after == (QuotePlace{}) {
		if quotes, err = s.Exports.CountQuotes(ctx, f); err != nil {
			return nil, 0, err
		}
	}
	for {
		records, err := s.Exports.QuotesInOrder(ctx, f, after, documentsAtOnce)
		if err != nil {
			return nil, 0, err
		}
		for _, rec := range records {
			all, perFoot, err := quote.ParseLines(rec.Document)
			if err != nil {
				return nil, 0, fault.Wrap(err, fault.Internal, "DOCUMENT_UNREADABLE", "the stored document of quote %s cannot be read", rec.ID)
			}
			rec.Document = nil
			for i, l := range all {
				one := QuotedLine{rec, i + 1, perFoot.NetFeet, l}
				if rec.ID == after.ID && one.Number <= after.Line {
					continue
				}
				if lines = append(lines, one); len(lines) == limit {
					return lines, quotes, nil
				}
			}
			after = QuotePlace{rec.CreatedAt, rec.ID, len(all)}
		}
		if len(records) < documentsAtOnce {
			return lines, quotes, nil
		}
		if err := alive(ctx); err != nil {
			return nil, 0, err
		}
	}
}
