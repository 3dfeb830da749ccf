package rpc

import (
	"cmp"
	"slices"

	"github.com/govalues/decimal"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/costindex"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/money"
)

// formulas are by name, since a formula's zero value is one of them.
var formulas = pairsOf(map[wattlev1.IndexFormula]string{
	wattlev1.IndexFormula_INDEX_FORMULA_LASPEYRES: costindex.Laspeyres.String(),
	wattlev1.IndexFormula_INDEX_FORMULA_PAASCHE:   costindex.Paasche.String(),
	wattlev1.IndexFormula_INDEX_FORMULA_FISHER:    costindex.Fisher.String(),
	wattlev1.IndexFormula_INDEX_FORMULA_TORNQVIST: costindex.Tornqvist.String(),
	wattlev1.IndexFormula_INDEX_FORMULA_WALSH:     costindex.Walsh.String(),
})

func formulaNamed(name string) costindex.Formula {
	all := costindex.Formulas()
	return all[slices.IndexFunc(all, func(f costindex.Formula) bool { return f.String() == name })]
}

func goodsFromProto(v *fault.List, p *wattlev1.IndexTable) costindex.Goods {
	g := costindex.Goods{Names: p.GetGoods()}
	for i, row := range p.GetRows() {
		at := v.At("rows").Index(i)
		g.Periods = append(g.Periods, costindex.Period{
			Label:  cmp.Or(row.GetLabel(), "rows["+plainInt(i)+"]"),
			Prices: readDecimals(at, "prices", row.GetPrices()), Quantities: readDecimals(at, "quantities", row.GetQuantities()),
		})
	}
	return g
}

func readDecimals(v *fault.List, field string, texts []string) []decimal.Decimal {
	all := make([]decimal.Decimal, len(texts))
	for i, text := range texts {
		all[i] = readDecimal(v.At(field).Index(i), "", text)
	}
	return all
}

func plainInt(i int) string { return decimal.MustNew(int64(i), 0).String() }

func costHeaderToProto(f estimating.Followed) *wattlev1.CostHeader {
	ls := new(lengths)
	p := &wattlev1.CostHeader{
		Office: f.Office, From: f.Market.Window.From.String(), To: f.Market.Window.To.String(),
		Revision: int64(f.Head.Revision), Currency: string(f.Currency), Length: ls.of(f.Length),
		Components: f.Basket.Parts(), Quotes: int32(len(f.Mixed)),
	}
	if !f.CountedOn.IsZero() {
		p.CountedOn = f.CountedOn.String()
	}
	for _, l := range f.Basket.Lines {
		p.Lines = append(p.Lines, &wattlev1.CostLine{
			Item: l.Item, Description: l.Description, Component: l.Component, Quantity: plain(l.Quantity), Unit: l.Unit,
		})
	}
	return p
}

func costStepToProto(f estimating.Followed, s costindex.Step) *wattlev1.CostStep {
	p := &wattlev1.CostStep{From: s.From.String(), Components: figures(s.Parts), CostPerFoot: figure(s.Parts)}
	if s.Gap() {
		_, missing := f.Market.At(f.Basket, s.From)
		for _, m := range missing {
			p.Missing = append(p.Missing, &wattlev1.MissingPrice{Item: m.Item, Note: m.Note})
		}
	}
	return p
}

func costSampleToProto(s costindex.Sample) *wattlev1.CostSample {
	return &wattlev1.CostSample{
		From: s.From.String(), To: s.To.String(), DaysKnown: int32(s.DaysKnown), Days: int32(s.Days), MissingItems: s.Missing,
		MeanPerFoot: figure(s.Mean), MeanComponents: figures(s.Mean),
		LastPerFoot: figure(s.Last), LastComponents: figures(s.Last),
	}
}

// figures are values by component, as they were rounded.
func figures(parts []decimal.Decimal) []string {
	var out []string
	for _, d := range parts {
		out = append(out, money.Fixed(d, costindex.PerFootDecimals))
	}
	return out
}

// figure is their sum; nil where there are none.
func figure(parts []decimal.Decimal) *string {
	total, ok := costindex.Total(parts)
	if !ok {
		return nil
	}
	return new(money.Fixed(total, costindex.PerFootDecimals))
}

func amountToProto(a costindex.Amount) *wattlev1.CostAmount {
	return &wattlev1.CostAmount{Basket: plain(a.Basket), PerFoot: money.Fixed(a.PerFoot, costindex.PerFootDecimals)}
}

func costChangeToProto(f estimating.Followed, c costindex.Change) *wattlev1.ExplainChangeResponse {
	p := &wattlev1.ExplainChangeResponse{
		Header: costHeaderToProto(f), From: amountToProto(c.From), To: amountToProto(c.To), Difference: amountToProto(c.Difference),
		Percent: money.Fixed(c.Percent, 1), RestItems: int32(c.Rest.Items), Rest: amountToProto(c.Rest.Difference),
		Text: c.Whole(f.Market.Window.From, f.Market.Window.To),
	}
	order := f.Basket.Parts()
	parts := slices.SortedFunc(slices.Values(c.Parts), func(a, b costindex.PartChange) int {
		return cmp.Compare(slices.Index(order, a.Component), slices.Index(order, b.Component))
	})
	for _, part := range parts {
		p.Parts = append(p.Parts, &wattlev1.ExplainChangeResponse_PartChange{
			Component: part.Component, From: amountToProto(part.From), To: amountToProto(part.To), Difference: amountToProto(part.Difference),
		})
	}
	for _, m := range c.Movers {
		p.Movers = append(p.Movers, &wattlev1.ExplainChangeResponse_Mover{
			Item: m.To.Item, Description: m.To.Description, Component: m.To.Component, Unit: m.To.Unit,
			PriceFrom: plain(m.From.Price), PriceTo: plain(m.To.Price), EffectiveDate: m.To.Since.String(), Revision: m.To.Revision,
			Difference: amountToProto(m.Difference), SharePercent: money.Fixed(m.Share, 1), Text: c.Sentence(m),
		})
	}
	return p
}

// What a request for risk has where it does not say.
var (
	defaultRisk      = decimal.MustNew(20, 0)
	defaultTolerance = decimal.Two
)

const defaultStandingDays = 30

func riskFromProto(req *wattlev1.AssessRiskRequest) (estimating.RiskWish, error) {
	v := &fault.List{}
	wish := estimating.RiskWish{
		Risk: costindex.Risk{
			Every: spanOr(req.GetEvery(), costindex.Month), BlockLength: int(req.GetBlockLength()),
			Draws: int(req.GetDraws()), Seed: req.GetSeed(),
		},
		Accepted: defaultRisk, Tolerance: defaultTolerance,
		Standing: cmp.Or(int(req.GetStandingDays()), defaultStandingDays), Backtest: req.GetBacktest(),
	}
	v.Require(req.GetEvery() != wattlev1.CostEvery_COST_EVERY_STEP, "every", "expected a day, a week or a month")
	for _, days := range req.GetHorizons() {
		wish.Risk.Horizons = append(wish.Risk.Horizons, int(days))
	}
	percent := func(field, text string, into *decimal.Decimal) {
		if text == "" {
			return
		}
		*into = readDecimal(v, field, text)
		v.Require(!into.IsNeg() && into.Cmp(decimal.Hundred) <= 0, field, "expected 0 to 100, found %v", *into)
	}
	percent("risk_percent", req.GetRiskPercent(), &wish.Accepted)
	percent("tolerance_percent", req.GetTolerancePercent(), &wish.Tolerance)
	return wish, v.Err()
}

// riskCaution goes with every answer about risk.
const riskCaution = "This is what one history gives if its changes come again, no forecast: in times unlike it, as lumber in 2020 and 2021, " +
	"cost left such bands far more often than they say. Who signs a price decides how long it stands."

func riskToProto(r estimating.CostRisk) *wattlev1.AssessRiskResponse {
	p := &wattlev1.AssessRiskResponse{
		Header: costHeaderToProto(r.Followed), From: r.From.String(), To: r.To.String(),
		Changes: int32(r.Changes), Moves: int32(r.Moves), CostPerFoot: money.Fixed(r.Last, costindex.PerFootDecimals),
		BlockLength: int32(r.Risk.BlockLength), Draws: int32(r.Risk.Draws),
		ValidityDays: int32(r.Validity.Days), ContingencyPercent: money.Fixed(r.Contingency, 2), Caution: riskCaution,
	}
	for _, b := range r.Bands {
		p.Bands = append(p.Bands, &wattlev1.AssessRiskResponse_Band{
			Days: int32(b.Days), Steps: int32(b.Steps), P5: money.Fixed(b.P5, 6), P20: money.Fixed(b.P20, 6), P50: money.Fixed(b.P50, 6), P80: money.Fixed(b.P80, 6), P95: money.Fixed(b.P95, 6),
		})
	}
	for _, c := range r.Coverage {
		p.Coverage = append(p.Coverage, &wattlev1.AssessRiskResponse_Coverage{
			Days: int32(c.Days), Band: c.Band, NominalPercent: int32(c.Nominal), Inside: int32(c.Inside), Above: int32(c.Above), Below: int32(c.Below), Percent: money.Fixed(c.Percent(), 1),
		})
	}
	return p
}
