package rpc

import (
	"context"
	"errors"
	"strings"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/basket"
	"wattle/internal/costindex"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/measure"
)

// costRequest is a request that follows a basket over a window.
type costRequest interface {
	GetParent() string
	GetBasket() *wattlev1.CostBasket
	GetWindow() *wattlev1.CostWindow
}

// costs reads basket and window; everything that cannot be read is in one error.
func (s costService) costs(ctx context.Context, req costRequest) (estimating.CostBasket, estimating.CostWindow, error) {
	v := &fault.List{}
	window := costWindowFromProto(v.At("window"), req.GetWindow())
	b, err := s.basket(ctx, req.GetParent(), req.GetBasket())
	if err != nil {
		if unread := v.Merge(err); unread != nil { // not a list of violations
			return b, window, unread
		}
	}
	return b, window, v.Err()
}

// referenceRequest is a reference fence as a request of its own, which may name
// its spec.
type referenceRequest struct {
	*wattlev1.ReferenceFence
	parent string
}

func (r referenceRequest) GetParent() string { return r.parent }

// GetSite is the request's, or the reference site.
func (r referenceRequest) GetSite() *wattlev1.Site {
	if site := r.ReferenceFence.GetSite(); site != nil {
		return site
	}
	return &wattlev1.Site{Runs: []*wattlev1.Run{{Id: "reference", Vertices: []*wattlev1.Vertex{
		{East: "0 ft", North: "0 ft"}, {East: "100 ft", North: "0 ft"},
	}}}}
}

// basket reads a basket. A spec that it names is found first.
func (s costService) basket(ctx context.Context, parent string, p *wattlev1.CostBasket) (estimating.CostBasket, error) {
	v := &fault.List{}
	at := v.At("basket")
	b := estimating.CostBasket{
		Currency:  readCurrency(at, p.GetCurrency()),
		Total:     p.GetScope() == wattlev1.CostScope_COST_SCOPE_TOTAL,
		WithGates: p.GetWithGates(),
	}
	switch {
	case p.GetReference() != nil:
		req := referenceRequest{p.GetReference(), parent}
		named, err := findSpec(ctx, s.estimating, req)
		if err != nil {
			return b, err
		}
		job := readJob(at.At("reference"), req, named)
		b.Reference = &estimating.ReferenceFence{
			Site: job.Site, Spec: job.Spec,
			CountedOn: readDate(at.At("reference"), "counted_on", p.GetReference().GetCountedOn()),
		}
	case p.GetQuotes() != nil:
		b.Quotes = quoteMixFromProto(at.At("quotes"), p.GetQuotes())
	default:
		b.Items = basketItemsFromProto(at.At("items"), p.GetItems())
	}
	return b, v.Err()
}

func quoteMixFromProto(v *fault.List, p *wattlev1.QuoteMix) *estimating.QuoteMix {
	m := &estimating.QuoteMix{From: readDate(v, "from", p.GetFrom()), To: readDate(v, "to", p.GetTo()), Office: p.GetOffice()}
	for _, state := range p.GetStates() {
		m.States = append(m.States, quoteStates.domain[state])
	}
	return m
}

func basketItemsFromProto(v *fault.List, p *wattlev1.BasketItems) *basket.Basket {
	b := &basket.Basket{Fence: readSize(v, "length", p.GetLength())}
	if p.GetLength() == "" {
		b.Fence = measure.Foot
	}
	for i, item := range p.GetItems() {
		l := basket.Line{Item: item.GetItem(), Component: item.GetComponent(), Unit: item.GetUnit()}
		l.Quantity = readDecimal(v.At("items").Index(i), "quantity", item.GetQuantity())
		if l.Component == "" {
			l.Component = "items"
		}
		if l.Unit == "" {
			l.Unit = "each"
		}
		b.Lines = append(b.Lines, l)
	}
	return b
}

func costWindowFromProto(v *fault.List, p *wattlev1.CostWindow) estimating.CostWindow {
	return estimating.CostWindow{
		From: readDate(v, "from", p.GetFrom()), To: readDate(v, "to", p.GetTo()),
		Then:     p.GetKnown() == wattlev1.CostWindow_KNOWN_THEN,
		Revision: revisionFromProto(p.Revision), //nolint:protogetter // nil says absent
	}
}

// underBasket is an error about a reference fence with the paths that its site
// and spec have in the request.
func underBasket(err error) error {
	e, ok := errors.AsType[*fault.Error](err)
	if !ok {
		return err
	}
	told := *e
	told.Violations = make([]fault.Violation, len(e.Violations))
	for i, violation := range e.Violations {
		for _, part := range []string{"site", "spec"} {
			if rest, ok := strings.CutPrefix(violation.Field, part); ok && (rest == "" || rest[0] == '.' || rest[0] == '[') {
				violation.Field = "basket.reference." + violation.Field
				break
			}
		}
		told.Violations[i] = violation
	}
	return &told
}

// spans are the spans of the calendar that a request may name; a step is none.
var spans = map[wattlev1.CostEvery]costindex.Every{
	wattlev1.CostEvery_COST_EVERY_DAY:   costindex.Day,
	wattlev1.CostEvery_COST_EVERY_WEEK:  costindex.Week,
	wattlev1.CostEvery_COST_EVERY_MONTH: costindex.Month,
}

func spanOr(p wattlev1.CostEvery, otherwise costindex.Every) costindex.Every {
	if span, ok := spans[p]; ok {
		return span
	}
	return otherwise
}
