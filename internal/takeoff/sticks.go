package takeoff

import (
	"fmt"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/cutting"
	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// sticks are the rails of all bays and the frames of all leaves, which are of
// one section: cut from the stocks on offer for the least cost, or without
// prices for the least length.
func sticks(l *layout.Layout, s spec.Spec, leaves []Leaf, offers map[string]Offer) ([]need, CutPlan, error) {
	pieces, steps := stickPieces(l, s, leaves)
	plan := CutPlan{Use: "rails " + string(s.Rails.Size)}
	var longest measure.Length
	total := 0
	for _, p := range pieces {
		longest, total = max(longest, p.Length), total+p.Count
	}
	plan.Stocks = stickStocks(s, longest, offers)
	if len(plan.Stocks) == 0 {
		var v fault.List
		v.Add("spec.rails.stock", "expected a stick of at least %s for the longest rail, found none so long", longest.Imperial())
		return nil, plan, v.Err()
	}
	var err error
	plan.Plan, err = cutting.Solve(cutting.Request{Pieces: pieces, Stocks: plan.Stocks, Kerf: value(s.Kerf)})
	if err != nil {
		return nil, plan, err
	}
	var needs []need
	for i, n := range plan.Plan.Sticks {
		if n == 0 {
			continue
		}
		needs = append(needs, need{
			item: railItem(s.Rails.Size, plan.Stocks[i].Length), net: whole(n), waste: s.Waste.Rails,
			steps: append(slices.Clone(steps), plan.step(i, total, value(s.Kerf))),
		})
	}
	return needs, plan, nil
}

// step says how many sticks of one stock the plan buys, and how good it is.
func (p CutPlan) step(stock, pieces int, kerf measure.Length) Step {
	lengths := make([]string, len(p.Stocks))
	for i, st := range p.Stocks {
		lengths[i] = st.Length.Imperial()
	}
	aim, proof := "for the least length", "no plan buys less"
	if p.priced() {
		aim, proof = "for the least cost", "no plan costs less"
	}
	if !p.Plan.Proven {
		proof = "the best plan found takes " + p.figure(p.Plan.Cost) + ", and none less than " + p.figure(p.Plan.LowerBound)
	}
	return step("stick.plan", "", count("pieces", pieces, "piece"), length("kerf", kerf),
		Input{Name: "stocks", Value: strings.Join(lengths, " or ")}, length("stick", p.Stocks[stock].Length),
		Input{Name: "aim", Value: aim}, Input{Name: "proof", Value: proof}).
		exactly(amountOf(p.Plan.Sticks[stock], "stick"))
}

// priced reports whether the plan is for the least cost, not the least length.
func (p CutPlan) priced() bool {
	return slices.ContainsFunc(p.Stocks, func(s cutting.Stock) bool { return !s.Price.IsZero() })
}

// figure is a plan's cost or bound in words: money, or without prices a length.
func (p CutPlan) figure(d decimal.Decimal) string {
	if nm, _, ok := d.Int64(0); ok && !p.priced() {
		return measure.Length(nm).Imperial()
	}
	return d.Trim(0).String()
}

// stickStocks are the sticks to cut from. With offers, those that have one,
// where they hold the longest piece; else all, without prices. None where even
// those are too short.
func stickStocks(s spec.Spec, longest measure.Length, offers map[string]Offer) []cutting.Stock {
	var all, offered []cutting.Stock
	allFit, offeredFit := false, false
	for _, stock := range s.Rails.Stock {
		name := railItem(s.Rails.Size, stock).bookName(s)
		all = append(all, cutting.Stock{Item: name, Length: stock})
		allFit = allFit || stock >= longest
		if offer, has := offers[name]; has {
			offered = append(offered, cutting.Stock{Item: name, Length: stock, Price: offer.Price})
			offeredFit = offeredFit || stock >= longest
		}
	}
	switch {
	case offeredFit:
		return offered
	case allFit:
		return all
	default:
		return nil
	}
}

// stickPieces are what is cut from sticks, and how they were counted.
func stickPieces(l *layout.Layout, s spec.Spec, leaves []Leaf) ([]cutting.Piece, []Step) {
	rails := s.RailCount()
	var pieces []cutting.Piece
	var steps []Step
	var centres []Input
	for i, c := range s.RailCentres() {
		centres = append(centres, length(fmt.Sprintf("centre %d", i+1), c))
	}
	if len(centres) > 0 {
		steps = append(steps, step("rail.count", "", centres...).exactly(amountOf(rails, "rail")))
	}
	var bays tally[measure.Length]
	for i, b := range l.Bays {
		bays.add(cutLength(b.Rail, s), i, 1)
	}
	unlisted := 0
	for i, rail := range bays.kinds {
		n := bays.times[i]
		pieces = append(pieces, cutting.Piece{Length: rail, Count: n * rails})
		if i >= maxKinds {
			unlisted += n
			continue
		}
		steps = append(steps, step("rail.pieces", "", count("bays", n, "bay"), count("rails", rails, "rail"), length("length", rail)).
			exactly(amountOf(n*rails, "piece")))
	}
	if unlisted > 0 {
		steps = append(steps, step("rail.other-pieces", "", count("bays", unlisted, "other bay"), count("rails", rails, "rail")).
			exactly(amountOf(unlisted*rails, "piece")))
	}
	kinds := leafKinds(leaves)
	for i, k := range kinds.kinds {
		n := kinds.times[i]
		pieces = append(pieces,
			cutting.Piece{Length: k.stile, Count: 2 * n},
			cutting.Piece{Length: k.rail, Count: rails * n},
			cutting.Piece{Length: k.brace, Count: n},
		)
		if i >= maxKinds {
			continue
		}
		steps = append(steps, step("frame.pieces", leaves[kinds.first[i]].name(l, n), count("leaves", n, "leaf"),
			count("stiles", 2, "stile"), length("stile", k.stile), count("rails", rails, "rail"), length("rail", k.rail),
			count("braces", 1, "brace"), length("brace", k.brace)).exactly(amountOf(n*(rails+3), "piece")))
	}
	return pieces, steps
}

// cutLength is a piece as it is marked on a stick: rounded per bay to 1/16 in,
// so that equal bays have equal rails. A length in whole millimetres stays, and
// so does one that rounding would lengthen past every stock.
func cutLength(exact measure.Length, s spec.Spec) measure.Length {
	marked := measure.RoundTo(exact, measure.Sixteenth)
	fits := func(stock measure.Length) bool { return stock >= marked }
	if exact%measure.Millimetre == 0 || !slices.ContainsFunc(s.Rails.Stock, fits) {
		return exact
	}
	return marked
}
