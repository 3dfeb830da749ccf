package render

import (
	"io"

	"wattle/internal/takeoff"
)

// PriceListCSV is a price list to fill in: a row for every item that the job may
// ask a price for, in the columns of an import, with the price left empty.
func PriceListCSV(w io.Writer, items []takeoff.Wanted) error {
	rows := [][]string{{"item", "description", "supplier", "effective", "unit", "pack", "min_quantity", "price", "currency"}}
	for _, it := range items {
		rows = append(rows, []string{it.Item, it.Description, "", "", string(it.Unit), "1", "0", "", ""})
	}
	return writeCSV(w, rows)
}
