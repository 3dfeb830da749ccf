package actuals

import (
	"fmt"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/takeoff"
)

// Limits of a record: what is larger was mistyped.
const (
	MaxScale     = 4 // decimals of a quantity
	convertScale = 10
)

var (
	MaxQuantity = decimal.MustNew(10_000_000, 0)
	MaxHours    = decimal.MustNew(100_000, 0)
	MaxPaid     = decimal.MustNew(1_000_000_000, 0)
)

// Record is what somebody says that a job used. What is left out was not
// recorded, and says nothing.
type Record struct {
	Materials []Used
	// Tasks, or else the Hours of the whole job; nil is not recorded.
	Tasks []Took
	Hours *decimal.Decimal
	// HoursOf is empty where it is the quote's.
	HoursOf    HoursOf
	LabourPaid *decimal.Decimal
}

// Used is how much of an item was used.
type Used struct {
	Item     string
	Quantity decimal.Decimal
	Unit     string
	Paid     *decimal.Decimal
}

// Took is how long a task took.
type Took struct {
	Task  string
	Hours decimal.Decimal
}

// Lines holds a record against the estimate: every line of both, by kind and
// name, and whose hours they are. Whatever is wrong is noted in the request's own
// names.
func (r Record) Lines(e Estimate, c money.Currency, v *fault.List) ([]Line, HoursOf) {
	of := r.whose(e, v)
	lines := map[lineKey]Line{}
	for _, l := range e.Lines {
		lines[lineKey{l.Kind, l.Name}] = l
	}
	r.materials(e, c, lines, v.At("materials"))
	r.hours(e, of, lines, v)
	checkPaid(v, "labour_paid", r.LabourPaid, c)
	v.Require(r.LabourPaid == nil || r.Hours != nil || len(r.Tasks) > 0, "labour_paid", "expected hours or tasks beside it, found neither")
	v.Require(len(r.Materials) > 0 || len(r.Tasks) > 0 || r.Hours != nil, "materials", "expected materials, tasks or hours; found none of them")
	all := make([]Line, 0, len(lines))
	for _, l := range lines {
		all = append(all, l)
	}
	slices.SortFunc(all, compareLines)
	return all, of
}

type lineKey struct {
	kind Kind
	name string
}

func (r Record) materials(e Estimate, c money.Currency, lines map[lineKey]Line, v *fault.List) {
	first := make(map[string]int, len(r.Materials))
	for i, m := range r.Materials {
		at := v.Index(i)
		if j, twice := first[m.Item]; twice {
			at.Add("item", "expected each item once; %q stands in materials[%d] already", m.Item, j)
			continue
		}
		first[m.Item] = i
		if l := e.labour(); l != nil && l.Name == m.Item {
			at.Add("item", "%q is labour; say how long it took in hours or tasks", m.Item)
			continue
		}
		checkPaid(at, "paid", m.Paid, c)
		sound := checkAmount(at, "quantity", m.Quantity, MaxQuantity)
		est := e.line(Material, m.Item)
		switch {
		case est == nil:
			at.Require(!m.Quantity.IsZero(), "quantity", "expected more than 0 of what was not estimated")
			lines[lineKey{Material, m.Item}] = Line{Kind: Material, Name: m.Item, Unit: m.Unit, Actual: new(m.Quantity), Paid: m.Paid}
		case sound:
			if used, problem := convert(m.Quantity, m.Unit, est.Unit); at.Require(problem == "", "unit", "%s", problem) {
				l := *est
				l.Actual, l.Paid = &used, m.Paid
				lines[lineKey{Material, m.Item}] = l
			}
		}
	}
}

// convert is a quantity in another unit, exactly, or what is wrong.
func convert(quantity decimal.Decimal, from, to string) (used decimal.Decimal, problem string) {
	factor, ok := measure.UnitRatio(from, to)
	if !ok {
		like := strings.Join(append([]string{to}, measure.UnitsLike(to)...), ", ")
		return used, fmt.Sprintf("expected a unit that is a fixed number of %s (%s), found %q", to, like, from)
	}
	used, exact, err := money.FromRat(factor.Mul(money.Rational(quantity)).Big(), convertScale)
	if err != nil || !exact {
		return used, fmt.Sprintf("%s %s is no exact decimal in %s, which was ordered; say how many %s", quantity.Trim(0), from, to, to)
	}
	return used, ""
}

// hours enters tasks, and the whole job's hours where they are known: as they
// were said, or as the sum of tasks among which is every one that was estimated.
func (r Record) hours(e Estimate, of HoursOf, lines map[lineKey]Line, v *fault.List) {
	if r.Hours != nil && len(r.Tasks) > 0 {
		v.Add("hours", "expected either hours or tasks, found both: the hours of the job are the sum of its tasks")
		return
	}
	if r.Hours != nil {
		if checkAmount(v, "hours", *r.Hours, MaxHours) {
			v.Require(r.Hours.IsPos(), "hours", "expected more than 0")
		}
		r.whole(e, of, *r.Hours, lines)
		return
	}
	first := make(map[string]int, len(r.Tasks))
	var sum money.Calc
	var all decimal.Decimal
	for i, t := range r.Tasks {
		at := v.At("tasks").Index(i)
		if j, twice := first[t.Task]; twice {
			at.Add("task", "expected each task once; %q stands in tasks[%d] already", t.Task, j)
			continue
		}
		first[t.Task] = i
		checkAmount(at, "hours", t.Hours, MaxHours)
		l := Line{Kind: Task, Name: t.Task, Category: takeoff.Labour, Unit: string(takeoff.Hour)}
		if est := e.line(Task, t.Task); est != nil {
			l = *est
		} else {
			at.Require(!t.Hours.IsZero(), "hours", "expected more than 0 of what was not estimated")
		}
		l.Actual = new(t.Hours)
		lines[lineKey{Task, t.Task}] = l
		all = sum.Add(all, t.Hours)
	}
	for _, l := range e.Lines {
		if _, told := first[l.Name]; l.Kind == Task && !told {
			return
		}
	}
	if len(r.Tasks) > 0 && sum.Err() == nil { // the largest sum allowed fits
		r.whole(e, of, all, lines)
	}
}

// whole enters the hours of the whole job.
func (r Record) whole(e Estimate, of HoursOf, hours decimal.Decimal, lines map[lineKey]Line) {
	l := Line{Kind: Labour, Name: itemOf[of], Category: takeoff.Labour, Unit: string(takeoff.Hour)}
	if est := e.labour(); est != nil {
		l = *est
	}
	l.Actual, l.Paid = &hours, r.LabourPaid
	lines[lineKey{Labour, l.Name}] = l
}

// itemOf names hours that were never estimated as the take-off would.
var itemOf = map[HoursOf]string{Crew: "crew-hour", Person: "labour-hour"}

// whose says whose the hours are: as the quote counts them.
func (r Record) whose(e Estimate, v *fault.List) HoursOf {
	said, hours := r.HoursOf, len(r.Tasks) > 0 || r.Hours != nil
	switch {
	case e.HoursOf == "" && said == "" && hours:
		v.Add("hours_of", "expected whose hours these are, of the crew or of one person: the quote has no labour that would say")
	case e.HoursOf != "" && said != "" && said != e.HoursOf:
		v.Add("hours_of", "expected hours of %s, as the quote counts them; found hours of %s", words[e.HoursOf], words[said])
	case e.HoursOf != "":
		return e.HoursOf
	}
	return said
}

var words = map[HoursOf]string{Crew: "the whole crew", Person: "one person"}

func checkAmount(v *fault.List, field string, d, most decimal.Decimal) bool {
	return v.Require(!d.IsNeg() && d.Cmp(most) <= 0, field, "expected 0 to %s, found %s", most, d) &&
		v.Require(d.Trim(0).Scale() <= MaxScale, field, "expected at most %d decimals, found %s", MaxScale, d)
}

func checkPaid(v *fault.List, field string, d *decimal.Decimal, c money.Currency) {
	if d != nil && v.Require(!d.IsNeg() && d.Cmp(MaxPaid) <= 0, field, "expected 0 to %s, found %s", MaxPaid, d) {
		v.Require(d.Trim(0).Scale() <= c.Digits(), field, "expected at most %d decimals, found %s", c.Digits(), d)
	}
}
