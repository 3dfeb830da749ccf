package book

import (
	"fmt"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
)

// entry reads an entry from one line, "ITEM[/SUPPLIER][@OFFICE] DATE#REVISION
// WHAT": a state, or prices by quantity in USD.
//
//	post/acre@west 2026-03-01#2 12.50,100:11.75
//	post 2026-03-01#3 withdrawn
func entry(line string) Entry {
	f := strings.Fields(line)
	if len(f) != 3 {
		panic(line)
	}
	name, office, _ := strings.Cut(f[0], "@")
	item, supplier, _ := strings.Cut(name, "/")
	date, revision, _ := strings.Cut(f[1], "#")
	e := Entry{Item: item, Supplier: supplier, Effective: civil.Must(date), State: Priced}
	if revision != "" {
		if _, err := fmt.Sscan(revision, &e.Revision); err != nil {
			panic(line)
		}
	}
	if s := State(f[2]); s == Withdrawn || s == Inherit {
		e.State = s
		return e.normal(office)
	}
	e.Unit, e.Pack, e.Currency = "each", decimal.One, "USD"
	for part := range strings.SplitSeq(f[2], ",") {
		quantity, price, ok := strings.Cut(part, ":")
		if !ok {
			quantity, price = "0", part
		}
		e.Breaks = append(e.Breaks, Break{decimal.MustParse(quantity), decimal.MustParse(price)})
	}
	return e.normal(office)
}

func entries(lines ...string) []Entry {
	all := make([]Entry, len(lines))
	for i, line := range lines {
		all[i] = entry(line)
	}
	return all
}

// line is the opposite of entry.
func line(e *Entry) string {
	if e == nil {
		return "-"
	}
	name := e.Item
	if e.Supplier != "" {
		name += "/" + e.Supplier
	}
	if e.Office != MainOffice {
		name += "@" + e.Office
	}
	what := string(e.State)
	if e.State == Priced {
		var parts []string
		for _, b := range e.Breaks {
			if b.MinQuantity.IsZero() {
				parts = append(parts, b.Price.String())
			} else {
				parts = append(parts, fmt.Sprintf("%v:%v", b.MinQuantity, b.Price))
			}
		}
		what = strings.Join(parts, ",")
	}
	date := e.Effective.String()
	if e.Revision != 0 {
		date += fmt.Sprint("#", e.Revision)
	}
	return name + " " + date + " " + what
}
