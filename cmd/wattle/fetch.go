package main

import (
	"context"

	"github.com/spf13/cobra"

	"wattle/internal/fetchpg"
)

// fetching is whether a Postgres is fetched for a machine that has none.
type fetching struct{ fetchpg.Options }

func (o *fetching) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&o.Repository, "fetch-postgres", "", "fetch Postgres "+fetchpg.Version+" once and use it: from "+fetchpg.Public+", or =URL of a mirror in Maven's layout (default never)")
	f.Lookup("fetch-postgres").NoOptDefVal = fetchpg.Public
	f.StringVar(&o.SHA256, "fetch-postgres-sha256", "", "SHA-256 that the fetched archive must have (default what the repository states)")
}

// bin is the folder of Postgres's programs; empty where they are the machine's
// own. Where something is fetched, say is told first.
func (o *fetching) bin(ctx context.Context, say func(version string)) (string, error) {
	if o.Repository == "" {
		return "", nil
	}
	if _, cached, err := o.Cached(); err == nil && !cached {
		say(fetchpg.Version)
	}
	return fetchpg.Fetch(ctx, o.Options)
}
