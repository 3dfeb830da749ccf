package actuals

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/money"
	"wattle/internal/takeoff"
)

// RatioScale is the number of decimals of a ratio, FactorScale that of a factor.
const (
	RatioScale  = 4
	FactorScale = 2
)

// Subject is what is summed up.
type Subject string

const (
	// ByTask is the hours of each task, and of whole jobs.
	ByTask Subject = "task"
	// ByItem is each item.
	ByItem Subject = "item"
	// ByCategory is each category of the take-off by unit, tasks left out, whose
	// hours are those of whole jobs.
	ByCategory Subject = "category"
)

// Subjects lists every subject.
func Subjects() []Subject { return []Subject{ByTask, ByItem, ByCategory} }

// Covers reports whether lines of a kind are summed up.
func (s Subject) Covers(k Kind) bool {
	switch s {
	case ByTask:
		return k != Material
	case ByItem:
		return k == Material
	default:
		return k != Task
	}
}

// By is how jobs are grouped.
type By struct {
	Subject      Subject
	Office, Crew bool // each apart
}

// Job is a finished job as a summary sees it.
type Job struct {
	Office, Crew string
	Currency     money.Currency
	HoursOf      HoursOf
	Lines        []Line
}

// Key is what the lines of a group have in common. What is not grouped by is
// empty.
type Key struct {
	Office, Crew string
	Kind         Kind // empty of categories
	Name, Unit   string
	HoursOf      HoursOf // of hours
	Currency     money.Currency
	// Rates are those the estimates rest on, as RateText has them, of hours that
	// are not summed up by category: a correction that was made is not made
	// again, since what was estimated before it is another group.
	Rates string
}

// Group is the lines of one key. All but the two counts beside Jobs is of jobs
// with an estimate over zero and what was used.
type Group struct {
	Key
	Jobs, EstimatedOnly, ActualOnly int64
	Estimated, Actual               decimal.Decimal
	// Spread are the least ratio, the quartiles and the most; zeros without jobs.
	Spread [5]decimal.Decimal
}

// Compare orders groups by office, crew, kind, name and then what is left.
func (k Key) Compare(o Key) int {
	return cmp.Or(strings.Compare(k.Office, o.Office), strings.Compare(k.Crew, o.Crew),
		cmp.Compare(slices.Index(Kinds(), k.Kind), slices.Index(Kinds(), o.Kind)), strings.Compare(k.Name, o.Name),
		strings.Compare(k.Unit, o.Unit), cmp.Compare(k.HoursOf, o.HoursOf), cmp.Compare(k.Currency, o.Currency), strings.Compare(k.Rates, o.Rates))
}

// key is the group of a line of a job.
func (b By) key(j Job, l Line) Key {
	k := Key{Kind: l.Kind, Name: l.Name, Unit: l.Unit, Currency: j.Currency}
	if b.Office {
		k.Office = j.Office
	}
	if b.Crew {
		k.Crew = j.Crew
	}
	if l.Kind != Material {
		k.HoursOf = j.HoursOf
	}
	if b.Subject == ByCategory {
		k.Kind, k.Name = "", string(l.Category)
	} else {
		k.Rates = RatesText(l.Rates)
	}
	return k
}

// RatesText is rates as keys and rows have them: "rate-holes 0.35 hour/each".
// Several are told apart by a line break.
func RatesText(rates []takeoff.Rate) string { return strings.Join(RateTexts(rates), "\n") }

// RateTexts is each of them.
func RateTexts(rates []takeoff.Rate) []string {
	all := make([]string, len(rates))
	for i, r := range rates {
		all[i] = r.Item + " " + r.Value.Trim(0).String() + " " + string(r.Unit)
	}
	return all
}

// ParseRates reads what RatesText wrote. An item's name may have spaces.
func ParseRates(text string) ([]takeoff.Rate, error) {
	var all []takeoff.Rate
	for line := range strings.SplitSeq(text, "\n") {
		if line == "" {
			continue
		}
		rest, unit := cutLast(line)
		item, value := cutLast(rest)
		d, err := money.ParseDecimal(value)
		if err != nil {
			return nil, err
		}
		all = append(all, takeoff.Rate{Item: item, Value: d, Unit: takeoff.Unit(unit)})
	}
	return all, nil
}

func cutLast(s string) (before, after string) {
	i := strings.LastIndexByte(s, ' ')
	if i < 0 {
		return s, ""
	}
	return s[:i], s[i+1:]
}

// share is what one job adds to a group.
type share struct {
	estimated, actual        decimal.Decimal
	compared, planned, extra bool
}

// Summarize is the definition of a summary, whatever adds it up: each line of a
// job belongs to one group, and each job counts once in a group. Of a job's lines
// in one group (of a category) those that have both sides are added up first. It
// is in the order of keys.
func Summarize(jobs []Job, by By) ([]Group, error) {
	var c money.Calc
	groups := map[Key]*Group{}
	ratios := map[Key][]decimal.Decimal{}
	for _, j := range jobs {
		for k, s := range by.shares(&c, j) {
			g := groups[k]
			if g == nil {
				g = &Group{Key: k}
				groups[k] = g
			}
			switch {
			case s.compared:
				g.Jobs++
				g.Estimated, g.Actual = c.Add(g.Estimated, s.estimated), c.Add(g.Actual, s.actual)
				r, err := Ratio(s.actual, s.estimated, RatioScale)
				if err != nil {
					return nil, err
				}
				ratios[k] = append(ratios[k], r)
			case s.planned:
				g.EstimatedOnly++
			case s.extra:
				g.ActualOnly++
			}
		}
	}
	all := make([]Group, 0, len(groups))
	for _, k := range slices.SortedFunc(maps.Keys(groups), Key.Compare) {
		g := groups[k]
		g.Spread = spread(ratios[k])
		all = append(all, *g)
	}
	return all, c.Err()
}

func (b By) shares(c *money.Calc, j Job) map[Key]share {
	all := map[Key]share{}
	for _, l := range j.Lines {
		if !b.Subject.Covers(l.Kind) {
			continue
		}
		k := b.key(j, l)
		s := all[k]
		switch {
		case l.Compared():
			s.compared = true
			s.estimated, s.actual = c.Add(s.estimated, *l.Estimated), c.Add(s.actual, *l.Actual)
		case l.Actual == nil:
			s.planned = true
		default:
			s.extra = true
		}
		all[k] = s
	}
	return all
}

// spread is the quantiles at 0, 1/4, 1/2, 3/4 and 1 by the nearest rank: of n
// ratios in order, that at place p n, rounded up [Hyndman and Fan, Sample
// quantiles in statistical packages, 1996, definition 1; from memory].
func spread(ratios []decimal.Decimal) (s [5]decimal.Decimal) {
	if len(ratios) == 0 {
		return s
	}
	slices.SortFunc(ratios, decimal.Decimal.Cmp)
	for i := range s {
		place := (len(ratios)*i + 3) / 4
		s[i] = ratios[max(place, 1)-1]
	}
	return s
}
