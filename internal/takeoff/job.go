package takeoff

import (
	"cmp"
	"slices"
	"sort"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/rational"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// Job is what is counted: a layout made by layout.Plan, the spec it was made
// from, with its defaults filled, and what the job finds around the fence.
type Job struct {
	Layout     *layout.Layout
	Spec       spec.Spec
	Conditions site.Conditions
	// Rules is the version of the rules it is counted by, which old quotes are
	// replayed with. Zero: the newest.
	Rules int
}

// plainRules is the last version of rules that cut for the least cost before
// waste and packs.
const plainRules = 2

// plain reports whether the job is counted by plainRules or older ones.
func (j *Job) plain() bool { return j.Rules > 0 && j.Rules <= plainRules }

// Count counts the job. With offers, sticks are cut for the least cost and
// ordered in packs; without (nil), for the least length, and labour is left out
// with a caution. An offer that gives no price for its item's unit (see
// Offer.Refusal) is an Invalid error that lists all.
func (j Job) Count(offers map[string]Offer) (*Takeoff, error) { return j.Gather().Count(offers) }

// Gathered is a job with what it takes, before anything is cut or priced. What
// to ask prices for and then the count by them are had from one walk over its
// layout.
type Gathered struct {
	Job Job
	all *gathered
}

// Gather finds what the job takes.
func (j Job) Gather() *Gathered {
	g := &Gathered{Job: j}
	g.all = gather(&g.Job)
	return g
}

// Count is that of Job; it may be asked for again, with other offers.
func (job *Gathered) Count(offers map[string]Offer) (*Takeoff, error) {
	offers, err := job.all.market(offers)
	if err != nil {
		return nil, err
	}
	return job.count(offers, offers)
}

// CountCutBy is Count with sticks chosen and cut by offers of their own: what
// the packs and rates of one market make of the cut plan of another.
func (job *Gathered) CountCutBy(offers, cutBy map[string]Offer) (*Takeoff, error) {
	offers, err := job.all.market(offers)
	if err != nil {
		return nil, err
	}
	if cutBy, err = job.all.market(cutBy); err != nil {
		return nil, err
	}
	return job.count(offers, cutBy)
}

// market is the offers once they are checked, each per its item's unit.
func (g *gathered) market(offers map[string]Offer) (map[string]Offer, error) {
	items := g.items()
	if g.checkItems(items, offers) != nil { // seldom, so they are put in order only then
		return nil, g.checkItems(byCategory(items), offers)
	}
	return g.perUnit(items, offers), nil
}

func (job *Gathered) count(offers, cutBy map[string]Offer) (*Takeoff, error) {
	j, g := &job.Job, job.all.clone()
	if err := cmp.Or(g.wrong.Err(), g.err); err != nil {
		return nil, err
	}
	t := g.out
	needs := make([]need, 0, len(g.needs)+4*len(g.sticks)) // most are cut from few stocks
	needs = append(needs, g.needs...)
	for i := range g.sticks {
		var plan CutPlan
		var err error
		if needs, plan, err = g.sticks[i].appendCut(needs, j, cutBy); err != nil {
			return nil, err
		}
		t.Cuts = append(t.Cuts, plan)
	}
	needs = merged(needs)
	t.Lines = slices.Grow(t.Lines, len(needs)+2) // and those of labour by fence
	for i := range needs {
		n := &needs[i]
		if n.net.Sign() == 0 {
			continue
		}
		line, err := n.line(&j.Spec, offers)
		if err != nil {
			return nil, err
		}
		t.Lines = append(t.Lines, line)
	}
	unrated, err := g.labour(offers)
	if err != nil {
		return nil, err
	}
	if t.Delivery, err = g.weigh(t.Lines); err != nil {
		return nil, err
	}
	sort.Sort(byItem(t.Lines))
	t.Cautions = slices.Concat(cautions(&j.Spec, t), g.jobCautions(), g.cautions, unrated)
	return t, nil
}

// Count counts a job whose site has no conditions.
func Count(l *layout.Layout, s spec.Spec, offers map[string]Offer) (*Takeoff, error) {
	return Job{Layout: l, Spec: s}.Count(offers)
}

// Candidates are those of a job whose site has no conditions.
func Candidates(l *layout.Layout, s spec.Spec) []string { return Job{Layout: l, Spec: s}.Candidates() }

// Candidates is every item, after spec.Items, that the job may ask a price for,
// sorted: what it takes, and of what is cut from sticks every stock.
func (j Job) Candidates() []string { return j.Gather().Candidates() }

// Candidates are those of Job.
func (job *Gathered) Candidates() []string {
	var names []string
	for _, w := range job.Wanted() {
		names = append(names, w.Item)
	}
	return names
}

// Wanted is an item that a job may ask a price for.
type Wanted struct {
	Item        string // after spec.Items
	Description string
	Category    Category
	Unit        Unit // that the price is for
}

// Wanted are the candidates with what they are, by name.
func (j Job) Wanted() []Wanted { return j.Gather().Wanted() }

// Wanted are those of Job.
func (job *Gathered) Wanted() []Wanted {
	var all []Wanted
	for _, it := range byCategory(job.all.items()) {
		all = append(all, Wanted{it.bookName(&job.Job.Spec), it.description, it.category, it.unit})
	}
	slices.SortStableFunc(all, func(a, b Wanted) int { return cmp.Compare(a.Item, b.Item) })
	return slices.CompactFunc(all, func(a, b Wanted) bool { return a.Item == b.Item })
}

// gathered is what a job takes before anything is cut or priced: needs that are
// counted, and pieces to cut from sticks. Counting rules add to it.
type gathered struct {
	l *layout.Layout
	s *spec.Spec
	c *site.Conditions
	// plain: by old rules (see Job.plain). rules is Job.Rules.
	plain bool
	rules int

	needs    []need
	sticks   []sticks
	out      *Takeoff
	weights  map[string]rational.Number // pounds of a unit, by default name, where no rule for names says it
	cautions []layout.Caution
	// wrong is what the count cannot be made of; rules go on past it.
	wrong fault.List
	err   error // of another kind
}

// gather runs the counting rules: the family's, of what hangs between its
// posts, then those of what every fence has.
func gather(j *Job) *gathered {
	g := &gathered{l: j.Layout, s: &j.Spec, c: &j.Conditions, plain: j.plain(), rules: j.Rules, out: &Takeoff{}}
	for _, st := range g.l.Stretches {
		g.out.NetLength += st.Length()
	}
	for _, o := range g.l.Openings {
		g.out.GateLength += o.Span
	}
	f := families[g.s.Family]
	if f == nil {
		g.wrong.Add("spec.family", "%q is not counted here", g.s.Family)
		return g
	}
	g.needs = make([]need, 0, 12) // more than most jobs have
	g.leaves()
	g.posts(f)
	f.count(g)
	g.holes()
	if !f.ownCaps {
		g.caps()
	}
	g.gateParts()
	g.extras()
	g.stain()
	g.removal()
	return g
}

// clone is g to go on from: what is added to it, g does not have.
func (g *gathered) clone() *gathered {
	own, out := *g, *g.out
	out.Lines, out.Cuts = slices.Clip(out.Lines), slices.Clip(out.Cuts)
	own.out, own.needs = &out, slices.Clip(own.needs)
	return &own
}

// need adds what is counted.
func (g *gathered) need(n ...need) {
	for _, x := range n {
		x.item = coated(x.item, g.s.Fasteners.Coating)
		g.needs = append(g.needs, x)
	}
}

// cut adds what is cut from sticks.
func (g *gathered) cut(f ...sticks) {
	for _, x := range f {
		if len(x.pieces) > 0 {
			x.items = make([]item, len(x.stock))
			for i, stock := range x.stock {
				x.items[i] = x.item(stock)
			}
			g.sticks = append(g.sticks, x)
		}
	}
}

// fail notes an error of a rule.
func (g *gathered) fail(err error) {
	if err != nil {
		if other := g.wrong.Merge(err); other != nil && g.err == nil {
			g.err = other
		}
	}
}

// items is every item that the job may ask a price for.
func (g *gathered) items() []*item {
	labour := g.labourItems()
	n := len(g.needs) + len(labour)
	for i := range g.sticks {
		n += len(g.sticks[i].with) + len(g.sticks[i].items)
	}
	all := make([]*item, 0, n)
	for i := range g.needs {
		all = append(all, &g.needs[i].item)
	}
	for i := range g.sticks {
		f := &g.sticks[i]
		for k := range f.with {
			all = append(all, &f.with[k].item)
		}
		for k := range f.items {
			all = append(all, &f.items[k])
		}
	}
	for i := range labour {
		all = append(all, &labour[i])
	}
	return all
}

// byCategory are items in the order of the lines' categories.
func byCategory(items []*item) []*item {
	slices.SortStableFunc(items, func(a, b *item) int { return cmp.Compare(a.category.rank(), b.category.rank()) })
	return items
}
