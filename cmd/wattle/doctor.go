package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"wattle/internal/config"
)

// doctor examines what serve would use, with the settings that serve would have.
type doctor struct {
	serveOptions
	ownerURL string
}

func newDoctor() *cobra.Command {
	var d doctor
	var format string
	cmd := &cobra.Command{
		Use:   "doctor",
		Short: "Say what is missing on this machine, and how to get it",
		Long: `Try what the service needs, and say what is missing and how to get it: a
Postgres for demo and serve --local, or the databases of the service, of the
workers and of the owner; key and certificate files; ports; disk. It takes what
serve takes, from flags, variables and the file that --config names, and changes
nothing. No secret is ever shown.

Exits 1 where something that is needed is missing. A warning is none.`,
		Example: `  wattle doctor
  wattle doctor --config /etc/wattle/wattle.yaml --format json`,
		Args: takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			findings := []finding{d.settings(cmd)}
			for _, look := range []func(context.Context) []finding{
				d.privatePostgres, d.databases, d.disk, d.keyFiles, d.certificate, d.ports, runningService,
			} {
				findings = append(findings, look(cmd.Context())...)
			}
			if err := tell(cmd.OutOrStdout(), format, findings); err != nil {
				return err
			}
			return lacking(findings)
		},
	}
	d.flags(cmd)
	cmd.Flags().StringVar(&d.ownerURL, "owner-database-url", "", "database of the owner role (WATTLE_OWNER_DATABASE_URL)")
	choose(cmd, &format, "format", asText, "how to print the findings", asText, asJSON)
	configFlag(cmd)
	return cmd
}

// finding is what an examination found, and what to do about it.
type finding struct {
	What  string `json:"what"`
	State state  `json:"state"`
	Found string `json:"found"`
	Do    string `json:"do,omitempty"`
}

// state is how much a finding matters.
type state string

const (
	fine    state = "ok"
	unused  state = "unused"  // nothing was asked for
	warning state = "warning" // it works, and should be looked at
	missing state = "missing" // the service cannot do what it is told to
)

func found(what string, s state, format string, args ...any) finding {
	return finding{What: what, State: s, Found: fmt.Sprintf(format, args...)}
}

// but is the finding with what to do.
func (f finding) but(format string, args ...any) finding {
	f.Do = fmt.Sprintf(format, args...)
	return f
}

// tell prints the findings; in text those that ask for something stand out.
func tell(w io.Writer, format string, findings []finding) error {
	if format == asJSON {
		out := json.NewEncoder(w)
		out.SetEscapeHTML(false)
		out.SetIndent("", "  ")
		return out.Encode(struct {
			Findings []finding `json:"findings"`
		}{findings})
	}
	marks := map[state]string{fine: "ok", unused: "-", warning: "WARNING", missing: "MISSING"}
	var b strings.Builder
	for _, f := range findings {
		fmt.Fprintf(&b, "%-7s  %s: %s\n", marks[f.State], f.What, f.Found)
		if f.Do != "" {
			fmt.Fprintf(&b, "         -> %s\n", f.Do)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func lacking(findings []finding) error {
	n := 0
	for _, f := range findings {
		if f.State == missing {
			n++
		}
	}
	switch n {
	case 0:
		return nil
	case 1:
		return errors.New("one thing is missing")
	default:
		return fmt.Errorf("%d things are missing", n)
	}
}

// settings reads the file and the variables; what comes after looks at what they
// say. A file that is wrong is left out whole.
func (d *doctor) settings(cmd *cobra.Command) finding {
	const what = "settings"
	if err := configure(cmd.Flags()); err != nil {
		return found(what, missing, "%v", err).but("put the lines right; `wattle config reference` lists every setting")
	}
	if told := config.Unknown(os.Environ(), variables()); len(told) > 0 {
		return found(what, warning, "%s", strings.Join(told, "; ")).but("correct the names, or unset them")
	}
	if path := config.FilePath(cmd.Flags(), os.LookupEnv); path != "" {
		return found(what, fine, "%s can be used", path)
	}
	return found(what, unused, "no file is named; flags and variables alone count")
}
