package estimating

import (
	"context"
	"slices"
	"time"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/office"
	"wattle/internal/quote"
)

// Approval lets a quote be issued although its margin is under its office's
// floor.
type Approval struct {
	// Office is that of the key that approved.
	Office     string
	ApprovedAt time.Time // UTC, to the microsecond
	// Margin is the quote's and Floor its office's at the time, in percent of
	// the price before tax.
	Margin, Floor decimal.Decimal
}

// counts reports whether the approval is of an office at or above the one that
// set the floor: whom a floor binds cannot lift it.
func (a Approval) counts(t office.Tree, setBy string) bool {
	return slices.Contains(t.Path(setBy), a.Office)
}

// ApproveQuote approves a draft whose margin is under its office's floor, with a
// key of the office that set the floor or of one above it.
func (s *Service) ApproveQuote(ctx context.Context, m Move) (Approval, error) {
	c, err := CallerFor(ctx, m.Key.Company)
	if err != nil {
		return Approval{}, err
	}
	stored, err := s.GetQuote(ctx, m.Key.Company, m.Quote)
	if err != nil {
		return Approval{}, err
	}
	margin, err := stored.Quote.Totals.Margin()
	if err != nil {
		return Approval{}, err
	}
	floor, setBy := c.Tree.Floor(stored.Record.Office)
	if floor == nil || margin.Cmp(*floor) >= 0 {
		return Approval{}, fault.New(fault.Refused, "APPROVAL_NOT_NEEDED", "the quote's margin of %v %% is not under the floor of its office; issue it", margin)
	}
	a := Approval{Office: c.Office, ApprovedAt: s.now(), Margin: margin, Floor: *floor}
	if !a.counts(c.Tree, setBy) {
		return Approval{}, fault.New(fault.Denied, "OFFICE_NOT_YOURS", "the floor is set by the office %s, and an approval is given there or above it; your key is of %s", setBy, c.Office)
	}
	return s.Quotes.ApproveQuote(ctx, m.Key, m.Quote, a, func(r Record) error {
		if err := m.holds(r); err != nil {
			return err
		}
		_, err := r.Life.State.After(quote.Issue)
		return err
	})
}

// approvalLacking is why the quote may not be issued, nil where its margin keeps
// the floor or somebody approved it.
func (s *Service) approvalLacking(ctx context.Context, company, id string) (lacking, err error) {
	tree := CallerOf(ctx).Tree
	rec, err := s.Quotes.Quote(ctx, company, id)
	if err != nil {
		return nil, err
	}
	floor, setBy := tree.Floor(rec.Office)
	if floor == nil {
		return nil, nil // and the document need not be read
	}
	stored, err := decode(rec)
	if err != nil {
		return nil, err
	}
	margin, err := stored.Quote.Totals.Margin()
	if err != nil || margin.Cmp(*floor) >= 0 {
		return nil, err
	}
	given, err := s.Quotes.Approvals(ctx, company, id)
	if err != nil || slices.ContainsFunc(given, func(a Approval) bool { return a.counts(tree, setBy) }) {
		return nil, err
	}
	return fault.New(fault.Refused, "APPROVAL_NEEDED",
		"the quote's margin is %v %% of the price, under the floor of %v %% that the office %s set: it needs the approval of a pricer there or above", margin, *floor, setBy).
		With("margin", margin.String()).With("floor", floor.String()).With("floorOffice", setBy), nil
}
