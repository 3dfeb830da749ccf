package rpc

import (
	"encoding/hex"

	"google.golang.org/protobuf/types/known/timestamppb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/check"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/money"
	"wattle/internal/quote"
)

var lineKinds = pairsOf(map[wattlev1.LineKind]quote.Kind{
	wattlev1.LineKind_LINE_KIND_MATERIAL:    quote.Material,
	wattlev1.LineKind_LINE_KIND_LABOUR:      quote.LabourKind,
	wattlev1.LineKind_LINE_KIND_EQUIPMENT:   quote.Equipment,
	wattlev1.LineKind_LINE_KIND_SUBCONTRACT: quote.Subcontract,
	wattlev1.LineKind_LINE_KIND_FEE:         quote.Fee,
	wattlev1.LineKind_LINE_KIND_DISCOUNT:    quote.Discount,
})

var profits = pairsOf(map[wattlev1.Pricing_Profit]quote.Profit{
	wattlev1.Pricing_PROFIT_MARKUP: quote.Markup,
	wattlev1.Pricing_PROFIT_MARGIN: quote.Margin,
})

var taxBases = pairsOf(map[wattlev1.Tax_Basis]quote.TaxBasis{
	wattlev1.Tax_BASIS_PRICE:         quote.OnPrice,
	wattlev1.Tax_BASIS_MATERIAL_COST: quote.OnMaterialCost,
})

var roundings = pairsOf(map[wattlev1.Tax_Rounding]money.Rounding{
	wattlev1.Tax_ROUNDING_HALF_UP:               money.HalfUp,
	wattlev1.Tax_ROUNDING_HALF_UP_THIRD_DECIMAL: money.HalfUpThird,
	wattlev1.Tax_ROUNDING_HALF_EVEN:             money.HalfEven,
})

// customLinesFromProto reads under the list's own path.
func customLinesFromProto(v *fault.List, lines []*wattlev1.CustomLine) []quote.CustomLine {
	var out []quote.CustomLine
	for i, l := range lines {
		out = append(out, quote.CustomLine{
			Description: l.GetDescription(), Kind: lineKinds.domain[l.GetKind()],
			Amount: readDecimal(v.Index(i), "amount", l.GetAmount()),
		})
	}
	return out
}

func customLinesToProto(lines []quote.CustomLine, a amounts) []*wattlev1.CustomLine {
	var out []*wattlev1.CustomLine
	for _, l := range lines {
		out = append(out, &wattlev1.CustomLine{
			Description: l.Description, Kind: lineKinds.wire[l.Kind], Amount: a.of(l.Amount),
		})
	}
	return out
}

func pricingFromProto(v *fault.List, p *wattlev1.Pricing) quote.Pricing {
	tax := p.GetTax()
	out := quote.Pricing{
		PreferredSuppliers: suppliersFromProto(v, p.GetPreferredSuppliers(), p.GetCheapestSupplier()),
		OverheadPercent:    readDecimal(v, "overhead_percent", p.GetOverheadPercent()),
		Profit:             profits.domain[p.GetProfit()],
		ProfitPercent:      readDecimal(v, "profit_percent", p.GetProfitPercent()),
		Tax: quote.Tax{
			Percent:  readDecimal(v.At("tax"), "percent", tax.GetPercent()),
			Basis:    taxBases.domain[tax.GetBasis()],
			Rounding: roundings.domain[tax.GetRounding()],
			PerLine:  tax.GetPerLine(),
		},
	}
	if p != nil && p.StaleAfterDays != nil {
		out.StaleAfterDays = new(int(p.GetStaleAfterDays()))
	}
	for _, k := range tax.GetKinds() {
		out.Tax.Kinds = append(out.Tax.Kinds, lineKinds.domain[k])
	}
	return out
}

// suppliersFromProto are the suppliers asked for. None at all, which is the
// cheapest, is not nil, which is whomever the office prefers.
func suppliersFromProto(v *fault.List, preferred []string, cheapest bool) []string {
	if !cheapest {
		return preferred
	}
	v.Require(len(preferred) == 0, "cheapest_supplier", "expected with no preferred_suppliers, found %d", len(preferred))
	return []string{}
}

func pricingToProto(p quote.Pricing) *wattlev1.Pricing {
	out := &wattlev1.Pricing{
		PreferredSuppliers: p.PreferredSuppliers,
		OverheadPercent:    plain(p.OverheadPercent),
		Profit:             profits.wire[p.Profit],
		ProfitPercent:      plain(p.ProfitPercent),
		Tax: &wattlev1.Tax{
			Percent:  plain(p.Tax.Percent),
			Basis:    taxBases.wire[p.Tax.Basis],
			Rounding: roundings.wire[p.Tax.Rounding],
			PerLine:  p.Tax.PerLine,
		},
	}
	if p.StaleAfterDays != nil {
		out.StaleAfterDays = new(int32(*p.StaleAfterDays))
	}
	for _, k := range p.Tax.Kinds {
		out.Tax.Kinds = append(out.Tax.Kinds, lineKinds.wire[k])
	}
	return out
}

// recordToProto is the basic view of a quote.
func recordToProto(r estimating.Record) *wattlev1.Quote {
	p := &wattlev1.Quote{
		Name: quoteName(r.Company, r.ID), View: wattlev1.QuoteView_QUOTE_VIEW_BASIC, Office: r.Office,
		Customer: r.Customer, ExternalReference: r.ExternalRef, CreateTime: timestamppb.New(r.CreatedAt),
		AsOf: r.AsOf.String(), ValidUntil: r.ValidUntil.String(),
		Currency: string(r.Currency), Total: amountsIn(r.Currency).of(r.Total),
		BookRevision: int64(r.Head.Revision), BookHash: hex.EncodeToString(r.Head.Hash[:]),
		RulesVersion: int32(r.RulesVersion), FingerprintVersion: int32(r.FingerprintVersion),
		Fingerprint: hex.EncodeToString(r.Fingerprint[:]), SavedSpec: r.SavedSpec,
	}
	lifeToProto(p, r.Company, r.Life)
	return p
}

// storedToProto is a quote in the view that was asked for, full by default.
func storedToProto(s estimating.Stored, view wattlev1.QuoteView) *wattlev1.Quote {
	p := recordToProto(s.Record)
	if view == wattlev1.QuoteView_QUOTE_VIEW_BASIC {
		return p
	}
	a := amountsIn(s.Record.Currency)
	p.View = wattlev1.QuoteView_QUOTE_VIEW_FULL
	p.Site, p.Spec = SiteToProto(s.Request.Site), SpecToProto(s.Request.Spec)
	p.CustomLines, p.Pricing = customLinesToProto(s.Request.Custom, a), pricingToProto(s.Request.Pricing)
	p.Layout = layoutToProto(s.Quote.Layout, s.Request.Site)
	p.Takeoff = takeoffToProto(new(lengths), s.Quote.Takeoff, s.Quote.Layout)
	p.Lines = make([]*wattlev1.QuoteLine, len(s.Quote.Lines))
	for i, l := range s.Quote.Lines {
		p.Lines[i] = quoteLineToProto(l, a)
	}
	p.Totals, p.PerFoot = totalsToProto(s.Quote.Totals, a), perFootToProto(s.Quote.PerFoot, a)
	p.Cautions, p.Checks = cautionsToProto(s.Quote.Cautions...), checksToProto(s.Quote.Checks)
	return p
}

var outcomes = pairsOf(map[wattlev1.Check_Outcome]check.Outcome{
	wattlev1.Check_OUTCOME_PASS:            check.Pass,
	wattlev1.Check_OUTCOME_FAIL:            check.Fail,
	wattlev1.Check_OUTCOME_NOT_ENOUGH_DATA: check.NotEnoughData,
	wattlev1.Check_OUTCOME_ADVISORY:        check.Advisory,
})

func checksToProto(checks []check.Result) []*wattlev1.Check {
	out := make([]*wattlev1.Check, len(checks))
	for i, c := range checks {
		out[i] = &wattlev1.Check{
			Code: c.Code, Title: c.Title, Outcome: outcomes.wire[c.Outcome], Text: c.Text,
			Source: c.Source, Edition: c.Edition, Decides: c.Decides, Field: c.Field,
		}
		for _, f := range c.Figures {
			out[i].Figures = append(out[i].Figures, &wattlev1.Check_Figure{Name: f.Name, Value: f.Value, Unit: f.Unit})
		}
	}
	return out
}

func quoteLineToProto(l quote.Line, a amounts) *wattlev1.QuoteLine {
	return &wattlev1.QuoteLine{
		Item: l.Item, Description: l.Description, Category: string(l.Category), Kind: lineKinds.wire[l.Kind],
		Quantity: plain(l.Quantity), Unit: string(l.Unit), UnitPrice: a.of(l.UnitPrice),
		Supplier: l.Supplier, EffectiveDate: l.Effective.String(), EntryRevision: int64(l.EntryRevision),
		Cost: a.of(l.Cost), Price: a.of(l.Price), Tax: a.of(l.Tax), Taxable: l.Taxable,
	}
}

func totalsToProto(t quote.Totals, a amounts) *wattlev1.QuoteTotals {
	return &wattlev1.QuoteTotals{
		Material: a.of(t.Material), Labour: a.of(t.Labour), Equipment: a.of(t.Equipment),
		Subcontract: a.of(t.Subcontract), Cost: a.of(t.Cost), Overhead: a.of(t.Overhead),
		Profit: a.of(t.Profit), Fees: a.of(t.Fees), Discount: a.of(t.Discount),
		Net: a.of(t.Net), Taxable: a.of(t.Taxable), Tax: a.of(t.Tax), Total: a.of(t.Total),
	}
}

func perFootToProto(f quote.PerFoot, a amounts) *wattlev1.PerFoot {
	return &wattlev1.PerFoot{
		NetFeet: plain(f.NetFeet), GateFeet: plain(f.GateFeet),
		MaterialNet: a.of(f.MaterialNet), MaterialWithGates: a.of(f.MaterialWithGates),
		PriceNet: a.of(f.PriceNet), PriceWithGates: a.of(f.PriceWithGates),
	}
}

func comparisonToProto(c quote.Comparison) *wattlev1.CompareQuotesResponse {
	a := amounts{c.Total.Scale()} // totals have exactly their currency's decimals
	return &wattlev1.CompareQuotesResponse{
		Lines:          lineChangesToProto(c.Lines, a),
		CostDifference: a.of(c.Cost), NetDifference: a.of(c.Net), TotalDifference: a.of(c.Total),
	}
}

func lineChangesToProto(lines []quote.LineChange, a amounts) []*wattlev1.CompareQuotesResponse_LineDifference {
	out := make([]*wattlev1.CompareQuotesResponse_LineDifference, len(lines))
	for i, l := range lines {
		out[i] = &wattlev1.CompareQuotesResponse_LineDifference{
			Item: l.Item, Description: l.Description, Base: presentLine(l.A, a), Other: presentLine(l.B, a),
			CostDifference: a.of(l.Cost), RulesEffect: a.of(l.By.Rules), PriceEffect: a.of(l.By.Price),
			SubstitutionEffect: a.of(l.By.Substitution), QuantityEffect: a.of(l.By.Quantity),
		}
	}
	return out
}

func repricingToProto(name string, p quote.Repricing) *wattlev1.RepriceQuoteResponse {
	a := amountsIn(p.Then.Currency)
	priced := func(at quote.PricedAt, rules int, t quote.Totals) *wattlev1.RepriceQuoteResponse_Priced {
		return &wattlev1.RepriceQuoteResponse_Priced{
			AsOf: at.AsOf.String(), BookRevision: int64(at.Head.Revision), RulesVersion: int32(rules), Totals: totalsToProto(t, a),
		}
	}
	return &wattlev1.RepriceQuoteResponse{
		Name: name, Currency: string(p.Then.Currency),
		Then: priced(p.Then, p.RulesThen, p.Was), Now: priced(p.Now, p.RulesNow, p.Is),
		Lines:          lineChangesToProto(p.Lines, a),
		CostDifference: a.of(p.Cost), NetDifference: a.of(p.Net), TotalDifference: a.of(p.Total),
		RulesEffect: a.of(p.By.Rules), PriceEffect: a.of(p.By.Price),
		SubstitutionEffect: a.of(p.By.Substitution), QuantityEffect: a.of(p.By.Quantity),
		Summary: p.Sentence(),
	}
}

// presentLine is nil for the line of a quote that lacks it.
func presentLine(l quote.Line, a amounts) *wattlev1.QuoteLine {
	if l.Kind == "" {
		return nil
	}
	return quoteLineToProto(l, a)
}

func replayToProto(r estimating.Replay) *wattlev1.ReplayQuoteResponse {
	p := &wattlev1.ReplayQuoteResponse{
		Identical: r.Identical(), Fingerprint: hex.EncodeToString(r.Fingerprint[:]),
		Document:   &wattlev1.ReplayQuoteResponse_Check{Outcome: wattlev1.ReplayQuoteResponse_OUTCOME_IDENTICAL},
		Arithmetic: checkToProto(r.Arithmetic),
		Resolution: checkToProto(r.Resolution),
	}
	if !r.HashHolds {
		p.Document = checkToProto([]string{"the stored document has another hash than the stored fingerprint"})
	}
	if r.RulesUnsupported != "" {
		p.Arithmetic = &wattlev1.ReplayQuoteResponse_Check{
			Outcome: wattlev1.ReplayQuoteResponse_OUTCOME_RULES_UNSUPPORTED, Note: r.RulesUnsupported,
		}
	}
	return p
}

func checkToProto(differences []string) *wattlev1.ReplayQuoteResponse_Check {
	c := &wattlev1.ReplayQuoteResponse_Check{Outcome: wattlev1.ReplayQuoteResponse_OUTCOME_IDENTICAL}
	for _, d := range differences {
		c.Outcome = wattlev1.ReplayQuoteResponse_OUTCOME_DIFFERENT
		c.Differences = append(c.Differences, &wattlev1.ReplayQuoteResponse_Difference{Text: d})
	}
	return c
}
