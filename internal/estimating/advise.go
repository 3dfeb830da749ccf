package estimating

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"strings"

	"wattle/internal/fault"
	"wattle/internal/quote"
	"wattle/internal/spec"
)

// TableSize is how many candidates advice lists where the caller names no
// number.
const TableSize = 10

// Advise asks for the cheapest way to build a spec.
type Advise struct {
	// Base is the quote that each candidate would be, without a site and a
	// spec; its key names only the company.
	Base   CreateQuote
	Site   SiteFor
	Spec   spec.Spec
	Search quote.Search
	Table  int // TableSize
}

// Advise prices every choice of the search at the same prices and stores
// nothing. A spec or a search that is wrong in itself is Invalid, with all that
// is wrong with the request; where no candidate passes, see quote.Advise.
func (s *Service) Advise(ctx context.Context, in Advise) (quote.Advice, error) {
	if err := alive(ctx); err != nil {
		return quote.Advice{}, err
	}
	choices, given, err := s.choices(ctx, in)
	if err != nil {
		return quote.Advice{}, err
	}
	specs := make([]spec.Spec, len(choices))
	for i, c := range choices {
		specs[i] = c.In(in.Spec)
	}
	specs[given] = in.Spec
	ways, err := s.ways(ctx, in.Base, in.Site, specs)
	if err != nil {
		return quote.Advice{}, err
	}
	trials := make([]quote.Trial, len(ways))
	head, err := s.priceAll(ctx, ways, in.Base.Revision, func(i int, q *quote.Quote) error {
		f, err := quote.FiguresOf(q)
		t := quote.Trial{Spec: ways[i].request.Spec, Cautions: q.Cautions, Checks: q.Checks, Err: passes(q)}
		t.Figures = f
		if same := ways[i].same; same != i {
			t.Fence = trials[same].Fence
		} else if err == nil {
			t.Fence, err = quote.FenceKey(q)
		}
		trials[i] = t
		return err
	})
	if err != nil {
		return quote.Advice{}, err
	}
	for i, w := range ways {
		trials[i].Choice, trials[i].Given = choices[i], i == given
		if e, failed := errors.AsType[*fault.Error](w.err); failed {
			trials[i].Err = e
		}
	}
	r := ways[0].request
	return quote.Advise(quote.PricedAt{AsOf: r.AsOf, Currency: r.Currency, Head: head}, trials, cmp.Or(in.Table, TableSize))
}

// choices are what there is to try, the spec as given one of them. The spec is looked at once as it was given:
// what is wrong with it there is wrong with every candidate, or with what the
// search is made of. A site that cannot be laid out to the spec as given may
// well be by a candidate, so it alone is no error yet.
func (s *Service) choices(ctx context.Context, in Advise) (choices []quote.Choice, given int, err error) {
	v := &fault.List{}
	filled := in.Spec.WithDefaults()
	own := quote.ChoiceOf(filled)
	choices = in.Search.WithDefaults(filled).Choices(v, own.Stock)
	given = slices.IndexFunc(choices, own.Equal)
	if given < 0 {
		choices, given = append(choices, own), len(choices)
	}
	v.Require(in.Table >= 0, "table_size", "expected a number of candidates, found %d", in.Table)
	m, err := in.Site(in.Spec)
	if err != nil {
		if err := v.Merge(err); err != nil {
			return nil, 0, err
		}
		return nil, 0, v.Err()
	}
	base := in.Base
	base.Site, base.Spec = m.Site, in.Spec
	_, err = quote.Plan(s.request(ctx, base))
	if e, failed := errors.AsType[*fault.Error](err); failed && v.Len() == 0 && !slices.ContainsFunc(e.Violations, besideSite) {
		err = nil
	}
	if err := v.Merge(m.explain(err)); err != nil {
		return nil, 0, err
	}
	return choices, given, v.Err()
}

func besideSite(v fault.Violation) bool { return !strings.HasPrefix(v.Field, "site") }
