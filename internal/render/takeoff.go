package render

import (
	"io"
	"strconv"
	"strings"

	"wattle/internal/cutting"
	"wattle/internal/measure"
	"wattle/internal/takeoff"
)

// TakeoffText lists what the job takes, by category, with net, waste and order
// quantity of every item, how gate leaves are built, and what the order weighs.
func TakeoffText(w io.Writer, t *takeoff.Takeoff) error {
	p := newPage(w)
	p.line("Net fence %s, gate openings %s (on post centres)", t.NetLength.Imperial(), t.GateLength.Imperial())
	p.line("")
	rows := newTable("llrlrrr", "item", "description", "net", "unit", "waste %", "pack", "order")
	var category takeoff.Category
	for _, l := range t.Lines {
		if l.Category != category {
			category = l.Category
			rows.row(strings.ToUpper(string(category)))
		}
		rows.row("  "+l.Item, l.Description, l.Net.String(), string(l.Unit), l.WastePercent.String(), sold(l, l.Pack.String()), sold(l, l.Order.String()))
	}
	rows.write(p)
	writeLeaves(p, t.Leaves)
	writeDelivery(p, t.Delivery)
	writeMovement(p, t.Movement)
	writeWork(p, t.Work)
	writeCautions(p, t.Cautions)
	return p.Flush()
}

// sold is a quantity of what is sold, with its unit where that is not the line's.
func sold(l takeoff.Line, quantity string) string {
	if l.OrderUnit == "" {
		return quantity
	}
	return quantity + " " + string(l.OrderUnit)
}

// TakeoffCSV is a row for each item, the last column its derivation.
func TakeoffCSV(w io.Writer, t *takeoff.Takeoff) error {
	rows := [][]string{{"item", "description", "category", "unit", "net", "waste %", "pack", "order", "order unit", "derivation"}}
	for _, l := range t.Lines {
		rows = append(rows, []string{l.Item, l.Description, string(l.Category), string(l.Unit), l.Net.String(),
			l.WastePercent.String(), l.Pack.String(), l.Order.String(), string(l.OrderedIn()), strings.Join(l.Derivation.Sentences(), " ")})
	}
	return writeCSV(w, rows)
}

// WhyText is how the figures of one line were reached, a numbered sentence for
// each step.
func WhyText(w io.Writer, line takeoff.Line) error {
	p := newPage(w)
	p.paragraph("", line.Description+" ("+line.Item+"): "+line.Order.String()+" "+string(line.OrderedIn()))
	sentences := line.Derivation.Sentences()
	last := strconv.Itoa(len(sentences))
	for i, s := range sentences {
		n := strconv.Itoa(i + 1)
		p.paragraph("  "+strings.Repeat(" ", len(last)-len(n))+n+". ", s)
	}
	return p.Flush()
}

// CutListText says for every use of sticks what to buy and how to cut each.
func CutListText(w io.Writer, t *takeoff.Takeoff) error {
	p := newPage(w)
	if len(t.Cuts) == 0 {
		p.line("Nothing is cut from sticks.")
	}
	for i, c := range t.Cuts {
		if i > 0 {
			p.line("")
		}
		p.heading(plain(c.Use))
		rows := newTable("rll", "sticks", "stock", "cut into")
		for _, pattern := range c.Plan.Patterns {
			rows.row(strconv.Itoa(pattern.Times), c.Stocks[pattern.Stock].Length.Imperial(), cuts(pattern))
		}
		rows.write(p)
		writeJoints(p, c.Joints)
		p.line("Bought %s, used %s, off-cuts and kerfs %s.", c.Plan.Bought.Imperial(), c.Plan.Used.Imperial(), c.Plan.Waste.Imperial())
		if c.Plan.Proven {
			p.line("No cheaper plan exists.")
		} else {
			p.line("A cheaper plan may exist: cost %s, none can be below %s.", c.Plan.Cost, c.Plan.LowerBound)
		}
	}
	return p.Flush()
}

// cuts are the pieces of one stick, equal ones together: "2 x 7 ft 10-1/4 in".
func cuts(p cutting.Pattern) string { return cutsIn(p, ImperialMeasures) }

func cutsIn(p cutting.Pattern, m Measures) string {
	var parts []string
	for i := 0; i < len(p.Cuts); {
		n := i
		for n < len(p.Cuts) && p.Cuts[n] == p.Cuts[i] {
			n++
		}
		parts, i = append(parts, times(n-i, p.Cuts[i], m)), n
	}
	return strings.Join(parts, ", ")
}

func times(n int, l measure.Length, m Measures) string {
	if n == 1 {
		return m.Words(l)
	}
	return strconv.Itoa(n) + " x " + m.Words(l)
}
