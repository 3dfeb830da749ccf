package book

import (
	"cmp"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/money"
)

// series is what an entry is about: one item, at one office, from one
// supplier.
type series struct{ item, office, supplier string }

func (e Entry) series() series { return series{e.Item, e.Office, e.Supplier} }

// slot is the place an entry takes in a book; a later entry for the same slot
// supersedes it.
type slot struct {
	series
	effective civil.Date
}

func (e Entry) slot() slot { return slot{e.series(), e.Effective} }

// compareSlots orders entries by item, office, supplier and effective date,
// texts by their bytes.
func compareSlots(a, b Entry) int {
	return cmp.Or(
		strings.Compare(a.Item, b.Item),
		strings.Compare(a.Office, b.Office),
		strings.Compare(a.Supplier, b.Supplier),
		a.Effective.Compare(b.Effective),
	)
}

// SameContent reports whether two entries say the same: state, description,
// currency, unit, pack and breaks. Numbers are compared by value, so 4.10 is
// 4.1. Where and since when they hold does not matter.
func (e Entry) SameContent(f Entry) bool {
	return e.State == f.State && e.Description == f.Description &&
		e.Currency == f.Currency && e.Unit == f.Unit && e.Pack.Equal(f.Pack) &&
		slices.EqualFunc(e.Breaks, f.Breaks, func(a, b Break) bool {
			return a.MinQuantity.Equal(b.MinQuantity) && a.Price.Equal(b.Price)
		})
}

// normal is the form an entry is stored in: its office filled, and of an entry
// without a price only what still means something.
func (e Entry) normal(office string) Entry {
	e.Office = cmp.Or(e.Office, office, MainOffice)
	if e.State != Priced {
		e.Currency, e.Unit, e.Pack, e.Breaks = "", "", decimal.Zero, nil
	}
	return e
}

// validate lists everything wrong with the entry.
func (e Entry) validate(l *fault.List, acceptZero bool) {
	require := func(field, problem string) { l.Require(problem == "", field, "%s", problem) }
	require("item", nameProblem(e.Item))
	if e.Office != "" {
		require("office", nameProblem(e.Office))
	}
	if e.Supplier != "" {
		require("supplier", nameProblem(e.Supplier))
	}
	require("description", descriptionProblem(e.Description))
	require("effective", dateProblem(e.Effective))
	switch e.State {
	case Priced:
		e.validatePriced(l, acceptZero)
	case Withdrawn, Inherit:
		l.Require(len(e.Breaks) == 0, "breaks", "an entry that is %s has no price", e.State)
	default:
		l.Add("state", "expected one of %s, found %q", stateNames, e.State)
	}
}

func (e Entry) validatePriced(l *fault.List, acceptZero bool) {
	if _, err := money.ParseCurrency(string(e.Currency)); err != nil {
		l.Add("currency", "%s", err)
	}
	if p := unitProblem(e.Unit); p != "" {
		l.Add("unit", "%s", p)
	}
	if p := packProblem(e.Pack); p != "" {
		l.Add("pack", "%s", p)
	}
	if len(e.Breaks) == 0 || !e.Breaks[0].MinQuantity.IsZero() {
		l.Add("breaks", "the first break must hold from quantity 0")
	}
	l.Require(len(e.Breaks) <= MaxBreaks, "breaks", "expected at most %d breaks, found %d", MaxBreaks, len(e.Breaks))
	for i, b := range e.Breaks {
		at := l.At("breaks").Index(i)
		if p := quantityProblem(b.MinQuantity); p != "" {
			at.Add("min_quantity", "%s", p)
		}
		if p := priceProblem(b.Price, acceptZero); p != "" {
			at.Add("price", "%s", p)
		}
		if i > 0 && b.MinQuantity.Cmp(e.Breaks[i-1].MinQuantity) <= 0 {
			at.Add("min_quantity", "expected more than the break before (%v), found %v", e.Breaks[i-1].MinQuantity, b.MinQuantity)
		}
	}
}

// Validate lists everything wrong with the import, as one Invalid error.
func (in Import) Validate() error {
	l := &fault.List{}
	l.Require(in.Mode == Patch || in.Mode == Replace, "mode", "expected %q or %q, found %q", Patch, Replace, in.Mode)
	l.Require(!in.JumpLimit.IsNeg(), "jump_limit", "expected no less than 0 per cent, found %v", in.JumpLimit)
	l.Require(len(in.Entries) > 0, "entries", "the price list is empty")
	seen := make(map[slot]int, len(in.Entries))
	for i, e := range in.Entries {
		at := l.At("entries").Index(i)
		e.validate(at, in.AcceptZeroPrices)
		key := e.normal(in.Office).slot()
		if first, ok := seen[key]; ok {
			at.Add("", "the same item, office, supplier and effective date as entries[%d]", first)
			continue
		}
		seen[key] = i
	}
	return l.Err()
}
