package book

import (
	"cmp"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
	"wattle/internal/money"
)

// Plan says what an import changes, and how many of its entries the book
// already holds. history is every entry, of any revision, of the series the
// import mentions; in Replace mode, of the offices and suppliers it mentions.
// The import must be valid.
//
// An entry that the book holds for the same item, office, supplier and
// effective date, with the same content, is unchanged and not stored again. The
// same content from another date is a change (Confirmed): it keeps holding
// when an earlier date is corrected later.
//
// Replace withdraws from the latest effective date that the file has for the
// office and supplier: a file that also lists last year's prices must not make
// a price of last year disappear. A price announced for a later date is
// withdrawn at that date.
func Plan(history []Entry, in Import) (changes []Change, unchanged int) {
	lines := timelines(history)
	entries := make([]Entry, len(in.Entries))
	for i, e := range in.Entries {
		entries[i] = e.normal(in.Office)
		entries[i].Revision = 0
	}
	slices.SortFunc(entries, compareSlots)

	mentioned := make(map[series]bool)
	latest := make(map[list]civil.Date)
	for _, e := range entries {
		line := lines[e.series()]
		if old := line.at(e.Effective); old != nil && old.SameContent(e) {
			unchanged++
		} else {
			changes = append(changes, ChangeOf(line.inForce(e.Effective), e))
			lines[e.series()] = line.with(e)
		}
		mentioned[e.series()] = true
		of := list{e.Office, e.Supplier}
		if e.Effective.Compare(latest[of]) > 0 {
			latest[of] = e.Effective
		}
	}
	if in.Mode == Replace {
		for s, line := range lines {
			if from, ok := latest[list{s.office, s.supplier}]; ok && !mentioned[s] {
				changes = append(changes, line.withdraw(s, from)...)
			}
		}
	}
	slices.SortFunc(changes, func(a, b Change) int {
		return cmp.Or(
			strings.Compare(a.New.Item, b.New.Item),
			strings.Compare(a.New.Supplier, b.New.Supplier),
			a.New.Effective.Compare(b.New.Effective),
			strings.Compare(a.New.Office, b.New.Office),
		)
	})
	return changes, unchanged
}

// list is one supplier's price list at one office.
type list struct{ office, supplier string }

// timeline is the current entry of each effective date of a series, the
// earliest first.
type timeline []Entry

func timelines(history []Entry) map[series]timeline {
	newest := make(map[slot]Entry, len(history))
	for _, e := range history {
		if was, ok := newest[e.slot()]; !ok || e.Revision > was.Revision {
			newest[e.slot()] = e
		}
	}
	lines := make(map[series]timeline)
	for key, e := range newest {
		lines[key.series] = append(lines[key.series], e)
	}
	for _, line := range lines {
		slices.SortFunc(line, compareSlots)
	}
	return lines
}

func (t timeline) search(d civil.Date) (int, bool) {
	return slices.BinarySearchFunc(t, d, func(e Entry, d civil.Date) int { return e.Effective.Compare(d) })
}

// at is the entry of exactly that date, or nil.
func (t timeline) at(d civil.Date) *Entry {
	if i, ok := t.search(d); ok {
		return &t[i]
	}
	return nil
}

// inForce is the entry that holds on that date, or nil.
func (t timeline) inForce(d civil.Date) *Entry {
	i, ok := t.search(d)
	switch {
	case ok:
		return &t[i]
	case i > 0:
		return &t[i-1]
	default:
		return nil
	}
}

// with is a new timeline that holds e too, so that pointers into t stay good.
func (t timeline) with(e Entry) timeline {
	i, ok := t.search(e.Effective)
	if t = slices.Clone(t); ok {
		t[i] = e
		return t
	}
	return slices.Insert(t, i, e)
}

// withdraw ends every price of the series from a date on.
func (t timeline) withdraw(s series, from civil.Date) []Change {
	var changes []Change
	end := func(old *Entry, on civil.Date) {
		changes = append(changes, ChangeOf(old, Entry{
			Item: s.item, Office: s.office, Supplier: s.supplier, Effective: on, State: Withdrawn,
		}))
	}
	if old := t.inForce(from); old != nil && old.State == Priced {
		end(old, from)
	}
	for i := range t {
		if t[i].State == Priced && t[i].Effective.Compare(from) > 0 {
			end(&t[i], t[i].Effective)
		}
	}
	return changes
}

// ChangeOf classifies the step from old, which held on e's effective date (nil
// for none), to e.
func ChangeOf(old *Entry, e Entry) Change {
	c := Change{Old: old, New: &e}
	switch {
	case e.State == Withdrawn:
		c.Kind = Removed
	case old == nil || old.State == Withdrawn:
		c.Kind = Added
	case old.SameContent(e):
		c.Kind = Confirmed
	case bothPriced(old, &e) && old.Unit == e.Unit && old.Currency == e.Currency &&
		!old.Breaks[0].Price.Equal(e.Breaks[0].Price):
		c.Kind = Repriced
		c.Percent = percent(old.Breaks[0].Price, e.Breaks[0].Price)
	default:
		c.Kind = Altered
	}
	return c
}

// percent is the change from a to b in per cent of a, half up to 2 decimals.
// A rise from 0, and one too steep to write (over 10^9 per cent), reads 0.
func percent(a, b decimal.Decimal) decimal.Decimal {
	var c money.Calc
	p := c.Quo(c.MulInt(c.Sub(b, a), 100), a)
	if c.Err() != nil {
		return decimal.Zero
	}
	return decimal.MustParse(money.Fixed(p, 2))
}
