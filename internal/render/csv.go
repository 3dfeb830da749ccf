package render

import (
	"encoding/csv"
	"io"

	"wattle/internal/spreadsheet"
)

// writeCSV writes rows as RFC 4180 has them, but with plain line feeds.
func writeCSV(w io.Writer, rows [][]string) error {
	c := csv.NewWriter(w)
	for _, r := range rows {
		safe := make([]string, len(r))
		for i, cell := range r {
			safe[i] = spreadsheet.Cell(cell)
		}
		if err := c.Write(safe); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}
