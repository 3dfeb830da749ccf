package takeoff

import (
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/cutting"
	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// sticks is what is cut from sticks of one section, by one plan.
type sticks struct {
	use    string // "rails 2x4"
	longer string // the piece that a stick is too short for: "rail"
	item   func(stock measure.Length) item
	stock  []measure.Length // the lengths that can be bought
	items  []item           // of each of them, once the sticks are added to a job
	field  string           // of the request, that says so
	waste  *decimal.Decimal
	trim   bool // is work by the piece: cap boards, trim, kick boards, lattice
	way
	// others are further ways to make the same, of pieces no longer than a stick
	// of the given length. Nil: there are none.
	others func(longest measure.Length) []way
}

// way is one way to make something of pieces.
type way struct {
	name   string // "over one bay each", of several
	pieces []cutting.Piece
	steps  []Step // how the pieces were counted
	with   []need // what the pieces take beside sticks
	joints []Joint
	joined int // joints in all
}

// appendCut cuts the pieces from the stocks on offer for what costs least to
// order, or without prices for the least length; of several ways the one that
// costs least. It appends what that needs.
func (f sticks) appendCut(needs []need, j *Job, offers map[string]Offer) ([]need, CutPlan, error) {
	s := &j.Spec
	first, err := f.choose(j, offers)
	if err != nil {
		return nil, first.CutPlan, err
	}
	if f.others != nil {
		if f.way, first, err = f.cheapest(first, j, offers); err != nil {
			return nil, first.CutPlan, err
		}
	}
	plan := first.CutPlan
	total := 0
	for _, p := range f.pieces {
		total += p.Count
	}
	needs = append(needs, f.with...)
	for i, n := range plan.Plan.Sticks {
		if n == 0 {
			continue
		}
		bought := f.items[slices.Index(f.stock, plan.Stocks[i].Length)]
		needs = append(needs, need{
			item: bought, net: whole(n), waste: f.waste, use: f.use,
			steps: slices.Concat(f.steps, []Step{first.step(i, total, value(s.Kerf), bought.noun)}),
		})
	}
	plan.Joints = f.joints
	return needs, plan, nil
}

// longest is the longest piece.
func (f sticks) longest() measure.Length {
	var longest measure.Length
	for _, p := range f.pieces {
		longest = max(longest, p.Length)
	}
	return longest
}

// solve is the cut plan of the pieces.
func (f sticks) solve(s *spec.Spec, offers map[string]Offer) (CutPlan, error) {
	plan, longest := CutPlan{Use: f.use}, f.longest()
	plan.Stocks = f.stocks(s, longest, offers)
	if len(plan.Stocks) == 0 {
		var v fault.List
		v.Add(f.field, "expected a stick of at least %s for the longest %s, found none so long", longest.Imperial(), f.longer)
		return plan, v.Err()
	}
	var err error
	plan.Plan, err = cutting.Solve(cutting.Request{Pieces: f.pieces, Stocks: plan.Stocks, Kerf: value(s.Kerf)})
	return plan, err
}

// stocks are the sticks to cut from. With offers, those that have one, where
// they hold the longest piece; else all, without prices. None where even those
// are too short.
func (f sticks) stocks(s *spec.Spec, longest measure.Length, offers map[string]Offer) []cutting.Stock {
	all := make([]cutting.Stock, 0, len(f.stock))
	var offered []cutting.Stock
	allFit, offeredFit := false, false
	for i, stock := range f.stock {
		name := f.items[i].bookName(s)
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

// step says how many sticks of one stock the plan buys, and how good it is.
func (p choice) step(stock, pieces int, kerf measure.Length, noun string) Step {
	var room [64]byte
	stocks := room[:0]
	for i, st := range p.Stocks {
		if i > 0 {
			stocks = append(stocks, " or "...)
		}
		stocks = st.Length.AppendImperial(stocks)
	}
	aim, proof := "for the least length", "no plan buys less"
	if p.priced() {
		aim, proof = "for the least cost", "no plan costs less"
	}
	if !p.Plan.Proven {
		proof = "the best plan found takes " + p.figure(p.Plan.Cost) + ", and none less than " + p.figure(p.Plan.LowerBound)
	}
	switch {
	case p.before.Plan != nil:
		aim = "for the least that must be ordered"
		proof = "with waste and packs " + number(p.order) + "; the plan of least cost before them comes to " + number(p.beforeOrder)
	case p.ordered:
		proof += " before waste and packs, and no plan compared costs less to order"
	}
	rule := "stick.plan"
	if noun == "panel" {
		rule = "stick.panels"
	} else {
		noun = "stick" // whatever is bought as one
	}
	return step(rule, "", count("pieces", pieces, "piece"), length("kerf", kerf),
		Input{Name: "stocks", Value: string(stocks)}, length("stick", p.Stocks[stock].Length),
		Input{Name: "aim", Value: aim}, Input{Name: "proof", Value: proof}).
		exactly(amountOf(p.Plan.Sticks[stock], noun))
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

// cutLength is a piece as it is marked on a stick: rounded per bay to 1/16 in,
// so that equal bays have equal rails. A length in whole millimetres stays, and
// so does one that rounding would lengthen past every stock.
func cutLength(exact measure.Length, s *spec.Spec) measure.Length {
	return markedLength(exact, s.Rails.Stock)
}

func markedLength(exact measure.Length, stocks []measure.Length) measure.Length {
	marked := measure.RoundTo(exact, measure.Sixteenth)
	fits := func(stock measure.Length) bool { return stock >= marked }
	if exact%measure.Millimetre == 0 || !slices.ContainsFunc(stocks, fits) {
		return exact
	}
	return marked
}
