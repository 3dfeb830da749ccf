package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

func newSpecSave(r *remote) *cobra.Command {
	var format, requestID, title, office string
	cmd := &cobra.Command{
		Use:   "save NAME FILE",
		Short: "Save the spec of a job file as the next version of an entry",
		Long: `Save the spec of a job file as the next version of an entry, every default
filled. Where the newest version is the same, nothing is saved. The name is
lower-case words joined by hyphens. "-" reads the file from standard input.`,
		Example: `  wattle spec save cedar-privacy job.yaml --company harrow --title "Cedar privacy, 6 ft"
  wattle spec show standard/vertical-boards-6ft | wattle spec save privacy - --company harrow`,
		Args: takes(cobra.ExactArgs(2)),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, err := r.ownName(cmd, args[0])
			if err != nil {
				return err
			}
			data, err := readFile(cmd.InOrStdin(), args[1], maxJobBytes)
			if err != nil {
				return err
			}
			job, err := decodeJob(args[1], data, measured{"spec"})
			if err != nil {
				return err
			}
			if job.GetSpec() == nil {
				return fmt.Errorf("%s: expected a spec to save, found none", args[1])
			}
			if requestID == "" {
				requestID = newRequestID()
			}
			fmt.Fprintln(cmd.ErrOrStderr(), "request id", requestID)
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := specs(conn).SaveSpec(ctx, &wattlev1.SaveSpecRequest{
					Name: name, RequestId: requestID, Title: title, Office: office, Spec: job.GetSpec(),
				})
				switch {
				case err != nil:
					return err
				case format == asJSON:
					return printMessage(cmd.OutOrStdout(), answer)
				}
				return printVersion(cmd.OutOrStdout(), answer.GetSavedSpec(), answer.GetApplied(), "saved")
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print what was saved", asText, asJSON)
	cmd.Flags().StringVar(&title, "title", "", "a title for people (default: the spec's name)")
	cmd.Flags().StringVar(&office, "office", "", "the office it belongs to (default: main, the company's own)")
	cmd.Flags().StringVar(&requestID, "request-id", "", "makes a repeated call safe (default: a fresh one, which is printed)")
	return cmd
}

func newSpecWithdraw(r *remote) *cobra.Command {
	var requestID string
	cmd := &cobra.Command{
		Use:   "withdraw NAME",
		Short: "Withdraw an entry: lists leave it out, its versions stay readable",
		Long: `Withdraw an entry: lists leave it out, its versions stay readable, and jobs may
still name them. Saving a spec under the name brings the entry back.`,
		Example: `  wattle spec withdraw cedar-privacy --company harrow`,
		Args:    takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, err := r.ownName(cmd, args[0])
			if err != nil {
				return err
			}
			if requestID == "" {
				requestID = newRequestID()
			}
			fmt.Fprintln(cmd.ErrOrStderr(), "request id", requestID)
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := specs(conn).WithdrawSpec(ctx, &wattlev1.WithdrawSpecRequest{Name: name, RequestId: requestID})
				if err != nil {
					return err
				}
				return printVersion(cmd.OutOrStdout(), answer.GetSavedSpec(), answer.GetApplied(), "withdrawn")
			})
		},
	}
	cmd.Flags().StringVar(&requestID, "request-id", "", "makes a repeated call safe (default: a fresh one, which is printed)")
	return cmd
}

// printVersion says what was done, or that it was so already.
func printVersion(w io.Writer, s *wattlev1.SavedSpec, applied bool, done string) error {
	if !applied {
		done += " already, nothing was stored"
	}
	_, err := fmt.Fprintf(w, "%s, version %d: %s\n", s.GetName(), s.GetVersion(), done)
	return err
}
