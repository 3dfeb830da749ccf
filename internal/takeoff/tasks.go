package takeoff

import (
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/rational"
)

// task is a kind of work as the rules know it (common practice): what it is
// counted by, and which of the site's factors make it longer.
type task struct {
	name    string
	per     Unit // of its rate
	noun    string
	factors []string
	// quantity of the job; no work where it is zero.
	quantity func(*gathered) rational.Number
}

// tasks are all kinds of work, in the order in which a job goes.
var tasks = []task{
	{"mobilisation", HourPerJob, "job", []string{"season"}, func(*gathered) rational.Number { return whole(1) }},
	{"tear-out", HourPerFoot, "ft", []string{"access", "season"}, func(g *gathered) rational.Number { return g.oldFence().feet }},
	{"footings", HourPerEach, "footing", []string{"digging", "access", "season"}, func(g *gathered) rational.Number { return g.oldFence().footings }},
	{"haul-away", HourPerFt3, "ft3", []string{"access"}, func(g *gathered) rational.Number { return g.oldFence().ft3 }},
	{"layout", HourPerFoot, "ft", []string{"grade"}, func(g *gathered) rational.Number { return quotient(g.out.NetLength+g.out.GateLength, measure.Foot) }},
	{"holes", HourPerEach, "hole", []string{"digging", "grade", "access", "season"}, func(g *gathered) rational.Number { return whole(g.postsSet(false)) }},
	{"driving", HourPerEach, "post", []string{"digging", "grade", "access", "season"}, func(g *gathered) rational.Number { return whole(g.postsSet(true)) }},
	{"setting", HourPerEach, "post", []string{"grade", "access", "season"}, func(g *gathered) rational.Number { return whole(g.postsSet(false)) }},
	{"rails", HourPerEach, "rail", []string{"grade", "season"}, func(g *gathered) rational.Number { return whole(g.railsHung()) }},
	{"boards", HourPerEach, "board", []string{"grade", "season"}, func(g *gathered) rational.Number { return whole(g.boardsHung()) }},
	{"trim", HourPerEach, "piece", []string{"grade", "season"}, func(g *gathered) rational.Number { return whole(g.trimPieces()) }},
	{"hanging", HourPerFoot, "ft", []string{"grade", "season"}, (*gathered).hung},
	{"gate-leaves", HourPerLeaf, "leaf", []string{"season"}, func(g *gathered) rational.Number { return whole(g.leavesHung()) }},
	{"stain", HourPerFt2, "ft2", []string{"season"}, func(g *gathered) rational.Number { return g.stained() }},
}

// rateItem is the rate of a task: rate-holes in hour/each. Hanging differs from
// family to family. That of gates is none of labour by fence's (rate-gate), which
// is in hours of the whole crew.
func (t task) rateItem(g *gathered) item {
	name, words := "rate-"+t.name, "Hours of one person, "+t.name
	if t.name == "hanging" {
		name, words = "rate-hanging-"+string(g.s.Family), "Hours of one person, hanging "+strings.ToLower(g.s.Family.Title())
	}
	return item{name, words + ", " + string(t.per), Labour, t.per, ""}
}

// factorItem is the factor of a condition of some kind: "digging".
type factorItem struct {
	item
	kind string
}

// felt are the factors that make a task longer here: the conditions that the job
// names, of those that the task feels.
func (t task) felt(g *gathered) []factorItem {
	named := map[string]string{"digging": g.c.Digging, "grade": g.c.Grade, "access": g.c.Access, "season": g.c.Season}
	var all []factorItem
	for _, kind := range t.factors {
		if name := named[kind]; name != "" {
			all = append(all, factorItem{item{"factor-" + kind + "-" + name, "Factor of work, " + kind + " " + name, Labour, Ratio, ""}, kind})
		}
	}
	return all
}

// labourItem is an hour of one person. Labour by fence is bought by the hour of
// the whole crew instead (see crewItem).
func labourItem() item { return item{"labour-hour", "Labour hour, one person", Labour, Hour, "hour"} }

func equipmentItem(name string) item {
	return item{"equipment-" + name, "Equipment by the day, " + strings.ReplaceAll(name, "-", " "), Equipment, Day, "day"}
}

// taskItems are what labour by tasks may ask a price for.
func (g *gathered) taskItems() []item {
	all := []item{labourItem()}
	for _, t := range tasks {
		if t.quantity(g).Sign() > 0 {
			all = append(all, t.rateItem(g))
			for _, f := range t.felt(g) {
				all = append(all, f.item)
			}
		}
	}
	for _, name := range g.s.Labour.Equipment {
		all = append(all, equipmentItem(name))
	}
	return all
}

// byTasks is the labour of every task and the equipment for the crew's days.
func (g *gathered) byTasks(offers map[string]Offer) error {
	w := &Work{Crew: g.s.Labour.Crew, HoursPerDay: g.s.Labour.HoursPerDay}
	all := newSum("hour")
	var steps []Step
	for _, t := range tasks {
		quantity := t.quantity(g)
		if quantity.Sign() == 0 {
			continue
		}
		item := t.rateItem(g).bookName(g.s)
		rate := offers[item].Price
		hours := quantity.Mul(money.Rational(rate))
		done := Task{Name: t.name, Item: item, Unit: t.noun, Rate: rate}
		inputs := []Input{{"quantity", number(quantity), t.noun}, {"rate", rate.Trim(0).String(), string(t.per)}}
		for _, f := range t.felt(g) {
			factor := offers[f.bookName(g.s)].Price
			hours = hours.Mul(money.Rational(factor))
			inputs = append(inputs, Input{f.kind, factor.Trim(0).String(), ""})
			done.Factors = append(done.Factors, Factor{Item: f.bookName(g.s), Value: factor})
		}
		rounded := hours.HalfUp(2)
		steps = append(steps, step("labour.task", strings.ToUpper(t.name[:1])+t.name[1:], inputs...).
			rounded(amount(hours, "hour"), "rounded half up to 0.01 hour", amount(rounded, "hour")))
		all.add("for "+t.name, rounded, 1)
		var err error
		if done.Quantity, err = decimalOf(quantity); err != nil {
			return err
		}
		if done.Hours, err = newDecimal(rounded, 2); err != nil {
			return err
		}
		w.Tasks = append(w.Tasks, done)
	}
	steps = append(steps, all.step("labour.sum"))
	if err := g.hoursLine(labourItem(), all.total, steps); err != nil {
		return err
	}
	g.out.Work = w
	return g.days(w, all.total, offers)
}

// days are the crew's calendar days, and the equipment for them.
func (g *gathered) days(w *Work, hours rational.Number, offers map[string]Offer) (err error) {
	day := whole(w.Crew).Mul(money.Rational(w.HoursPerDay))
	exact := hours.Quo(day)
	days := ceiling(exact, rational.Of(1, 10))
	if w.Hours, err = decimalOf(hours); err != nil {
		return err
	}
	if w.Days, err = decimalOf(days); err != nil {
		return err
	}
	if days.Sign() == 0 {
		return nil
	}
	for _, name := range g.s.Labour.Equipment {
		n := need{item: equipmentItem(name), net: ceiling(days, one), steps: []Step{
			step("labour.days", "", Input{"hours", number(hours), "hour"}, count("crew", w.Crew, ""), Input{"day", w.HoursPerDay.Trim(0).String(), "hour"}).
				rounded(amount(exact, "day"), "rounded up to whole days", amount(ceiling(days, one), "day"))}}
		line, err := n.line(g.s, offers)
		if err != nil {
			return err
		}
		g.out.Lines = append(g.out.Lines, line)
	}
	return nil
}

// unrated are the rates and factors that no offer gives.
func (g *gathered) unrated(offers map[string]Offer) []string {
	var missing []string
	for _, it := range g.labourItems() {
		if it.category == Equipment || it.name == crewItem().name || it.name == labourItem().name {
			continue
		}
		if _, rated := offers[it.bookName(g.s)]; !rated && !slices.Contains(missing, it.bookName(g.s)) {
			missing = append(missing, it.bookName(g.s))
		}
	}
	return missing
}

// hoursLine is the line of the hours, in hundredths.
func (g *gathered) hoursLine(it item, hours rational.Number, steps []Step) error {
	quantity, err := newDecimal(hours.HalfUp(2), 2)
	if err != nil {
		return err
	}
	g.out.Lines = append(g.out.Lines, Line{
		Item: it.bookName(g.s), Default: it.name, Description: it.description, Category: it.category, Unit: it.unit,
		Net: quantity, Pack: decimal.MustNew(1, 2), Order: quantity, Derivation: Derivation{steps},
	})
	return nil
}

// postsSet are the posts that are set in holes that are dug, or those that are
// driven.
func (g *gathered) postsSet(driven bool) int {
	n := 0
	for _, p := range standing(g.l) {
		if !p.Existing && p.Hole.Driven() == driven {
			n++
		}
	}
	return n
}

// railsHung are the rails of all bays, of a family that has them.
func (g *gathered) railsHung() int {
	if !g.s.HasRails() {
		return 0
	}
	return len(g.l.Bays) * g.s.RailCount()
}

// boardsHung are the upright boards of the fence.
func (g *gathered) boardsHung() int {
	n := 0
	for _, f := range g.out.Faces {
		n += f.Boards
	}
	return n
}

// trimPieces are the cap boards, trim, kick boards and pieces of lattice.
func (g *gathered) trimPieces() int {
	n := 0
	for _, f := range g.sticks {
		for _, p := range f.pieces {
			if f.trim {
				n += p.Count
			}
		}
	}
	return n
}

// hung are the feet of fence whose infill is hung by the foot: what is neither
// rails nor upright boards.
func (g *gathered) hung() rational.Number {
	if g.railsHung()+g.boardsHung() > 0 {
		return rational.Number{}
	}
	return quotient(g.out.NetLength, measure.Foot)
}

func (g *gathered) leavesHung() int {
	n := 0
	for _, o := range g.l.Openings {
		n += o.Leaves
	}
	return n
}
