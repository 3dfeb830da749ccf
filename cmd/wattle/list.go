package main

import (
	"cmp"
	"context"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"
)

// mostPage is the largest page that the service gives.
const mostPage = 1000

// paged is an answer with one page of a list.
type paged interface{ GetNextPageToken() string }

// everyPage takes page after page, until one names no next.
func everyPage[P paged](ask func(token string) (P, error), take func(P)) error {
	for token := ""; ; {
		page, err := ask(token)
		if err != nil {
			return err
		}
		take(page)
		if token = page.GetNextPageToken(); token == "" {
			return nil
		}
	}
}

// newList is a command that prints a whole list as a table.
func newList[P paged](r *remote, cmd *cobra.Command, columns []string,
	ask func(ctx context.Context, conn *grpc.ClientConn, parent, token string) (P, error), add func(*table, P),
) *cobra.Command {
	var format string
	cmd.Use, cmd.Args = cmp.Or(cmd.Use, "list"), takes(cobra.NoArgs)
	cmd.RunE = func(cmd *cobra.Command, _ []string) (err error) {
		parent := ""
		if !r.operator {
			if parent, err = r.parent(cmd); err != nil {
				return err
			}
		}
		return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
			t := newTable(columns...)
			err := everyPage(func(token string) (P, error) { return ask(ctx, conn, parent, token) }, func(page P) { add(t, page) })
			if err != nil {
				return err
			}
			return t.print(cmd.OutOrStdout(), format)
		})
	}
	choose(cmd, &format, "format", asText, "how to print the list", asText, asCSV)
	return cmd
}
