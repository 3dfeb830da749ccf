package main

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/types/known/timestamppb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/export"
)

func newExportQuoteLines(r *remote) *cobra.Command {
	e := &exporting{}
	var since, before string
	var states []string
	request := &wattlev1.ExportQuoteLinesRequest{PageSize: mostExportPage}
	cmd := &cobra.Command{
		Use:   "quote-lines",
		Short: "Export the lines of quotes",
		Long: `Export the lines of the quotes that your key sees, oldest quote first; to a reader
without what they cost. A quote is seen once it is stored, a moment after the time
it was made: who exports by stretches of time ends each some minutes ago.`,
		Example: `  wattle export quote-lines --company harrow --status accepted --out accepted.parquet
  wattle export quote-lines --company harrow --created-since 2026-03-01 --created-before 2026-04-01 --out march.csv`,
		Args: takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) (err error) {
			if request.Parent, err = r.parent(cmd); err != nil {
				return err
			}
			if request.States, err = statesOf(cmd, states); err != nil {
				return err
			}
			if request.CreatedSince, err = instant(cmd, "--created-since", since); err != nil {
				return err
			}
			if request.CreatedBefore, err = instant(cmd, "--created-before", before); err != nil {
				return err
			}
			quoted := 0
			last := ""
			read := func(ctx context.Context, conn *grpc.ClientConn, token string) (exportPage, error) {
				page, answer, err := readQuoteLines(ctx, conn, request, token)
				for _, l := range answer.GetLines() {
					if l.GetQuote() != last {
						last = l.GetQuote()
						quoted++
						page.done++
					}
				}
				return page, err
			}
			return e.run(cmd, r, export.QuoteLines, read, func(rows int64) string {
				return fmt.Sprintf("%d lines of %s.", rows, countOf(int32(quoted), "quote", "quotes"))
			})
		},
	}
	e.flags(cmd)
	f := cmd.Flags()
	f.StringVar(&since, "created-since", "", "only quotes made then or later, as 2026-03-01 (midnight UTC) or 2026-03-01T12:00:00Z")
	f.StringVar(&before, "created-before", "", "only quotes made before then")
	f.StringSliceVar(&states, "status", nil, "only quotes of this status, or of several with commas between: draft, issued, accepted, declined, expired, void")
	f.StringVar(&request.Office, "office", "", "only quotes of this office (default all that your key sees)")
	return cmd
}

// instant is a flag's time; nil where it is empty.
func instant(cmd *cobra.Command, flag, text string) (*timestamppb.Timestamp, error) {
	if text == "" {
		return nil, nil
	}
	for _, form := range []string{time.RFC3339, time.DateOnly} {
		if at, err := time.Parse(form, text); err == nil {
			return timestamppb.New(at), nil
		}
	}
	return nil, wrongUsef(cmd, "%s: expected a time such as 2026-03-01 or 2026-03-01T12:00:00Z, found %q", flag, text)
}

// exportedTime has microseconds, which is all that the database keeps.
const exportedTime = "2006-01-02T15:04:05.000000Z"

func readQuoteLines(ctx context.Context, conn *grpc.ClientConn, request *wattlev1.ExportQuoteLinesRequest, token string) (exportPage, *wattlev1.ExportQuoteLinesResponse, error) {
	request.PageToken = token
	answer, err := exports(conn).ExportQuoteLines(ctx, request)
	if err != nil {
		return exportPage{}, nil, err
	}
	page := exportPage{
		next: answer.GetNextPageToken(), total: answer.GetTotalQuotes(),
		facts: []export.Fact{{Name: "company", Value: strings.TrimPrefix(request.GetParent(), "companies/")}},
	}
	for _, l := range answer.GetLines() {
		page.rows = append(page.rows, quoteLineRow(l))
	}
	return page, answer, nil
}

// quoteLineRow is a line as a row of export.QuoteLines.
func quoteLineRow(q *wattlev1.ExportedQuoteLine) export.Row {
	l := q.GetLine()
	entryRevision := ""
	if l.GetEntryRevision() > 0 {
		entryRevision = strconv.FormatInt(l.GetEntryRevision(), 10)
	}
	return export.Row{
		q.GetQuote(), strconv.Itoa(int(q.GetLineNumber())), q.GetOffice(), stateName(q.GetState()), q.GetCreateTime().AsTime().Format(exportedTime), q.GetAsOf(),
		strconv.FormatInt(q.GetBookRevision(), 10), l.GetItem(), l.GetDescription(), l.GetCategory(), word("LINE_KIND_", l.GetKind()),
		l.GetQuantity(), l.GetUnit(), q.GetCurrency(), l.GetUnitPrice(), l.GetCost(), l.GetPrice(), l.GetTax(),
		l.GetSupplier(), l.GetEffectiveDate(), entryRevision, q.GetNetFeet(),
	}
}
