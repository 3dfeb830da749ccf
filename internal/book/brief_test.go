package book

import (
	"fmt"

	"github.com/govalues/decimal"

	"wattle/internal/money"
)

// brief is an entry on one line, without what has its default: revision, item,
// office, supplier (- for none), effective date, then a state or the breaks
// (6.48 100:6.10), then the rest by name.
func brief(e Entry) string {
	supplier := e.Supplier
	if supplier == "" {
		supplier = "-"
	}
	s := fmt.Sprintf("r%d %s %s %s %v", e.Revision, e.Item, e.Office, supplier, e.Effective)
	if e.State != Priced {
		return s + " " + string(e.State)
	}
	for i, b := range e.Breaks {
		if i > 0 || !b.MinQuantity.IsZero() {
			s += fmt.Sprintf(" %v:%v", b.MinQuantity, b.Price)
		} else {
			s += " " + b.Price.String()
		}
	}
	if e.Currency != money.USD {
		s += " currency=" + e.Currency.String()
	}
	if e.Unit != "each" {
		s += " unit=" + e.Unit
	}
	if !e.Pack.Equal(decimal.One) {
		s += " pack=" + e.Pack.String()
	}
	if e.Description != "" {
		s += " text=" + e.Description
	}
	return s
}

func briefs(entries []Entry) []string {
	all := make([]string, len(entries))
	for i, e := range entries {
		all[i] = brief(e)
	}
	return all
}
