package main

import (
	"context"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/catalog"
)

func newSpec() *cobra.Command {
	r := &remote{}
	cmd := group(&cobra.Command{
		Use:   "spec",
		Short: "Save specs under names, and read them and the standard ones",
		Long: `Save specs under names, and read them and the standard ones.

Each save of a changed spec is the next version of its entry; versions never
change. Job files name a spec in place of their own: saved_spec: cedar-privacy,
or a version of it, cedar-privacy@3. Standard specs need no service.`,
		Example: `  wattle spec save cedar-privacy job.yaml --company harrow
  wattle spec show standard/vertical-boards-6ft
  wattle spec list --company harrow --standard`,
	})
	r.flags(cmd)
	cmd.AddCommand(newSpecSave(r), newSpecShow(r), newSpecList(r), newSpecWithdraw(r))
	return cmd
}

func specs(conn *grpc.ClientConn) wattlev1.CatalogServiceClient {
	return wattlev1.NewCatalogServiceClient(conn)
}

// entryName takes an entry's full name, or its name within the company or among
// the standard ones.
func (r *remote) entryName(cmd *cobra.Command, name string) (string, error) {
	return r.named(cmd, "specs", name)
}

// ownName is entryName for commands that change an entry.
func (r *remote) ownName(cmd *cobra.Command, name string) (string, error) {
	if isStandard(name) {
		return "", wrongUsef(cmd, "%q is built in and stays as it is; choose a name of your own, such as cedar-privacy", name)
	}
	return r.entryName(cmd, name)
}

// callFor runs f with a connection to the service that knows the entry: the
// standard ones this process knows itself.
func (r *remote) callFor(cmd *cobra.Command, name string, f func(context.Context, *grpc.ClientConn) error) error {
	if isStandard(name) {
		return inProcess(cmd.Context(), func(conn *grpc.ClientConn) error { return f(cmd.Context(), conn) })
	}
	return r.call(cmd, f)
}

func isStandard(name string) bool { return strings.HasPrefix(name, catalog.StandardSpace) }
