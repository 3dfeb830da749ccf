package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/spf13/cobra"
)

func newDemo() *cobra.Command {
	var out string
	var fetch fetching
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Price a back yard of an invented company, on this machine alone",
		Long: `Price a back yard of an invented company: import its price list, make a quote,
say why its largest lines are what they are, price other fences for the same
yard side by side, look for its cheapest bays, price the job half a year later,
say what moved the cost of a foot, and prove that the first quote still replays.

The demo needs no configuration and no network, unless --fetch-postgres lets it
fetch a Postgres for a machine that has none. It runs the real service on a
temporary private Postgres, talks to it as any client would, and writes
plan.svg, elevation.svg, crew-sheet.svg, crew-sheet.pdf, proposal.pdf, movers.svg,
takeoff.csv, quote.txt and options.txt to a folder.`,
		Example: `  wattle demo
  wattle demo --out /tmp/yard`,
		Args: takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			bin, err := fetch.bin(cmd.Context(), func(version string) { fmt.Fprintln(cmd.ErrOrStderr(), "fetching Postgres "+version) })
			if err != nil {
				return err
			}
			dir, err := demoFolder(out)
			if err != nil {
				return err
			}
			if err := runDemo(cmd.Context(), cmd.OutOrStdout(), dir, bin); err != nil {
				if out == "" {
					_ = os.Remove(dir) // it goes only while it is empty
				}
				return err
			}
			return nil
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "folder for the documents (default a fresh wattle-demo here)")
	fetch.flags(cmd)
	return cmd
}

// mostDemoFolders is how many demos one folder keeps before it should be
// tidied.
const mostDemoFolders = 100

// demoFolder makes the folder that was asked for, or a fresh one here.
func demoFolder(asked string) (string, error) {
	if asked != "" {
		return asked, os.MkdirAll(asked, 0o750)
	}
	for i := range mostDemoFolders {
		name := "wattle-demo"
		if i > 0 {
			name = fmt.Sprintf("wattle-demo-%d", i+1)
		}
		if err := os.Mkdir(name, 0o750); !errors.Is(err, fs.ErrExist) {
			return name, err
		}
	}
	return "", fmt.Errorf("there are %d demo folders here already; name one with --out", mostDemoFolders)
}
