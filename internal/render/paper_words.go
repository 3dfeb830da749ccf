package render

import (
	"fmt"
	"strconv"
	"strings"

	"wattle/internal/measure"
	"wattle/internal/quote"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// DiggingCaution stands wherever holes are asked for.
const DiggingCaution = crewCaution

// Scope is what a quote builds, in sentences.
func Scope(r quote.Request, q *quote.Quote, m Measures) string { return scope(r, q, m) }

// Infill is what hangs between the posts, in words.
func Infill(s spec.Spec, m Measures) string {
	return strings.TrimPrefix(infill(s.WithDefaults(), m.Words), "of ")
}

// Delivery is what an order weighs, in a sentence; empty where that is not known.
func Delivery(order string, d takeoff.Delivery, m Measures, say func(whole string) string) string {
	if d.Pounds.IsZero() {
		return ""
	}
	pounds, kilograms := say(d.Pounds.String())+" lb", say(kilograms(d))+" kg"
	weight := pounds
	switch m {
	case MetricMeasures:
		weight = kilograms
	case BothMeasures:
		weight += " (" + kilograms + ")"
	default:
	}
	text := order + " weighs about " + weight + ", wood taken as dry."
	if len(d.Unweighed) > 0 {
		text += " Not weighed: " + list(d.Unweighed) + "."
	}
	return text
}

// CutTable is how the sticks of one use are cut.
type CutTable struct {
	Use string
	// Rows are how many sticks, of what stock, cut into what.
	Rows [][3]string
	// Joints say where pieces over two bays meet, a line for each stretch.
	Joints []string
	Sum    string
}

// CutTables are the cut plans of a take-off, without what anything costs.
func CutTables(t *takeoff.Takeoff, m Measures) []CutTable {
	tables := make([]CutTable, len(t.Cuts))
	for i, c := range t.Cuts {
		table := &tables[i]
		table.Use = plain(c.Use)
		for _, pattern := range c.Plan.Patterns {
			table.Rows = append(table.Rows, [3]string{strconv.Itoa(pattern.Times), m.Words(c.Stocks[pattern.Stock].Length), cutsIn(pattern, m)})
		}
		table.Joints = jointLines(c.Joints)
		table.Sum = fmt.Sprintf("Bought %s, used %s, off-cuts and kerfs %s.", m.Words(c.Plan.Bought), m.Words(c.Plan.Used), m.Words(c.Plan.Waste))
	}
	return tables
}

// OrderHeading is the heading that a quote's line stands under.
func OrderHeading(l quote.Line) string { return group(l) }

// kilograms are the weight of a delivery, to the whole one. A pound is 0.45359237 kg, exactly (international avoirdupois pound).
func kilograms(d takeoff.Delivery) string {
	whole, _, ok := d.Pounds.Trim(0).Int64(0)
	if !ok {
		return d.Pounds.String()
	}
	kg, _ := measure.MulDivRound(whole, 45359237, 100000000)
	return strconv.FormatInt(kg, 10)
}
