package main

import (
	"log/slog"

	"github.com/spf13/cobra"

	"wattle/internal/correlate"
)

func newWork() *cobra.Command {
	var o workerOptions
	var adminAddress string
	cmd := &cobra.Command{
		Use:   "work",
		Short: "Work off the jobs that calls leave behind, until stopped",
		Long: `Work off the jobs that calls leave behind, such as telling webhooks of events,
until SIGTERM or SIGINT, then finish the running ones. Any number may run beside
each other, on any machine; ` + "`wattle serve`" + ` has workers of its own, unless it is
told --workers 0. It connects as the worker role. Logs are JSON on standard
error.`,
		Example: `  WATTLE_WORKER_DATABASE_URL=postgres://wattle_worker@db.internal/wattle wattle work \
      --webhook-key-file /etc/wattle/webhook.keys`,
		Args: takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			switch {
			case o.databaseURL == "":
				return wrongUsef(cmd, "name the database, as the worker role, with --worker-database-url (or WATTLE_WORKER_DATABASE_URL)")
			case o.count < 1:
				return wrongUsef(cmd, "--workers: expected at least 1, found %d", o.count)
			}
			guard, err := o.guard()
			if err != nil {
				return wrongUse(cmd, err)
			}
			log := correlate.Logger(slog.New(slog.NewJSONHandler(cmd.ErrOrStderr(), nil)))
			if o.view, err = openOperatorView(cmd.Context(), "wattle-work", adminAddress, log); err != nil {
				return wrongUse(cmd, err)
			}
			defer o.view.Close()
			o.alone = true
			return o.run(cmd.Context(), guard, log)
		},
	}
	o.flags(cmd)
	cmd.Flags().StringVar(&adminAddress, "admin-listen", "", adminHelp)
	return configured(cmd)
}
