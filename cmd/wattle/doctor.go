package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"
	healthv1 "google.golang.org/grpc/health/grpc_health_v1"

	"wattle/internal/localpg"
)

func newDoctor() *cobra.Command {
	return &cobra.Command{
		Use:   "doctor",
		Short: "Say what is missing on this machine, and how to get it",
		Long: `Try what the other commands need, and say what is missing and how to get it.
Exits 1 where something that is needed is missing.`,
		Example: `  wattle doctor`,
		Args:    takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return diagnose(cmd.Context(), cmd.OutOrStdout())
		},
	}
}

// finding is what an examination found: a sentence, and whether something is
// missing that was asked for.
type finding struct {
	state, text string
}

const (
	fine    = "ok"
	unused  = "-"
	missing = "MISSING"
)

func diagnose(ctx context.Context, w io.Writer) error {
	lacking := 0
	for _, examine := range []struct {
		what string
		look func(context.Context) finding
	}{
		{"private Postgres (demo, serve --local)", privatePostgres},
		{"database (serve)", ownDatabase},
		{"service (quote, prices)", runningService},
	} {
		f := examine.look(ctx)
		if f.state == missing {
			lacking++
		}
		if _, err := fmt.Fprintf(w, "%-7s  %s: %s\n", f.state, examine.what, f.text); err != nil {
			return err
		}
	}
	switch lacking {
	case 0:
		return nil
	case 1:
		return errors.New("one thing is missing")
	default:
		return fmt.Errorf("%d things are missing", lacking)
	}
}

// privatePostgres starts one: nothing less shows that it can run here.
func privatePostgres(ctx context.Context) finding {
	ctx, cancel := context.WithTimeout(ctx, time.Minute)
	defer cancel()
	start := time.Now()
	db, err := openLocal(ctx, "")
	if err != nil {
		return finding{missing, err.Error()}
	}
	took := time.Since(start).Round(100 * time.Millisecond)
	if err := db.Close(); err != nil {
		return finding{missing, err.Error()}
	}
	dir, err := localpg.DefaultDir()
	if err != nil {
		return finding{missing, err.Error()}
	}
	return finding{fine, fmt.Sprintf("starts with its schema in %s; serve --local keeps its data in %s", took, dir)}
}

func ownDatabase(ctx context.Context) finding {
	url := environment("WATTLE_DATABASE_URL", "")
	if url == "" {
		return finding{unused, "WATTLE_DATABASE_URL is not set; serve needs it or --database-url, unless it runs with --local"}
	}
	ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
	defer cancel()
	store, err := openDatabase(ctx, url)
	if err != nil {
		return finding{missing, "WATTLE_DATABASE_URL: " + describe(err)}
	}
	store.Close()
	return finding{fine, "WATTLE_DATABASE_URL answers, and its schema fits"}
}

func runningService(ctx context.Context) finding {
	address := environment("WATTLE_SERVER", "")
	state := missing
	if address == "" {
		address, state = defaultAddress, unused
	}
	ctx, cancel := context.WithTimeout(ctx, 3*time.Second)
	defer cancel()
	conn, err := dial(address, "")
	if err != nil {
		return finding{missing, err.Error()}
	}
	defer func() { _ = conn.Close() }() // nothing is pending
	answer, err := healthv1.NewHealthClient(conn).Check(ctx, &healthv1.HealthCheckRequest{})
	switch {
	case err != nil:
		return finding{state, "none answers at " + address + "; start one with `wattle serve --local`"}
	case answer.GetStatus() != healthv1.HealthCheckResponse_SERVING:
		return finding{missing, "the one at " + address + " says " + answer.GetStatus().String()}
	default:
		return finding{fine, "one answers at " + address}
	}
}
