package quote

import (
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/book"
	"wattle/internal/check"
	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/money"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// PricedAt says at which prices figures hold.
type PricedAt struct {
	AsOf     civil.Date
	Currency money.Currency
	Head     book.Head
}

// Figures are what several ways to build one site are compared by.
type Figures struct {
	Posts int // to set or keep, roller posts of sliding gates too
	// CrewHours are the hours of the whole crew: by tasks those of one person
	// shared by the crew, by fence the labour line's.
	CrewHours decimal.Decimal
	Totals    Totals
}

// FiguresOf are the figures of a quote.
func FiguresOf(q *Quote) (Figures, error) {
	var c money.Calc
	f := Figures{Posts: len(q.Layout.Posts), Totals: q.Totals}
	for _, o := range q.Layout.Openings {
		if o.Roller != nil { // none of the layout's posts
			f.Posts++
		}
	}
	if w := q.Takeoff.Work; w != nil {
		f.CrewHours = w.CrewHours()
		return f, nil
	}
	for _, l := range q.Takeoff.Lines {
		if l.Category == takeoff.Labour && l.Unit == takeoff.Hour {
			f.CrewHours = c.Add(f.CrewHours, l.Order)
		}
	}
	return f, c.Err()
}

// Difference is one way's figures less another's.
type Difference struct{ Cost, Net, Total, CrewHours decimal.Decimal }

func (f Figures) less(c *money.Calc, other Figures) *Difference {
	return &Difference{
		Cost: c.Sub(f.Totals.Cost, other.Totals.Cost), Net: c.Sub(f.Totals.Net, other.Totals.Net),
		Total: c.Sub(f.Totals.Total, other.Totals.Total), CrewHours: c.Sub(f.CrewHours, other.CrewHours),
	}
}

// Option is one of several specs for one site.
type Option struct {
	Name string
	// Err is why the option could not be planned or priced, by the paths of the
	// request; then nothing below is set.
	Err  *fault.Error
	Spec spec.Spec // every default filled
	Figures
	PerFoot  PerFoot
	Lines    []takeoff.Line
	Cautions []layout.Caution
	Checks   []check.Result
	// ToFirst and ToCheapest are this option less the first and less the
	// cheapest. ToFirst is nil where the first has an error.
	ToFirst, ToCheapest *Difference
}

// Options are several ways to build one site, at the same prices.
type Options struct {
	PricedAt PricedAt
	All      []Option
	// Cheapest is the index of the option of the least total; of equals the one
	// of less cost, then the earlier one.
	Cheapest int
}

// SideBySide finds the cheapest option and what each differs by. Where none
// could be priced, the error has everything that is wrong with each.
func SideBySide(at PricedAt, all []Option) (Options, error) {
	out := Options{PricedAt: at, All: slices.Clone(all), Cheapest: -1}
	for i, o := range out.All {
		if o.Err == nil && (out.Cheapest < 0 || cheaper(o.Totals, out.All[out.Cheapest].Totals)) {
			out.Cheapest = i
		}
	}
	if out.Cheapest < 0 {
		return Options{}, noOption(all)
	}
	var c money.Calc
	for i := range out.All {
		o := &out.All[i]
		if o.Err != nil {
			continue
		}
		o.ToCheapest = o.less(&c, out.All[out.Cheapest].Figures)
		if first := out.All[0]; first.Err == nil {
			o.ToFirst = o.less(&c, first.Figures)
		}
	}
	return out, c.Err()
}

func cheaper(a, b Totals) bool {
	if d := a.Total.Cmp(b.Total); d != 0 {
		return d < 0
	}
	return a.Cost.Cmp(b.Cost) < 0
}
