package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"strings"

	"buf.build/go/protoyaml"
	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

// maxActualsBytes is the largest record of a job that is read.
const maxActualsBytes = 1 << 20

func newActuals() *cobra.Command {
	r := &remote{}
	cmd := group(&cobra.Command{
		Use:   "actuals",
		Short: "Record what finished jobs really used, and learn from it",
		Long: `Record what finished jobs really used and how long they took, hold it against
what was estimated, and see what the rates of work should have been. Neither a quote
nor the price book changes by any of it.`,
		Example: `  wattle actuals record finished.yaml --company harrow
  wattle actuals summary --company harrow --by crew,task --from 2026-01-01
  wattle actuals suggest --company harrow --effective 2026-07-01 --format csv >rates.csv`,
	})
	r.flags(cmd)
	cmd.AddCommand(newActualsRecord(r), newActualsShow(r), newActualsList(r), newActualsCompare(r), newActualsSummary(r), newActualsSuggest(r))
	return cmd
}

func actualsService(conn *grpc.ClientConn) wattlev1.ActualsServiceClient {
	return wattlev1.NewActualsServiceClient(conn)
}

func newActualsRecord(r *remote) *cobra.Command {
	var format, quote, requestID, etag string
	cmd := &cobra.Command{
		Use:   "record FILE",
		Short: "Record what a finished job used, or correct that",
		Long: `Record what a finished job used. The file is a RecordActualsRequest as YAML or
JSON; "-" reads it from standard input:

  quote: 0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41
  finished_on: "2026-05-12"
  crew: crew-2
  hours: "41.5"
  materials:
    - {item: gravel, quantity: "1.5", unit: yd3}
    - {item: board-1x6-6ft, quantity: "301", unit: each}

Hours are counted as the quote counts them: by tasks those of one person, else those
of the whole crew. In place of hours a file may have tasks, as in
tasks: [{task: holes, hours: "14.5"}]. What is left out was not recorded; a quantity
of 0 says that none was used. Of a job with change orders, name the newest accepted
quote. To correct a record, name its etag, which show prints.`,
		Example: `  wattle actuals record finished.yaml --company harrow
  wattle actuals record corrected.yaml --company harrow --etag 1`,
		Args: takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			data, err := readFile(cmd.InOrStdin(), args[0], maxActualsBytes)
			if err != nil {
				return err
			}
			request := &wattlev1.RecordActualsRequest{}
			// What the flags may give is checked by the service, with the rest.
			if err := (protoyaml.UnmarshalOptions{Path: args[0]}).Unmarshal(data, request); err != nil {
				return err
			}
			if request.Quote, err = r.quoteName(cmd, cmp.Or(quote, request.GetQuote())); err != nil {
				return err
			}
			request.Etag = cmp.Or(etag, request.GetEtag())
			request.RequestId = cmp.Or(requestID, request.GetRequestId(), newRequestID())
			fmt.Fprintln(cmd.ErrOrStderr(), "request id", request.GetRequestId())
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := actualsService(conn).RecordActuals(ctx, request)
				if err != nil {
					return err
				}
				return printActuals(cmd.OutOrStdout(), answer.GetActuals(), format)
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print what was recorded", asText, asJSON, asCSV)
	cmd.Flags().StringVar(&quote, "quote", "", "the newest accepted `quote` of the job (default: the file's)")
	cmd.Flags().StringVar(&etag, "etag", "", "correct the record that has this etag (default: the file's, else a first record)")
	cmd.Flags().StringVar(&requestID, "request-id", "", "makes a repeated call safe (default: the file's, else a fresh one, which is printed)")
	return cmd
}

func newActualsShow(r *remote) *cobra.Command {
	var format string
	var version int32
	cmd := &cobra.Command{
		Use:   "show QUOTE",
		Short: "Show what the job of a quote used",
		Example: `  wattle actuals show 0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41 --company harrow
  wattle actuals show 0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41 --company harrow --version 1`,
		Args: takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, err := r.quoteName(cmd, args[0])
			if err != nil {
				return err
			}
			request := &wattlev1.GetActualsRequest{Quote: name}
			if cmd.Flags().Changed(versionFlag) {
				request.Version = &version
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := actualsService(conn).GetActuals(ctx, request)
				if err != nil {
					return err
				}
				return printActuals(cmd.OutOrStdout(), answer.GetActuals(), format)
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print it", asText, asJSON, asCSV)
	cmd.Flags().Int32Var(&version, versionFlag, 0, "this version of it (default the newest)")
	return cmd
}

// versionFlag is which version of a record.
const versionFlag = "version"

func printActuals(w io.Writer, a *wattlev1.Actuals, format string) error {
	if format == asJSON {
		return printMessage(w, a)
	}
	t := newTable("kind", "name", ">quantity", "unit", ">paid")
	for _, m := range a.GetMaterials() {
		t.add("material", m.GetItem(), m.GetQuantity(), m.GetUnit(), m.GetPaid())
	}
	for _, task := range a.GetTasks() {
		t.add("task", task.GetTask(), task.GetHours(), "hour", "")
	}
	if a.GetHours() != "" {
		t.add("labour", hoursOfWhom(a.GetHoursOf()), a.GetHours(), "hour", a.GetLabourPaid())
	}
	if format == asCSV {
		return t.print(w, asCSV)
	}
	if err := t.text(w); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w, "\n%s by %s, finished on %s; version %d, etag %s.\n", a.GetQuote(), a.GetCrew(), a.GetFinishedOn(), a.GetVersion(), a.GetEtag())
	return err
}

func hoursOfWhom(of wattlev1.HoursOf) string {
	if of == wattlev1.HoursOf_HOURS_OF_UNSPECIFIED {
		return ""
	}
	return "of " + strings.ToLower(strings.TrimPrefix(of.String(), "HOURS_OF_"))
}

// finishedWhen are the flags that select finished jobs.
type finishedWhen struct{ from, to, office, crew string }

func (f *finishedWhen) flags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.from, "from", "", "finished on this day or later, as 2026-01-01")
	cmd.Flags().StringVar(&f.to, "to", "", "finished on this day or before")
	cmd.Flags().StringVar(&f.office, "office", "", "of this office and those under it (default all that your key sees)")
	cmd.Flags().StringVar(&f.crew, "crew", "", "of this crew")
}

func newActualsList(r *remote) *cobra.Command {
	var when finishedWhen
	cmd := newList(r, &cobra.Command{
		Short:   "List finished jobs, the last finished first",
		Example: `  wattle actuals list --company harrow --from 2026-01-01 --crew crew-2 --format csv`,
	}, []string{"job", "quote", "office", "crew", "finished", "version", "recorded", "by"},
		func(ctx context.Context, conn *grpc.ClientConn, parent, token string) (*wattlev1.ListActualsResponse, error) {
			return actualsService(conn).ListActuals(ctx, &wattlev1.ListActualsRequest{
				Parent: parent, PageSize: mostPage, PageToken: token, FromDate: when.from, ToDate: when.to, Office: when.office, Crew: when.crew,
			})
		}, func(t *table, page *wattlev1.ListActualsResponse) {
			for _, a := range page.GetActuals() {
				t.add(a.GetJob(), a.GetQuote(), a.GetOffice(), a.GetCrew(), a.GetFinishedOn(), fmt.Sprint(a.GetVersion()), stamp(a.GetCreateTime()), a.GetRecordedBy())
			}
		})
	when.flags(cmd)
	return cmd
}
