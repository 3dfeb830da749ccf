package estimating

import (
	"context"
	"crypto/sha256"
	"slices"
	"strings"

	"wattle/internal/book"
	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/quote"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// SiteFor is what was measured, in local coordinates under a spec: arcs are
// laid as chords by the bays of the spec. Its error is about the site alone.
type SiteFor func(spec.Spec) (Measured, error)

// Measured is a site in local coordinates. Explain words an error about it by
// the paths the site was given by; nil where it was given as it is.
type Measured struct {
	Site    site.Site
	Explain func(error) error
}

func (m Measured) explain(err error) error {
	if m.Explain == nil || err == nil {
		return err
	}
	return m.Explain(err)
}

// way is one of several ways to build a site: a quote that is priced and not
// stored.
type way struct {
	request quote.Request
	site    Measured
	// err is why it cannot be planned or priced; the others go on.
	err   error
	items []string // that it may buy
	same  int      // the first way that is counted and priced alike; itself
}

// ways makes a way of every spec, all else as in base.
func (s *Service) ways(ctx context.Context, base CreateQuote, sites SiteFor, specs []spec.Spec) ([]way, error) {
	at, err := readsAt(ctx, base.Key.Company, base.Office)
	if err != nil {
		return nil, err
	}
	base.Office = at
	all := make([]way, len(specs))
	for i, sp := range specs {
		if err := alive(ctx); err != nil {
			return nil, err
		}
		m, err := sites(sp)
		in := base
		in.Site, in.Spec = m.Site, sp
		all[i] = way{request: s.request(ctx, in), site: m, same: i}
		if err := all[i].fails(err); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// fails keeps an error that is about this way alone, and gives back any other.
func (w *way) fails(err error) error {
	switch fault.KindOf(err) {
	case fault.Invalid, fault.Refused, fault.Exhausted:
		w.err = w.site.explain(err)
		return nil
	default:
		return err
	}
}

// priceAll plans every way, resolves what any of them may buy with one query,
// and then hands over the quote of each that can be priced, in turn; no two
// quotes are held at once, so the largest site takes no more room than one. A
// layout is planned twice for that, which costs less than counting it.
//
// Ways are worked on one after another: one call takes one processor, and a
// defect in one of them ends in the caller's own error.
func (s *Service) priceAll(ctx context.Context, all []way, revision *book.Revision, priced func(i int, q *quote.Quote) error) (book.Head, error) {
	items, err := planAll(ctx, all)
	if err != nil || len(items) == 0 { // nothing can be planned: each way says why
		return book.Head{}, err
	}
	r := all[0].request // what they share
	prices, head, err := s.pricesOf(ctx, r, book.At(revision), items)
	if err != nil {
		return head, err
	}
	for i := range all {
		w := &all[i]
		if w.err != nil || w.same != i {
			continue
		}
		if err := alive(ctx); err != nil {
			return head, err
		}
		w.request.Head, w.request.Prices = head, pick(prices, w.items)
		q, err := quote.Build(w.request)
		for j := i; j < len(all); j++ {
			if all[j].err != nil || all[j].same != i {
				continue
			}
			each := err
			if each == nil {
				each = priced(j, q)
			}
			if err := all[j].fails(each); err != nil {
				return head, err
			}
		}
	}
	return head, alive(ctx)
}

// planAll lays every way out once, to learn what it may buy and which others
// come to the same. It gives all items, sorted.
func planAll(ctx context.Context, all []way) ([]string, error) {
	first := make(map[[sha256.Size]byte]int)
	var items []string
	for i := range all {
		w := &all[i]
		if w.err != nil {
			continue
		}
		if err := alive(ctx); err != nil {
			return nil, err
		}
		l, err := quote.Plan(w.request)
		if err != nil {
			if err := w.fails(err); err != nil {
				return nil, err
			}
			continue
		}
		if err := w.plan(i, l, first); err != nil {
			return nil, err
		}
		items = append(items, w.items...)
	}
	slices.Sort(items)
	return slices.Compact(items), nil
}

func (w *way) plan(i int, l *layout.Layout, first map[[sha256.Size]byte]int) error {
	job := w.request.Job(l)
	key, err := quote.WorkKey(job)
	if err != nil {
		return err
	}
	if j, known := first[key]; known {
		w.same = j
	} else {
		first[key] = i
	}
	w.items = job.Candidates()
	return nil
}

// pick takes the prices of some items, both in item order.
func pick(prices []book.Resolved, items []string) []book.Resolved {
	out := make([]book.Resolved, 0, len(items))
	for _, item := range items {
		i, ok := slices.BinarySearchFunc(prices, item, func(p book.Resolved, item string) int { return strings.Compare(p.Item, item) })
		if ok {
			out = append(out, prices[i])
		}
	}
	return out
}
