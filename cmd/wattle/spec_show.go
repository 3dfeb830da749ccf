package main

import (
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"

	"buf.build/go/protoyaml"
	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

func newSpecShow(r *remote) *cobra.Command {
	var format string
	cmd := &cobra.Command{
		Use:   "show NAME[@VERSION]",
		Short: "Show a saved or standard spec, every default filled",
		Long: `Show a saved or standard spec, every default filled; without a version, the
newest. As text it is a job file without a site.`,
		Example: `  wattle spec show cedar-privacy@3 --company harrow
  wattle spec show standard/vertical-boards-6ft > job.yaml`,
		Args: takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, version, err := splitVersion(cmd, args[0])
			if err != nil {
				return err
			}
			if name, err = r.entryName(cmd, name); err != nil {
				return err
			}
			return r.callFor(cmd, name, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := specs(conn).GetSpec(ctx, &wattlev1.GetSpecRequest{Name: name, Version: version})
				switch {
				case err != nil:
					return err
				case format == asJSON:
					return printMessage(cmd.OutOrStdout(), answer.GetSavedSpec())
				}
				return printSpec(cmd.OutOrStdout(), answer.GetSavedSpec())
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print the spec", asText, asJSON)
	return cmd
}

// splitVersion takes the version off a name; 0 is the newest.
func splitVersion(cmd *cobra.Command, text string) (name string, version int32, err error) {
	name, number, versioned := strings.Cut(text, "@")
	if !versioned {
		return name, 0, nil
	}
	n, err := strconv.ParseInt(number, 10, 32)
	if err != nil || n < 1 {
		return "", 0, wrongUsef(cmd, "%q is not a version; expected a whole number from 1 after the @", number)
	}
	return name, int32(n), nil
}

// printSpec writes the spec as a job file, headed by what entry it is.
func printSpec(w io.Writer, s *wattlev1.SavedSpec) error {
	fmt.Fprintf(w, "# %s, version %d", s.GetName(), s.GetVersion())
	if s.GetTitle() != "" {
		fmt.Fprintf(w, ": %s", s.GetTitle())
	}
	if s.GetWithdrawn() {
		_, err := fmt.Fprintf(w, "\n# withdrawn; earlier versions can be read by their numbers\n")
		return err
	}
	fmt.Fprintf(w, "\n# rules version %d, SHA-256 %s\n", s.GetRulesVersion(), s.GetSha256())
	text, err := protoyaml.MarshalOptions{Indent: 2, UseProtoNames: true}.Marshal(&wattlev1.CreateQuoteRequest{Spec: s.GetSpec()})
	if err != nil {
		return err
	}
	_, err = w.Write(text)
	return err
}
