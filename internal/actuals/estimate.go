package actuals

import (
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/quote"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// Estimate is what a quote says a job will use.
type Estimate struct {
	Lines []Line // by kind and name, Actual nil
	// HoursOf says how it counts hours; empty where it has no labour.
	HoursOf HoursOf
}

// Estimated is a quote's estimate.
func Estimated(s spec.Spec, q *quote.Quote) Estimate {
	var e Estimate
	costs := make(map[string]decimal.Decimal, len(q.Lines))
	for _, l := range q.Lines {
		if l.Category != "" { // custom lines have no item
			costs[l.Item] = l.Cost
		}
	}
	for _, l := range q.Takeoff.Lines {
		line := Line{
			Kind: Material, Name: l.Item, Category: l.Category, Unit: string(l.OrderedIn()),
			Estimated: new(l.Order), EstimatedCost: new(costs[l.Item]),
		}
		if l.Category == takeoff.Labour {
			line.Kind, line.Rates, e.HoursOf = Labour, q.Takeoff.FenceRates(s), Crew
		}
		e.Lines = append(e.Lines, line)
	}
	if w := q.Takeoff.Work; w != nil {
		e.HoursOf = Person
		for _, t := range w.Tasks {
			e.Lines = append(e.Lines, Line{
				Kind: Task, Name: t.Name, Category: takeoff.Labour, Unit: string(takeoff.Hour),
				Estimated: new(t.Hours), Rates: []takeoff.Rate{t.Rated()},
			})
		}
	}
	slices.SortFunc(e.Lines, compareLines)
	return e
}

// line is the line of a kind and name, or nil.
func (e Estimate) line(k Kind, name string) *Line {
	if i, found := slices.BinarySearchFunc(e.Lines, Line{Kind: k, Name: name}, compareLines); found {
		return &e.Lines[i]
	}
	return nil
}

// labour is the line of the whole job's hours, or nil.
func (e Estimate) labour() *Line {
	if i := slices.IndexFunc(e.Lines, func(l Line) bool { return l.Kind == Labour }); i >= 0 {
		return &e.Lines[i]
	}
	return nil
}
