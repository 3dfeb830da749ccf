package render

import (
	"encoding/csv"
	"io"

	"wattle/internal/money"
)

// writeCSV writes rows as RFC 4180 has them, but with plain line feeds.
func writeCSV(w io.Writer, rows [][]string) error {
	c := csv.NewWriter(w)
	for _, r := range rows {
		safe := make([]string, len(r))
		for i, cell := range r {
			safe[i] = inert(cell)
		}
		if err := c.Write(safe); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// inert is a cell that no spreadsheet takes for a formula: what starts like one
// gets an apostrophe before it. A plain negative number stays a number.
func inert(cell string) string {
	if _, err := money.ParseDecimal(cell); err == nil || cell == "" {
		return cell
	}
	switch cell[0] {
	case '=', '+', '-', '@', '\t', '\r':
		return "'" + cell
	}
	return cell
}
