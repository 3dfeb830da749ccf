package main

import (
	"fmt"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"wattle/internal/postgres"
)

func newMigrate() *cobra.Command {
	var url, adminURL string
	var names postgres.Roles
	cmd := &cobra.Command{
		Use:   "migrate",
		Short: "Make the roles and bring the database's schema up to date",
		Long: `Bring a database's schema up to date, connecting as the owner of its tables, and
grant the service and worker roles what they may do. With --admin-url the roles
that are missing are made first. Doing it again changes nothing.`,
		Example: `  wattle migrate --owner-database-url postgres://wattle_owner@db.internal/wattle \
      --admin-url postgres://postgres@db.internal/wattle`,
		Args: takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if url == "" {
				return wrongUsef(cmd, "name the database, as its owner, with --owner-database-url (or WATTLE_OWNER_DATABASE_URL)")
			}
			if adminURL != "" {
				if err := postgres.EnsureRoles(cmd.Context(), adminURL, names); err != nil {
					return err
				}
			}
			if err := postgres.Migrate(cmd.Context(), url, names); err != nil {
				return err
			}
			_, err := fmt.Fprintln(cmd.OutOrStdout(), "The database is up to date.")
			return err
		},
	}
	f := cmd.Flags()
	// What it was called when serve's was called the same.
	f.SetNormalizeFunc(func(_ *pflag.FlagSet, name string) pflag.NormalizedName {
		if name == "database-url" {
			name = "owner-database-url"
		}
		return pflag.NormalizedName(name)
	})
	f.StringVar(&url, "owner-database-url", "", "database of the owner role (WATTLE_OWNER_DATABASE_URL)")
	f.StringVar(&adminURL, "admin-url", "", "the same database as an administrator, to make missing roles")
	defaults := postgres.Roles{}.WithDefaults()
	f.StringVar(&names.Owner, "owner-role", defaults.Owner, "role that owns the tables")
	f.StringVar(&names.Service, "service-role", defaults.Service, "role of the service")
	f.StringVar(&names.Worker, "worker-role", defaults.Worker, "role of background work")
	return configured(cmd)
}
