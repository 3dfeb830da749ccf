package rpc

import (
	"encoding/hex"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/fault"
	"wattle/internal/quote"
)

func pricedAtToProto(at quote.PricedAt) *wattlev1.PricedAt {
	return &wattlev1.PricedAt{
		AsOf: at.AsOf.String(), Currency: string(at.Currency),
		BookRevision: int64(at.Head.Revision), BookHash: hex.EncodeToString(at.Head.Hash[:]),
	}
}

func optionsToProto(options quote.Options) *wattlev1.CompareOptionsResponse {
	a := amountsIn(options.PricedAt.Currency)
	p := &wattlev1.CompareOptionsResponse{
		PricedAt: pricedAtToProto(options.PricedAt), Options: make([]*wattlev1.Option, len(options.All)),
		Cheapest: options.All[options.Cheapest].Name,
	}
	for i := range options.All {
		p.Options[i] = optionToProto(&options.All[i], a)
	}
	return p
}

func optionToProto(o *quote.Option, a amounts) *wattlev1.Option {
	if o.Err != nil {
		return &wattlev1.Option{Name: o.Name, Error: &wattlev1.OptionError{
			Reason: o.Err.Reason, Message: o.Err.Message, Violations: violationsToProto(o.Err.Violations),
		}}
	}
	return &wattlev1.Option{
		Name: o.Name, Spec: SpecToProto(o.Spec), Totals: totalsToProto(o.Totals, a), PerFoot: perFootToProto(o.PerFoot, a),
		CrewHours: plain(o.CrewHours), Posts: int32(o.Posts), Cautions: cautionsToProto(o.Cautions...), Checks: checksToProto(o.Checks),
		ToFirst: differenceToProto(o.ToFirst, a), ToCheapest: differenceToProto(o.ToCheapest, a),
		Lines: derivationsFor(new(lengths), o.Lines, nil).lines(o.Lines),
	}
}

func violationsToProto(violations []fault.Violation) []*wattlev1.Violation {
	var out []*wattlev1.Violation
	for _, v := range violations {
		out = append(out, &wattlev1.Violation{Field: v.Field, Description: v.Description})
	}
	return out
}

func differenceToProto(d *quote.Difference, a amounts) *wattlev1.FigureDifference {
	if d == nil {
		return nil
	}
	return &wattlev1.FigureDifference{Cost: a.of(d.Cost), Net: a.of(d.Net), Total: a.of(d.Total), CrewHours: plain(d.CrewHours)}
}

func adviceToProto(advice quote.Advice) *wattlev1.AdviseResponse {
	a, ls := amountsIn(advice.PricedAt.Currency), new(lengths)
	p := &wattlev1.AdviseResponse{
		PricedAt: pricedAtToProto(advice.PricedAt),
		Best:     candidateToProto(ls, advice.Best.Candidate, a), Spec: SpecToProto(advice.Best.Spec),
		Cautions: cautionsToProto(advice.Best.Cautions...), Checks: checksToProto(advice.Best.Checks),
		ToRunnerUp: differenceToProto(advice.ToRunnerUp, a),
		Tried:      int32(advice.Tried), Refused: int32(advice.Refused),
	}
	if advice.Given != nil {
		p.Given, p.ToGiven = candidateToProto(ls, *advice.Given, a), differenceToProto(advice.ToGiven, a)
	}
	if advice.RunnerUp != nil {
		p.RunnerUp = candidateToProto(ls, *advice.RunnerUp, a)
	}
	for _, r := range advice.Refusals {
		p.Refusals = append(p.Refusals, &wattlev1.Refusal{
			Reason: r.Reason, Count: int32(r.Count), First: choiceToProto(ls, r.First), Violations: violationsToProto(r.Violations),
		})
	}
	for _, c := range advice.Table {
		p.Table = append(p.Table, candidateToProto(ls, c, a))
	}
	return p
}

func candidateToProto(ls *lengths, c quote.Candidate, a amounts) *wattlev1.Candidate {
	return &wattlev1.Candidate{
		Choice: choiceToProto(ls, c.Choice), Posts: int32(c.Posts), CrewHours: plain(c.CrewHours), Totals: totalsToProto(c.Totals, a),
	}
}

func choiceToProto(ls *lengths, c quote.Choice) *wattlev1.Choice {
	p := &wattlev1.Choice{MaxBay: ls.of(c.MaxBay), Method: methods.wire[c.Method]}
	for _, l := range c.Stock {
		p.Stock = append(p.Stock, ls.of(l))
	}
	return p
}
