package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

// errTampered ends a verification that found something wrong.
var errTampered = errors.New("the price book is not what it was")

func newPricesVerify(r *remote) *cobra.Command {
	var format string
	var expect []string
	cmd := &cobra.Command{
		Use:   "verify",
		Short: "Compute every hash of the book anew and say what is wrong",
		Long: `Compute every hash of the price book anew, of every revision and every office,
and hold against them the heads that quotes have seen. Heads that you know from
outside, as import and resolve print them, are given with --expect: who may write
the whole database can compute its hashes anew as well, but not yours. Where
anything is wrong, the first bad revision is named and the exit code is 1.`,
		Example: `  wattle prices verify --company harrow
  wattle prices verify --company harrow --expect 3:5f1c...e2`,
		Args: takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			parent, err := r.parent(cmd)
			if err != nil {
				return err
			}
			request := &wattlev1.VerifyHistoryRequest{Parent: parent}
			for _, text := range expect {
				head, err := readExpected(text)
				if err != nil {
					return wrongUse(cmd, err)
				}
				request.Expected = append(request.Expected, head)
			}
			if !cmd.Flags().Changed("timeout") {
				r.timeout = importTimeout
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				report, err := verifyHistory(ctx, conn, request, cmd.ErrOrStderr())
				if err != nil {
					return err
				}
				if format == asJSON {
					err = printMessage(cmd.OutOrStdout(), report)
				} else {
					err = printReport(cmd.OutOrStdout(), report, len(expect))
				}
				if err == nil && !report.GetIntact() {
					err = errTampered
				}
				return err
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print what was found", asText, asJSON)
	cmd.Flags().StringArrayVar(&expect, "expect", nil, "a head that is known from outside, as REVISION:HASH (repeatable)")
	return cmd
}

func readExpected(text string) (*wattlev1.ExpectedHead, error) {
	number, hash, ok := strings.Cut(text, ":")
	revision, err := strconv.ParseInt(number, 10, 64)
	if !ok || err != nil {
		return nil, fmt.Errorf("--expect %q: expected REVISION:HASH, such as 3:5f1c...e2 with all 64 digits", text)
	}
	return &wattlev1.ExpectedHead{Revision: revision, Hash: hash}, nil
}

// verifyHistory shows how far the check is and answers what it found.
func verifyHistory(ctx context.Context, conn *grpc.ClientConn, request *wattlev1.VerifyHistoryRequest, w io.Writer) (*wattlev1.VerifyHistoryResponse_Report, error) {
	stream, err := prices(conn).VerifyHistory(ctx, request)
	if err != nil {
		return nil, err
	}
	var bar *progress
	defer func() { bar.end() }()
	var read int64
	for {
		part, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			return nil, errors.New("the service ended the check without a report")
		}
		if err != nil {
			return nil, err
		}
		if report := part.GetReport(); report != nil {
			return report, nil
		}
		p := part.GetProgress()
		if bar == nil {
			bar = newBar(w, p.GetTotalEntries())
		}
		bar.add(int(p.GetEntries() - read))
		read = p.GetEntries()
	}
}

func printReport(w io.Writer, r *wattlev1.VerifyHistoryResponse_Report, expected int) error {
	fmt.Fprintf(w, "Book revision %d, hash %s\n%d rows of %d revisions read, the heads of %d quotes and %d expected compared.\n",
		r.GetRevision(), r.GetHeadHash(), r.GetEntries(), r.GetRevision(), r.GetQuotes(), expected)
	if r.GetIntact() {
		_, err := fmt.Fprintln(w, "Intact: every hash follows from the rows.")
		return err
	}
	fmt.Fprintf(w, "NOT INTACT. The first bad revision is %d.\n", r.GetFirstBadRevision())
	for _, p := range r.GetProblems() {
		printWrapped(w, "   -", p.GetText())
	}
	if more := r.GetProblemCount() - int64(len(r.GetProblems())); more > 0 {
		fmt.Fprintf(w, "   and %d more\n", more)
	}
	return nil
}
