package main

import (
	"fmt"
	"io"
	"path/filepath"

	"github.com/govalues/decimal"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/chart"
	"wattle/internal/civil"
	"wattle/internal/costindex"
	"wattle/internal/money"
)

// plotted is a chart.
type plotted interface {
	Draw(w io.Writer, f chart.Format) error
}

// drawInto draws a chart into a file, whole or not at all.
func drawInto(path string, d plotted) error {
	format := chart.SVG
	switch filepath.Ext(path) {
	case ".svg":
	case ".png":
		format = chart.PNG
	default:
		return fmt.Errorf("--chart %s: expected a name that ends in .svg or .png", path)
	}
	return writeWhole(path, nil, func(w io.Writer) error { return d.Draw(w, format) })
}

func decimals(texts []string) []decimal.Decimal {
	var all []decimal.Decimal
	for _, text := range texts {
		d, _ := decimal.Parse(text) // the service's own
		all = append(all, d)
	}
	return all
}

func day(text string) civil.Date {
	d, _ := civil.Parse(text) // the service's own
	return d
}

// series is what was tracked, for a chart: a sample is a step of its mean.
func (t *tracked) series() costindex.Series {
	s := costindex.Series{Parts: t.header.GetComponents(), To: day(t.header.GetTo())}
	for _, row := range t.rows() {
		step := costindex.Step{From: day(row.from), Parts: decimals(row.parts)}
		if len(step.Parts) == 0 {
			step.Missing = append([]string{}, row.missing...)
		}
		s.Steps = append(s.Steps, step)
	}
	return s
}

func drawCost(path string, all []*tracked, stack bool) error {
	currency := money.Currency(all[0].header.GetCurrency())
	if stack {
		t := all[0]
		return drawInto(path, chart.Stack{Title: "Cost per foot at " + t.header.GetOffice() + ", by component", Currency: currency, Series: t.series()})
	}
	c := chart.Cost{Title: "Cost per foot", Currency: currency}
	for _, t := range all {
		c.Lines = append(c.Lines, chart.Line{Name: t.header.GetOffice(), Series: t.series()})
	}
	return drawInto(path, c)
}

func drawIndex(path string, answer *wattlev1.ComputeIndexResponse, base int) error {
	c := chart.Indices{Title: "Price index", Base: base}
	for _, p := range answer.GetPeriods() {
		c.On = append(c.On, day(p.GetTo()))
	}
	for _, s := range answer.GetSeries() {
		c.Lines = append(c.Lines, chart.IndexLine{Name: formulaName(s.GetFormula()), Values: decimals(s.GetValues())})
	}
	return drawInto(path, c)
}

func drawMovers(path string, answer *wattlev1.ExplainChangeResponse) error {
	return drawInto(path, moversOf(answer))
}

func moversOf(answer *wattlev1.ExplainChangeResponse) chart.Movers {
	h := answer.GetHeader()
	c := costindex.Change{Currency: money.Currency(h.GetCurrency()), Difference: amountOf(answer.GetDifference())}
	c.From, c.To = amountOf(answer.GetFrom()), amountOf(answer.GetTo())
	for _, m := range answer.GetMovers() {
		item := costindex.ItemCost{Item: m.GetItem(), Description: m.GetDescription(), Component: m.GetComponent(), Unit: m.GetUnit()}
		c.Movers = append(c.Movers, costindex.Mover{From: item, To: item, Difference: amountOf(m.GetDifference())})
	}
	c.Rest = costindex.Rest{Items: int(answer.GetRestItems()), Difference: amountOf(answer.GetRest())}
	return chart.Movers{Title: "What moved the cost per foot from " + h.GetFrom() + " to " + h.GetTo(), Change: c}
}

func amountOf(a *wattlev1.CostAmount) costindex.Amount {
	both := decimals([]string{a.GetBasket(), a.GetPerFoot()})
	return costindex.Amount{Basket: both[0], PerFoot: both[1]}
}
