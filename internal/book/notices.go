package book

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
)

func bothPriced(a, b *Entry) bool {
	return a != nil && a.State == Priced && b.State == Priced
}

// OtherUnit reports whether the change is to another unit or currency, so that
// the two prices cannot be compared.
func (c Change) OtherUnit() bool {
	return bothPriced(c.Old, c.New) && (c.Old.Unit != c.New.Unit || c.Old.Currency != c.New.Currency)
}

// Jumps reports whether the price at some order quantity changes by more than
// limit per cent, up or down. Quantities at which either entry has a break are
// looked at, which covers all. Every rise from 0 is a jump.
func (c Change) Jumps(limit decimal.Decimal) bool {
	if !limit.IsPos() || !bothPriced(c.Old, c.New) || c.OtherUnit() {
		return false
	}
	for _, b := range slices.Concat(c.Old.Breaks, c.New.Breaks) {
		was, is := c.Old.priceAt(b.MinQuantity), c.New.priceAt(b.MinQuantity)
		moved := new(big.Rat).Sub(rat(is), rat(was))
		allowed := new(big.Rat).Mul(rat(was), rat(limit))
		if moved.Abs(moved).Mul(moved, hundred).Cmp(allowed) > 0 {
			return true
		}
	}
	return false
}

var hundred = big.NewRat(100, 1)

// rat is d, exactly, where products outgrow a decimal's 19 digits.
func rat(d decimal.Decimal) *big.Rat {
	r, _ := new(big.Rat).SetString(d.String()) // plain digits can be read
	return r
}

// priceAt is the price at an order quantity, of a Priced entry.
func (e Entry) priceAt(quantity decimal.Decimal) decimal.Decimal {
	price := e.Breaks[0].Price
	for _, b := range e.Breaks[1:] {
		if b.MinQuantity.Cmp(quantity) > 0 {
			break
		}
		price = b.Price
	}
	return price
}

// Notices tells the changes of a plan apart: how many there are of each kind,
// and those that need consent. history is as for Plan, but with every entry of
// the items the import mentions.
func Notices(changes []Change, history []Entry, in Import) Outcome {
	var o Outcome
	known := make(map[string]bool, len(history))
	for _, e := range history {
		known[e.Item] = true
	}
	for _, c := range changes {
		*o.Counts.of(c.Kind)++
		if c.Jumps(in.JumpLimit) {
			o.Counts.Jumps++
			o.Jumps = append(o.Jumps, c)
		}
		if c.Kind == Removed {
			o.Withdrawals = append(o.Withdrawals, c)
		}
		if c.OtherUnit() {
			o.Counts.UnitChanges++
			o.UnitChanges = append(o.UnitChanges, c)
		}
		if !known[c.New.Item] {
			known[c.New.Item] = true
			o.Counts.UnknownItems++
			o.UnknownItems = append(o.UnknownItems, c.New.Item)
		}
	}
	o.Changes = changes[:min(len(changes), MostChanges)]
	o.Jumps = o.Jumps[:min(len(o.Jumps), MostNotices)]
	o.UnitChanges = o.UnitChanges[:min(len(o.UnitChanges), MostNotices)]
	o.Withdrawals = o.Withdrawals[:min(len(o.Withdrawals), MostNotices)]
	o.UnknownItems = o.UnknownItems[:min(len(o.UnknownItems), MostNotices)]
	return o
}

func (c *Counts) of(k ChangeKind) *int {
	switch k {
	case Added:
		return &c.Added
	case Repriced:
		return &c.Repriced
	case Removed:
		return &c.Removed
	case Confirmed:
		return &c.Confirmed
	default:
		return &c.Altered
	}
}

// Refusal is a Refused error that lists everything the import asks no consent
// for, or nil: PRICE_JUMPS, UNIT_CHANGES or UNKNOWN_ITEMS, the first that
// applies.
func (o Outcome) Refusal(in Import) error {
	var reasons []string
	var violations []fault.Violation
	add := func(reason, more string, count, listed int, violation func(i int) fault.Violation) {
		reasons = append(reasons, reason)
		for i := range listed {
			violations = append(violations, violation(i))
		}
		if count > listed {
			violations = append(violations, fault.Violation{Description: fmt.Sprintf("%d more %s, not listed", count-listed, more)})
		}
	}
	if n := o.Counts.Jumps; n > 0 && !in.AcceptJumps {
		add("PRICE_JUMPS", "jumps", n, len(o.Jumps), func(i int) fault.Violation {
			c := o.Jumps[i]
			return fault.Violation{Field: c.place(), Description: "the price jumps: " + c.step()}
		})
	}
	if n := o.Counts.UnitChanges; n > 0 && !in.AcceptUnitChanges {
		add("UNIT_CHANGES", "changes of unit or currency", n, len(o.UnitChanges), func(i int) fault.Violation {
			c := o.UnitChanges[i]
			return fault.Violation{Field: c.place(), Description: "another unit or currency: " + c.step()}
		})
	}
	if n := o.Counts.UnknownItems; n > 0 && in.RefuseUnknownItems {
		add("UNKNOWN_ITEMS", "unknown items", n, len(o.UnknownItems), func(i int) fault.Violation {
			return fault.Violation{Field: o.UnknownItems[i], Description: "an unknown item"}
		})
	}
	if len(reasons) == 0 {
		return nil
	}
	words := map[string]string{
		"PRICE_JUMPS":   fmt.Sprintf("%d price(s) jump by more than %v %%; accept_jumps takes them", o.Counts.Jumps, in.JumpLimit),
		"UNIT_CHANGES":  fmt.Sprintf("%d item(s) change unit or currency; accept_unit_changes takes them", o.Counts.UnitChanges),
		"UNKNOWN_ITEMS": fmt.Sprintf("the book has never had %d of the items", o.Counts.UnknownItems),
	}
	message := make([]string, len(reasons))
	for i, r := range reasons {
		message[i] = words[r]
	}
	e := fault.New(fault.Refused, reasons[0], "%s", strings.Join(message, "; "))
	e.Violations = violations
	return e
}

// place names what a change is about: item, then what is not the default.
func (c Change) place() string {
	s := c.New.Item
	if c.New.Supplier != "" {
		s += ", " + c.New.Supplier
	}
	if c.New.Office != MainOffice {
		s += ", office " + c.New.Office
	}
	return s + ", " + c.New.Effective.String()
}

// step is the old and the new price, at the first quantity where they differ.
func (c Change) step() string {
	for _, b := range slices.Concat(c.Old.Breaks, c.New.Breaks) {
		was, is := c.Old.priceAt(b.MinQuantity), c.New.priceAt(b.MinQuantity)
		if was.Equal(is) && !c.OtherUnit() {
			continue
		}
		s := fmt.Sprintf("%v %s -> %v %s", was, c.Old.per(), is, c.New.per())
		if !c.OtherUnit() {
			if s = fmt.Sprintf("%v -> %v %s", was, is, c.New.per()); !was.IsZero() {
				s += fmt.Sprintf(" (%v %%)", percent(was, is))
			}
		}
		if !b.MinQuantity.IsZero() {
			s += fmt.Sprintf(" from quantity %v", b.MinQuantity)
		}
		return s
	}
	return ""
}

func (e Entry) per() string { return string(e.Currency) + "/" + e.Unit }
