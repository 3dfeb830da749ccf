package rpc

import (
	"encoding/hex"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/book"
	"wattle/internal/check"
	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/quote"
	"wattle/internal/takeoff"
)

// A client that draws up an answer with internal/render reads it back with the
// functions below. They take all that is printed; specs and derivations, which
// are not, stay behind.

// OptionsFromProto reads options back.
func OptionsFromProto(p *wattlev1.CompareOptionsResponse) (quote.Options, error) {
	v := &fault.List{}
	out := quote.Options{PricedAt: pricedAtFromProto(v.At("priced_at"), p.GetPricedAt()), Cheapest: -1}
	for i, o := range p.GetOptions() {
		if o.GetName() == p.GetCheapest() {
			out.Cheapest = i
		}
		out.All = append(out.All, optionFromProto(v.At("options").Index(i), o))
	}
	v.Require(out.Cheapest >= 0, "cheapest", "expected the name of an option, found %q", p.GetCheapest())
	return out, v.Err()
}

func optionFromProto(v *fault.List, p *wattlev1.Option) quote.Option {
	if e := p.GetError(); e != nil {
		err := fault.New(fault.Refused, e.GetReason(), "%s", e.GetMessage())
		err.Violations = violationsFromProto(e.GetViolations())
		return quote.Option{Name: p.GetName(), Err: err}
	}
	o := quote.Option{
		Name: p.GetName(),
		Figures: quote.Figures{
			Posts: int(p.GetPosts()), CrewHours: readDecimal(v, "crew_hours", p.GetCrewHours()),
			Totals: totalsFromProto(v.At("totals"), p.GetTotals()),
		},
		PerFoot: perFootFromProto(v.At("per_foot"), p.GetPerFoot()),
		ToFirst: differenceFromProto(v.At("to_first"), p.GetToFirst()), ToCheapest: differenceFromProto(v.At("to_cheapest"), p.GetToCheapest()),
		Cautions: cautionsFromProto(p.GetCautions()), Checks: checksFromProto(p.GetChecks()),
	}
	for i, l := range p.GetLines() {
		o.Lines = append(o.Lines, takeoffLineFromProto(v.At("lines").Index(i), l))
	}
	return o
}

// AdviceFromProto reads advice back.
func AdviceFromProto(p *wattlev1.AdviseResponse) (quote.Advice, error) {
	v := &fault.List{}
	out := quote.Advice{
		PricedAt: pricedAtFromProto(v.At("priced_at"), p.GetPricedAt()),
		Best: quote.Trial{
			Candidate: candidateFromProto(v.At("best"), p.GetBest()), Cautions: cautionsFromProto(p.GetCautions()), Checks: checksFromProto(p.GetChecks()),
		},
		ToRunnerUp: differenceFromProto(v.At("to_runner_up"), p.GetToRunnerUp()),
		Tried:      int(p.GetTried()), Refused: int(p.GetRefused()),
	}
	if p.GetGiven() != nil {
		out.Given = new(candidateFromProto(v.At("given"), p.GetGiven()))
		out.ToGiven = differenceFromProto(v.At("to_given"), p.GetToGiven())
	}
	if p.GetRunnerUp() != nil {
		out.RunnerUp = new(candidateFromProto(v.At("runner_up"), p.GetRunnerUp()))
	}
	for _, r := range p.GetRefusals() {
		out.Refusals = append(out.Refusals, quote.Refusal{
			Reason: r.GetReason(), Count: int(r.GetCount()), First: choiceFromProto(r.GetFirst()), Violations: violationsFromProto(r.GetViolations()),
		})
	}
	for i, c := range p.GetTable() {
		out.Table = append(out.Table, candidateFromProto(v.At("table").Index(i), c))
	}
	return out, v.Err()
}

func candidateFromProto(v *fault.List, p *wattlev1.Candidate) quote.Candidate {
	return quote.Candidate{
		Choice: choiceFromProto(p.GetChoice()),
		Figures: quote.Figures{
			Posts: int(p.GetPosts()), CrewHours: readDecimal(v, "crew_hours", p.GetCrewHours()),
			Totals: totalsFromProto(v.At("totals"), p.GetTotals()),
		},
	}
}

func choiceFromProto(p *wattlev1.Choice) quote.Choice {
	c := quote.Choice{MaxBay: measure.Length(p.GetMaxBay().GetNanometres()), Method: methods.domain[p.GetMethod()]}
	for _, l := range p.GetStock() {
		c.Stock = append(c.Stock, measure.Length(l.GetNanometres()))
	}
	return c
}

func pricedAtFromProto(v *fault.List, p *wattlev1.PricedAt) quote.PricedAt {
	at := quote.PricedAt{
		AsOf: readDate(v, "as_of", p.GetAsOf()), Currency: read(v, "currency", p.GetCurrency(), money.ParseCurrency),
		Head: book.Head{Revision: book.Revision(p.GetBookRevision())},
	}
	n, err := hex.Decode(at.Head.Hash[:], []byte(p.GetBookHash()[:min(len(p.GetBookHash()), 2*len(at.Head.Hash))]))
	v.Require(err == nil && n == len(at.Head.Hash), "book_hash", "expected a SHA-256 in hexadecimal, found %q", p.GetBookHash())
	return at
}

func totalsFromProto(v *fault.List, p *wattlev1.QuoteTotals) quote.Totals {
	return quote.Totals{
		Material: readDecimal(v, "material", p.GetMaterial()), Labour: readDecimal(v, "labour", p.GetLabour()),
		Equipment: readDecimal(v, "equipment", p.GetEquipment()), Subcontract: readDecimal(v, "subcontract", p.GetSubcontract()),
		Cost: readDecimal(v, "cost", p.GetCost()), Overhead: readDecimal(v, "overhead", p.GetOverhead()),
		Profit: readDecimal(v, "profit", p.GetProfit()), Fees: readDecimal(v, "fees", p.GetFees()),
		Discount: readDecimal(v, "discount", p.GetDiscount()), Net: readDecimal(v, "net", p.GetNet()),
		Taxable: readDecimal(v, "taxable", p.GetTaxable()), Tax: readDecimal(v, "tax", p.GetTax()), Total: readDecimal(v, "total", p.GetTotal()),
	}
}

func perFootFromProto(v *fault.List, p *wattlev1.PerFoot) quote.PerFoot {
	return quote.PerFoot{
		NetFeet: readDecimal(v, "net_feet", p.GetNetFeet()), GateFeet: readDecimal(v, "gate_feet", p.GetGateFeet()),
		MaterialNet:       readDecimal(v, "material_net", p.GetMaterialNet()),
		MaterialWithGates: readDecimal(v, "material_with_gates", p.GetMaterialWithGates()),
		PriceNet:          readDecimal(v, "price_net", p.GetPriceNet()),
		PriceWithGates:    readDecimal(v, "price_with_gates", p.GetPriceWithGates()),
	}
}

func differenceFromProto(v *fault.List, p *wattlev1.FigureDifference) *quote.Difference {
	if p == nil {
		return nil
	}
	return &quote.Difference{
		Cost: readDecimal(v, "cost", p.GetCost()), Net: readDecimal(v, "net", p.GetNet()),
		Total: readDecimal(v, "total", p.GetTotal()), CrewHours: readDecimal(v, "crew_hours", p.GetCrewHours()),
	}
}

func takeoffLineFromProto(v *fault.List, p *wattlev1.TakeoffLine) takeoff.Line {
	return takeoff.Line{
		Item: p.GetItem(), Default: p.GetDefaultItem(), Description: p.GetDescription(),
		Category: takeoff.Category(p.GetCategory()), Unit: takeoff.Unit(p.GetUnit()),
		Net: readDecimal(v, "net_quantity", p.GetNetQuantity()), WastePercent: readDecimal(v, "waste_percent", p.GetWastePercent()),
		Pack: readDecimal(v, "pack", p.GetPack()), Order: readDecimal(v, "order_quantity", p.GetOrderQuantity()),
		OrderUnit: takeoff.Unit(p.GetOrderUnit()),
	}
}

func violationsFromProto(violations []*wattlev1.Violation) []fault.Violation {
	var out []fault.Violation
	for _, v := range violations {
		out = append(out, fault.Violation{Field: v.GetField(), Description: v.GetDescription()})
	}
	return out
}

func checksFromProto(checks []*wattlev1.Check) []check.Result {
	var out []check.Result
	for _, c := range checks {
		r := check.Result{
			Code: c.GetCode(), Title: c.GetTitle(), Outcome: outcomes.domain[c.GetOutcome()], Text: c.GetText(),
			Source: c.GetSource(), Edition: c.GetEdition(), Decides: c.GetDecides(), Field: c.GetField(),
		}
		for _, f := range c.GetFigures() {
			r.Figures = append(r.Figures, check.Figure{Name: f.GetName(), Value: f.GetValue(), Unit: f.GetUnit()})
		}
		out = append(out, r)
	}
	return out
}

func cautionsFromProto(cautions []*wattlev1.Caution) []layout.Caution {
	var out []layout.Caution
	for _, c := range cautions {
		out = append(out, layout.Caution{Code: c.GetCode(), Text: c.GetText(), Field: c.GetField()})
	}
	return out
}
