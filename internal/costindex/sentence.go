package costindex

import (
	"fmt"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
	"wattle/internal/money"
)

// Sentence tells a mover in one line, in figures and without causes:
//
//	Board 1x6, 6 ft went from 4.12 to 4.55 each (+10.4 %) on 2026-09-16,
//	revision 2: +0.5300 USD a foot, 41.0 % of the change
func (c Change) Sentence(m Mover) string {
	var s strings.Builder
	s.WriteString(m.Name())
	price := func(d decimal.Decimal) string {
		return money.Fixed(d, max(c.Currency.Digits(), d.Trim(0).Scale()))
	}
	switch m.Side {
	case Added:
		fmt.Fprintf(&s, " was added, %s at %s %s", m.To.Quantity.Trim(0), price(m.To.Price), per(m.To.Unit))
	case Removed:
		fmt.Fprintf(&s, " was removed, %s at %s %s", m.From.Quantity.Trim(0), price(m.From.Price), per(m.From.Unit))
	case Both:
		priceMoved, quantityMoved := m.From.Price.Cmp(m.To.Price) != 0, m.From.Quantity.Cmp(m.To.Quantity) != 0
		if priceMoved {
			fmt.Fprintf(&s, " went from %s to %s %s", price(m.From.Price), price(m.To.Price), per(m.To.Unit))
			if m.From.Price.IsPos() {
				fmt.Fprintf(&s, " (%s %%)", signed(m.PricePercent, 1))
			}
			if !m.To.Since.IsZero() {
				fmt.Fprintf(&s, " on %v", m.To.Since)
			}
			if m.To.Revision > 0 {
				fmt.Fprintf(&s, ", revision %d", m.To.Revision)
			}
		}
		if priceMoved && quantityMoved {
			s.WriteString(", and")
		}
		if quantityMoved {
			fmt.Fprintf(&s, " went from %s to %s in quantity", m.From.Quantity.Trim(0), m.To.Quantity.Trim(0))
			if !priceMoved {
				fmt.Fprintf(&s, " at %s %s", price(m.To.Price), per(m.To.Unit))
			}
		}
	}
	fmt.Fprintf(&s, ": %s %s a foot", signed(m.Difference.PerFoot, PerFootDecimals), c.Currency)
	if m.Side == Both && !m.ByPrice.Basket.IsZero() && !m.ByQuantity.Basket.IsZero() {
		fmt.Fprintf(&s, " (price %s, quantity %s)", signed(m.ByPrice.PerFoot, PerFootDecimals), signed(m.ByQuantity.PerFoot, PerFootDecimals))
	}
	if !c.Difference.Basket.IsZero() {
		fmt.Fprintf(&s, ", %s %% of the change", money.Fixed(m.Share, 1))
	}
	return s.String()
}

// Whole tells the change itself in one line, the components that moved most first:
//
//	From 2026-03-16 to 2026-09-16 a foot went from 23.4694 to 25.2209 USD,
//	+1.7515 (+7.5 %): boards +1.1608, rails +0.2980.
func (c Change) Whole(from, to civil.Date) string {
	moved := slices.DeleteFunc(slices.Clone(c.Parts), func(p PartChange) bool { return p.Difference.Basket.IsZero() })
	slices.SortStableFunc(moved, func(a, b PartChange) int { return b.Difference.PerFoot.CmpAbs(a.Difference.PerFoot) })
	by := make([]string, len(moved))
	for i, p := range moved {
		by[i] = p.Component + " " + signed(p.Difference.PerFoot, PerFootDecimals)
	}
	text := fmt.Sprintf("From %v to %v a foot went from %s to %s %s, %s (%s %%)", from, to,
		money.Fixed(c.From.PerFoot, PerFootDecimals), money.Fixed(c.To.PerFoot, PerFootDecimals), c.Currency,
		signed(c.Difference.PerFoot, PerFootDecimals), signed(c.Percent, 1))
	if len(by) > 0 {
		text += ": " + strings.Join(by, ", ")
	}
	return text + "."
}

// per is how a price names its unit: "each", "a bag".
func per(unit string) string {
	if unit == "each" || unit == "" {
		return "each"
	}
	if strings.ContainsRune("aeio", rune(unit[0])) || strings.HasPrefix(unit, "hour") {
		return "an " + unit
	}
	return "a " + unit
}

// signed has a plus before what is above 0.
func signed(d decimal.Decimal, decimals int) string {
	text := money.Fixed(d, decimals)
	if d.IsPos() {
		return "+" + text
	}
	return text
}
