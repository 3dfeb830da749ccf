package estimating

import (
	"context"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/quote"
	"wattle/internal/spec"
)

// How many options are compared at once.
const (
	FewestOptions = 2
	MostOptions   = 20
)

// CompareOptions asks for several specs side by side.
type CompareOptions struct {
	// Base is the quote that each option would be, without a site and a spec;
	// its key names only the company.
	Base    CreateQuote
	Site    SiteFor
	Options []NamedSpec
}

// NamedSpec is an option; no two have one name.
type NamedSpec struct {
	Name string
	Spec spec.Spec
}

// CompareOptions prices every option at the same prices and stores nothing.
// What is wrong with one option is in that option; where none can be priced,
// the error has everything that is wrong with each.
func (s *Service) CompareOptions(ctx context.Context, in CompareOptions) (quote.Options, error) {
	if err := in.validate(); err != nil {
		return quote.Options{}, err
	}
	specs := make([]spec.Spec, len(in.Options))
	for i, o := range in.Options {
		specs[i] = o.Spec
	}
	ways, err := s.ways(ctx, in.Base, in.Site, specs)
	if err != nil {
		return quote.Options{}, err
	}
	all := make([]quote.Option, len(ways))
	head, err := s.priceAll(ctx, ways, in.Base.Revision, func(i int, q *quote.Quote) error {
		f, err := quote.FiguresOf(q)
		all[i] = quote.Option{
			Spec: ways[i].request.Spec, Figures: f, PerFoot: q.PerFoot, Lines: q.Takeoff.Lines, Cautions: q.Cautions, Checks: q.Checks,
		}
		return err
	})
	if err != nil {
		return quote.Options{}, err
	}
	for i, w := range ways {
		if w.err != nil {
			all[i] = quote.Option{Err: quote.OptionError(i, w.err)}
		}
		all[i].Name = in.Options[i].Name
	}
	r := ways[0].request
	return quote.SideBySide(quote.PricedAt{AsOf: r.AsOf, Currency: r.Currency, Head: head}, all)
}

func (in CompareOptions) validate() error {
	v := &fault.List{}
	n := len(in.Options)
	v.Require(n >= FewestOptions && n <= MostOptions, "options", "expected between %d and %d options, found %d", FewestOptions, MostOptions, n)
	options := v.At("options")
	for i, o := range in.Options {
		first := slices.IndexFunc(in.Options, func(other NamedSpec) bool { return other.Name == o.Name })
		at := options.Index(i)
		at.Require(o.Name != "", "name", "a name is expected")
		at.Require(o.Name == "" || first == i, "name", "expected a name of its own, found %q, which is also that of options[%d]", o.Name, first)
	}
	return v.Err()
}
