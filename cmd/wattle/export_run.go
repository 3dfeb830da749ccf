package main

import (
	"context"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	"wattle/internal/export"
)

// mostExportPage is the largest page that exports have.
const mostExportPage = 5000

// exporting is what every export is told.
type exporting struct {
	out, format string
	columns     []string
	noHeader    bool
}

func (e *exporting) flags(cmd *cobra.Command) {
	words := make([]string, len(export.Formats()))
	for i, f := range export.Formats() {
		words[i] = string(f)
	}
	choose(cmd, &e.format, "format", "", "csv, json (an array), jsonl (an object a line) or parquet (default by the file's ending, else csv)", words...)
	f := cmd.Flags()
	f.StringVar(&e.out, "out", "", `the file to write; "-" is standard output`)
	f.StringSliceVar(&e.columns, "columns", nil, "only these columns, in this order (default all; see wattle export columns)")
	f.BoolVar(&e.noHeader, "no-header", false, "leave the line of names out of a CSV that is to be appended to another")
}

// exportPage is one page of an export and what it tells of the whole.
type exportPage struct {
	rows []export.Row
	next string
	// done counts what total counts: entries, quotes; total is 0 where it is not
	// known.
	done, total int64
	facts       []export.Fact
}

// GetNextPageToken implements paged.
func (p exportPage) GetNextPageToken() string { return p.next }

// pageReader reads the page that a token names.
type pageReader func(ctx context.Context, conn *grpc.ClientConn, token string) (exportPage, error)

// run writes a whole export. The time-out is for each page: how long all of them
// take depends on how many there are.
func (e *exporting) run(cmd *cobra.Command, r *remote, table export.Table, read pageReader, done func(rows int64) string) error {
	if e.out == "" {
		return wrongUsef(cmd, `name the file with --out, or "-" for standard output`)
	}
	if e.format == "" {
		e.format = string(formatOf(e.out))
	}
	if cmd.Flags().Changed("columns") {
		var err error
		if table, err = table.Pick(e.columns); err != nil {
			return wrongUse(cmd, err)
		}
	}
	patience := r.timeout
	r.timeout = 0
	told := cmd.OutOrStdout()
	if e.out == "-" {
		told = cmd.ErrOrStderr()
	}
	var rows int64
	err := r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
		return writeWhole(e.out, cmd.OutOrStdout(), func(w io.Writer) (err error) {
			rows, err = writeExport(w, table, export.Format(e.format), !e.noHeader, cmd.ErrOrStderr(), func(token string) (exportPage, error) {
				ctx, cancel := waiting(ctx, patience)
				defer cancel()
				return read(ctx, conn, token)
			})
			return err
		})
	})
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(told, done(rows))
	return err
}

func waiting(ctx context.Context, patience time.Duration) (context.Context, context.CancelFunc) {
	if patience == 0 {
		return context.WithCancel(ctx)
	}
	return context.WithTimeout(ctx, patience)
}

// writeExport writes page after page and says how many rows they had. What the
// pages tell of the whole, the last of them tells as well.
func writeExport(w io.Writer, table export.Table, f export.Format, header bool, watched io.Writer, read func(token string) (exportPage, error)) (rows int64, err error) {
	out, err := export.New(w, table, f, header)
	if err != nil {
		return 0, err
	}
	var bar *progress
	defer func() { bar.end() }()
	var facts []export.Fact
	// A page is written where it is read, since that may fail as well.
	err = everyPage(func(token string) (exportPage, error) {
		page, err := read(token)
		if err != nil {
			return page, err
		}
		if token == "" {
			bar = newCount(watched, page.total)
		}
		for _, row := range page.rows {
			if err := out.Write(row); err != nil {
				return page, err
			}
		}
		rows += int64(len(page.rows))
		facts = page.facts
		bar.add(int(page.done))
		return page, nil
	}, func(exportPage) {})
	if err != nil {
		return rows, err
	}
	return rows, out.Close(facts...)
}
