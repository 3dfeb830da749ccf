package estimating

import (
	"context"
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/basket"
	"wattle/internal/costindex"
	"wattle/internal/fault"
)

// IndexWish asks for index numbers over whole weeks or months of a window.
type IndexWish struct {
	// Basket is the same in every period, but where its Quotes are to be taken
	// period by period.
	Basket      CostBasket
	QuotesByDay bool
	Window      CostWindow
	Every       costindex.Every
}

// IndexTable is prices and quantities by period.
type IndexTable struct {
	Followed
	Goods   costindex.Goods
	Samples []costindex.Sample // the periods
	Quotes  []int              // made in each
}

// IndexGoods is the table of prices and quantities that index numbers are made
// of. A price is that of a period's last day; one that is missing is zero, which
// costindex.Goods.Index refuses by period and good.
func (s *Service) IndexGoods(ctx context.Context, company, at string, w IndexWish) (IndexTable, error) {
	var t IndexTable
	var err error
	if t.Followed, err = s.FollowCost(ctx, company, at, w.Basket, w.Window); err != nil {
		return t, err
	}
	if t.Samples, err = t.periods(w.Every); err != nil {
		return t, err
	}
	v := &fault.List{}
	if v.At("window").Require(len(t.Samples) > 1, "from", "expected two whole periods at least, found %d", len(t.Samples)); len(t.Samples) < 2 {
		return t, v.Err()
	}
	bought := make([]basket.Basket, len(t.Samples))
	t.Quotes = make([]int, len(t.Samples))
	if w.QuotesByDay {
		err = t.boughtIn(w, bought)
	} else {
		for i := range bought {
			bought[i] = t.Basket
		}
	}
	for _, l := range t.Basket.Lines {
		t.Goods.Names = append(t.Goods.Names, l.Item)
	}
	for i, sample := range t.Samples {
		t.Goods.Periods = append(t.Goods.Periods, t.period(bought[i], sample, PeriodLabel(sample, w.Every)))
	}
	return t, err
}

// boughtIn adds up what the quotes of each period buy.
func (t IndexTable) boughtIn(w IndexWish, bought []basket.Basket) (err error) {
	all := make([][]basket.Basket, len(bought))
	for _, q := range t.Mixed {
		i := slices.IndexFunc(t.Samples, func(s costindex.Sample) bool {
			return !q.At.Before(s.From.Time()) && q.At.Before(s.To.AddDays(1).Time())
		})
		if i < 0 {
			continue // in a period that is not whole
		}
		b := q.Basket
		if !w.Basket.Total {
			b = b.Material()
		}
		all[i] = append(all[i], b)
		t.Quotes[i]++
	}
	for i := range bought {
		if bought[i], err = basket.Sum(all[i]...); err != nil {
			return err
		}
	}
	return nil
}

// period is what was bought in a period, at the prices of its last day, one
// figure for each line of the whole basket.
func (t IndexTable) period(b basket.Basket, s costindex.Sample, label string) costindex.Period {
	p := costindex.Period{Label: label}
	for _, l := range t.Basket.Lines {
		var price, quantity decimal.Decimal
		if cost, note := t.Market.Price(l, s.To); note == "" {
			price = cost.Price
		}
		if i := slices.IndexFunc(b.Lines, l.Same); i >= 0 {
			quantity = b.Lines[i].Quantity
		}
		p.Prices, p.Quantities = append(p.Prices, price), append(p.Quantities, quantity)
	}
	return p
}

// periods are the whole weeks or months of the window.
func (f Followed) periods(every costindex.Every) ([]costindex.Sample, error) {
	calendar := costindex.Series{
		Parts: []string{"days"}, To: f.Market.Window.To,
		Steps: []costindex.Step{{From: f.Market.Window.From, Missing: []string{"days"}}},
	}
	samples, err := calendar.Resample(every)
	return slices.DeleteFunc(samples, func(s costindex.Sample) bool { return !s.Whole }), err
}

// PeriodLabel names a sample: its month, or its first day.
func PeriodLabel(s costindex.Sample, every costindex.Every) string {
	if every == costindex.Month {
		return s.From.String()[:len("2026-03")]
	}
	return s.From.String()
}
