package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"wattle/internal/config"
)

func newConfig() *cobra.Command {
	cmd := group(&cobra.Command{
		Use:   "config",
		Short: "Say what can be set, and try a configuration file",
		Long: `What serve, work and migrate take as flags may also be variables of the
environment, or stand in one YAML file for all three, whose keys are the flags'
names:

  database-url: postgres://wattle_service@db.internal/wattle?passfile=/etc/wattle/pgpass
  listen: 0.0.0.0:7453
  tls-cert: /etc/wattle/tls.crt
  tls-key: /etc/wattle/tls.key
  job-timeout: 45s

--config or WATTLE_CONFIG names it. A flag wins over a variable, a variable over
the file; each command takes the keys that it has a flag for. Keys that no
command knows, keys given twice and values of another kind are refused, all at
once. Secrets are files that settings name: a password in a URL of the file is
refused.`,
		Example: `  wattle config reference
  wattle config check /etc/wattle/wattle.yaml
  wattle serve --config /etc/wattle/wattle.yaml`,
	})
	cmd.AddCommand(newConfigReference(), newConfigCheck())
	return cmd
}

func newConfigReference() *cobra.Command {
	return &cobra.Command{
		Use:     "reference",
		Short:   "Print every setting: key, variable, default, unit, meaning",
		Example: `  wattle config reference >CONFIGURATION.md`,
		Args:    takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			_, err := fmt.Fprint(cmd.OutOrStdout(), referencePage())
			return err
		},
	}
}

func newConfigCheck() *cobra.Command {
	return &cobra.Command{
		Use:   "check FILE",
		Short: "Say what is wrong with a configuration file, without starting anything",
		Example: `  wattle config check wattle.yaml
  wattle doctor --config wattle.yaml     # also tries what the file names`,
		Args: takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			if _, err := config.ReadFile(args[0], settings()); err != nil {
				return err
			}
			_, err := fmt.Fprintf(cmd.OutOrStdout(), "%s can be used.\n", args[0])
			return err
		},
	}
}

// referencePage is deploy/CONFIGURATION.md.
func referencePage() string {
	return `# Configuration

What ` + "`wattle config reference`" + ` prints; ` + "`go test ./cmd/wattle -run Reference -update`" + ` writes it here.

Each setting is a flag, a variable of the environment, and a key of the YAML file that ` + "`--config`" + ` or
` + "`" + config.Variable(config.FileFlag) + "`" + ` names. **A flag wins over a variable, a variable over the file.** What stands nearer also silences
what it excludes: ` + "`serve --local`" + ` does not look at a ` + "`database-url`" + ` of the file. One file serves ` + "`serve`, `work` and\n`migrate`" + `; each takes the keys that it has a flag for. Empty variables count as absent. A list is a list in YAML, a
repeated flag, and a variable with commas.

Keys that no command knows, keys given twice and values of another kind are refused, all at once and by line;
` + "`wattle config check FILE`" + ` does the same without starting anything, and ` + "`wattle doctor --config FILE`" + ` tries what the file
names. A variable that begins with ` + "`WATTLE_`" + ` and that nothing reads is a warning of the log. The file is for no secrets: keys
are files that it names, and a URL with a password in it is refused; ` + "`passfile`" + ` in the URL names a Postgres password file
(` + "`HOST:PORT:DATABASE:USER:PASSWORD`" + `, a line each, for its owner alone to read).

` + settings().Reference() + `
` + "`" + postgresBin + "`" + `, a variable alone, names the folder of initdb and postgres for ` + "`demo` and `serve --local`" + `. The client commands
have variables of their own, which their ` + "`--help`" + ` names.
`
}
