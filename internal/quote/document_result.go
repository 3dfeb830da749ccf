package quote

import (
	"wattle/internal/book"
	"wattle/internal/check"
	"wattle/internal/layout"
	"wattle/internal/takeoff"
)

func writeResult(c *canon, q *Quote, rules int) {
	c.in("result", '{')
	writeCautions(c, q.Cautions)
	writeChecks(c, q.Checks)
	writeLayout(c, q.Layout)
	c.in("lines", '[')
	for _, l := range q.Lines {
		writeLine(c, l)
	}
	c.end(']')
	p := q.PerFoot
	c.in("per_foot", '{')
	c.decimal("gate_feet", p.GateFeet)
	c.decimal("material_net", p.MaterialNet)
	c.decimal("material_with_gates", p.MaterialWithGates)
	c.decimal("net_feet", p.NetFeet)
	c.decimal("price_net", p.PriceNet)
	c.decimal("price_with_gates", p.PriceWithGates)
	c.end('}')
	writeTakeoff(c, q.Takeoff, rules)
	t := q.Totals
	c.in("totals", '{')
	c.decimal("cost", t.Cost)
	c.decimal("discount", t.Discount)
	c.decimal("equipment", t.Equipment)
	c.decimal("fees", t.Fees)
	c.decimal("labour", t.Labour)
	c.decimal("material", t.Material)
	c.decimal("net", t.Net)
	c.decimal("overhead", t.Overhead)
	c.decimal("profit", t.Profit)
	c.decimal("subcontract", t.Subcontract)
	c.decimal("tax", t.Tax)
	c.decimal("taxable", t.Taxable)
	c.decimal("total", t.Total)
	c.end('}')
	c.end('}')
}

func readResult(t tree, rules int) *Quote {
	q := &Quote{
		Cautions: readCautions(t), Checks: readChecks(t), Layout: readLayout(t.at("layout")), Takeoff: readTakeoff(t.at("takeoff"), rules),
	}
	q.Lines, q.PerFoot = readPriced(t)
	s := t.at("totals")
	q.Totals = Totals{
		Material: s.decimal("material"), Labour: s.decimal("labour"), Equipment: s.decimal("equipment"),
		Subcontract: s.decimal("subcontract"), Cost: s.decimal("cost"), Overhead: s.decimal("overhead"),
		Profit: s.decimal("profit"), Fees: s.decimal("fees"), Discount: s.decimal("discount"),
		Net: s.decimal("net"), Taxable: s.decimal("taxable"), Tax: s.decimal("tax"), Total: s.decimal("total"),
	}
	return q
}

func writeCautions(c *canon, cautions []layout.Caution) {
	c.in("cautions", '[')
	for _, x := range cautions {
		c.begin('{')
		c.text("code", x.Code)
		c.text("field", x.Field)
		c.text("text", x.Text)
		c.end('}')
	}
	c.end(']')
}

func readCautions(t tree) []layout.Caution {
	var out []layout.Caution
	for _, x := range t.all("cautions") {
		out = append(out, layout.Caution{Code: x.text("code"), Field: x.text("field"), Text: x.text("text")})
	}
	return out
}

func writeLine(c *canon, l Line) {
	c.begin('{')
	c.text("category", string(l.Category))
	c.decimal("cost", l.Cost)
	c.text("description", l.Description)
	c.date("effective", l.Effective)
	c.int("entry_revision", int64(l.EntryRevision))
	c.text("item", l.Item)
	c.text("kind", string(l.Kind))
	c.decimal("price", l.Price)
	c.decimal("quantity", l.Quantity)
	c.text("supplier", l.Supplier)
	c.decimal("tax", l.Tax)
	c.bool("taxable", l.Taxable)
	c.text("unit", string(l.Unit))
	c.decimal("unit_price", l.UnitPrice)
	c.end('}')
}

func readPriced(t tree) ([]Line, PerFoot) {
	var lines []Line
	for _, l := range t.all("lines") {
		lines = append(lines, readLine(l))
	}
	p := t.at("per_foot")
	return lines, PerFoot{
		NetFeet: p.decimal("net_feet"), GateFeet: p.decimal("gate_feet"),
		MaterialNet: p.decimal("material_net"), MaterialWithGates: p.decimal("material_with_gates"),
		PriceNet: p.decimal("price_net"), PriceWithGates: p.decimal("price_with_gates"),
	}
}

func readLine(t tree) Line {
	return Line{
		Item: t.text("item"), Description: t.text("description"),
		Category: takeoff.Category(t.text("category")), Kind: Kind(t.text("kind")),
		Quantity: t.decimal("quantity"), Unit: takeoff.Unit(t.text("unit")), UnitPrice: t.decimal("unit_price"),
		Supplier: t.text("supplier"), Effective: t.date("effective"), EntryRevision: book.Revision(t.int("entry_revision")),
		Cost: t.decimal("cost"), Price: t.decimal("price"), Tax: t.decimal("tax"), Taxable: t.bool("taxable"),
	}
}

// writeChecks leaves the key out where there are none: quotes of rules version 2
// and before have no checks.
func writeChecks(c *canon, checks []check.Result) {
	c.list("checks", len(checks), func(i int) {
		x := checks[i]
		c.text("code", x.Code)
		c.text("decides", x.Decides)
		c.text("edition", x.Edition)
		c.text("field", x.Field)
		c.in("figures", '[')
		for _, f := range x.Figures {
			c.begin('{')
			c.text("name", f.Name)
			c.text("unit", f.Unit)
			c.text("value", f.Value)
			c.end('}')
		}
		c.end(']')
		c.text("outcome", string(x.Outcome))
		c.text("source", x.Source)
		c.text("text", x.Text)
		c.text("title", x.Title)
	})
}

func readChecks(t tree) []check.Result {
	var checks []check.Result
	for _, x := range t.allOrNone("checks") {
		r := check.Result{
			Code: x.text("code"), Title: x.text("title"), Outcome: check.Outcome(x.text("outcome")), Text: x.text("text"),
			Source: x.text("source"), Edition: x.text("edition"), Decides: x.text("decides"), Field: x.text("field"),
		}
		for _, f := range x.all("figures") {
			r.Figures = append(r.Figures, check.Figure{Name: f.text("name"), Value: f.text("value"), Unit: f.text("unit")})
		}
		checks = append(checks, r)
	}
	return checks
}
