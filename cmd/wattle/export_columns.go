package main

import (
	"strings"

	"github.com/spf13/cobra"

	"wattle/internal/export"
)

func newExportColumns() *cobra.Command {
	var format string
	cmd := &cobra.Command{
		Use:   "columns",
		Short: "Say what each column of each export is; needs no service",
		Long: `Say what each column of each export is. Types are Parquet's; in JSON, decimals,
dates and timestamps are strings, so that no decimal is lost. What may be null is
an empty cell in CSV.`,
		Example: `  wattle export columns --format csv`,
		Args:    takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			t := newTable("export", "column", "type", "null", "unit", "meaning")
			for _, table := range export.Tables() {
				for _, c := range table.Columns {
					null := "no"
					if c.Optional {
						null = "yes"
					}
					t.add(table.Name, c.Name, string(c.Type), null, c.Unit, c.Meaning)
				}
			}
			return t.print(cmd.OutOrStdout(), format)
		},
	}
	choose(cmd, &format, "format", asText, "how to print the columns", asText, asCSV)
	return cmd
}

// formatOf is the format that a file's ending asks for, CSV where it asks for
// none.
func formatOf(path string) export.Format {
	for _, f := range export.Formats() {
		if strings.HasSuffix(strings.ToLower(path), "."+string(f)) {
			return f
		}
	}
	return export.CSV
}
