package main

import (
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/quote"
	"wattle/internal/takeoff"
)

var suppliers = []string{"acre", "birch", "millbrook"} // by name, as resolved prices have them

// market draws offers for every item: of one to three suppliers, with breaks and
// packs, in other units where rules know how to convert them.
func (d *dice) market(wanted []takeoff.Wanted, currency money.Currency, version int) []book.Resolved {
	prices := make([]book.Resolved, len(wanted))
	for i, w := range wanted {
		prices[i].Item = w.Item
		for _, supplier := range suppliers {
			if supplier != "millbrook" && !d.one(3) {
				continue
			}
			prices[i].Offers = append(prices[i].Offers, d.offer(w, supplier, currency, version))
		}
	}
	return prices
}

func (d *dice) offer(w takeoff.Wanted, supplier string, currency money.Currency, version int) book.Entry {
	e := book.Entry{
		Item: w.Item, Office: book.MainOffice, Supplier: supplier, Description: w.Description, State: book.Priced, Currency: currency,
		Effective: civil.Must("2025-06-01").AddDays(d.below(300)), Revision: book.Revision(d.between(1, 3)), Unit: string(w.Unit), Pack: decimal.One,
	}
	rate := strings.HasPrefix(w.Item, "rate-") || strings.HasPrefix(w.Item, "factor-")
	price := d.decimal(125, 9_999, 2)
	if rate {
		price = d.decimal(5, 180, 2)
	}
	e.Breaks = []book.Break{{Price: price}}
	if !rate && d.one(4) {
		cheaper, _ := price.Mul(decimal.MustNew(9, 1)) // of few digits: exact
		e.Breaks = append(e.Breaks, book.Break{MinQuantity: d.decimal(5, 60, 0), Price: cheaper})
	}
	if w.Unit == takeoff.Each && d.one(6) {
		e.Pack = d.decimal(2, 25, 0)
	}
	if like := measure.UnitsLike(string(w.Unit)); version > 3 && !rate && len(like) > 0 && d.one(6) {
		e.Unit = of(d, like...)
	}
	return e
}

// pricing draws how cost becomes price.
func (d *dice) pricing(version int) quote.Pricing {
	p := quote.Pricing{
		OverheadPercent: d.decimal(0, 250, 1), Profit: of(d, quote.Markup, quote.Margin), ProfitPercent: d.decimal(0, 400, 1),
		Tax: quote.Tax{
			Percent: d.decimal(0, 10_000, 3), Basis: of(d, quote.OnPrice, quote.OnMaterialCost), Rounding: of(d, money.Roundings()...), PerLine: d.one(3),
			Kinds: slices.Clone(of(d, []quote.Kind{quote.Material}, []quote.Kind{quote.Material, quote.LabourKind}, quote.Kinds()[:5])),
		},
	}
	if version > 3 {
		if d.one(3) {
			p.PreferredSuppliers = []string{of(d, suppliers...)}
		}
		p.StaleAfterDays = new(of(d, 0, 90, 180))
		return p.WithDefaults()
	}
	p = p.WithDefaults()
	p.StaleAfterDays = nil // came with version 4
	return p
}

// custom draws lines that the take-off does not count.
func (d *dice) custom() []quote.CustomLine {
	var lines []quote.CustomLine
	add := func(kind quote.Kind, least, most int) {
		if d.one(3) {
			lines = append(lines, quote.CustomLine{Description: string(kind) + " of its own", Kind: kind, Amount: d.decimal(least, most, 2)})
		}
	}
	add(quote.Fee, 5_000, 20_000)
	add(quote.Subcontract, 10_000, 90_000)
	add(quote.Discount, 100, 25_000)
	return lines
}
