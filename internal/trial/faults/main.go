// Faults runs the service and its Postgres as processes of their own, puts the
// load of internal/trial/driver on them and breaks something: a process, the
// database's patience, its disk, or the network between the two. Of each case it
// prints what was done, what became of the calls meanwhile, whether readiness told
// the truth, how soon calls were acknowledged again, and what the comparison with
// the ledger found; at the end a table. It exits with 1 where a promise is broken.
//
//	go run ./internal/trial/faults [-case NAME,...] [-repeat N]
//
// It needs Go and a Postgres installed; some cases need root, and say so where they
// cannot run. Everything is on loopback, or in a network namespace of its own, and
// is removed at the end.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"text/tabwriter"
	"time"
)

func main() {
	// In a namespace this program is the far end of the line.
	if len(os.Args) == 4 && os.Args[1] == forwardWord {
		exit(forward(os.Args[2], os.Args[3]))
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	err := command(ctx)
	stop()
	exit(err)
}

func exit(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, "faults:", err)
		os.Exit(1)
	}
	os.Exit(0)
}

func command(ctx context.Context) error {
	only := flag.String("case", "", "names of the cases to run, separated by commas (default all)")
	repeat := flag.Int("repeat", 1, "how often to run each")
	list := flag.Bool("list", false, "list the cases and end")
	program := flag.String("wattle", "", "the service's program (default built from this module)")
	keep := flag.Bool("keep", false, "keep the folder with logs and ledgers of cases that went well, too")
	verbose := flag.Bool("v", false, "print each second of the load")
	clients := flag.Int("clients", 4, "concurrent clients")
	flag.Parse()
	chosen, err := choose(*only)
	if err != nil {
		return err
	}
	if *list {
		for _, c := range cases {
			fmt.Printf("%-22s %s\n", c.name, c.what)
		}
		return nil
	}
	// Postgres runs as another user where we are root, so the folder is passable.
	dir, err := os.MkdirTemp("", "wattle-faults-")
	if err != nil {
		return err
	}
	if err := os.Chmod(dir, 0o711); err != nil { //nolint:gosec // see above; nothing in it can be listed
		return err
	}
	if *program == "" {
		*program = filepath.Join(dir, "wattle")
		build := exec.CommandContext(ctx, "go", "build", "-o", *program, "wattle/cmd/wattle") //nolint:gosec // our own program, into our own folder
		build.Stderr = os.Stderr
		if err := build.Run(); err != nil {
			return fmt.Errorf("build the service: %w", err)
		}
	}
	fmt.Printf("machine: %s/%s, %d cores, %s; %d clients, try %s\n", runtime.GOOS, runtime.GOARCH, runtime.NumCPU(), runtime.Version(), *clients, try)
	var results []result
	for round := range *repeat {
		for _, c := range chosen {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			results = append(results, run(ctx, c, settings{
				dir: filepath.Join(dir, fmt.Sprintf("%s-%d", c.name, round+1)), program: *program, clients: *clients, verbose: *verbose,
			}))
		}
	}
	bad := slices.ContainsFunc(results, func(r result) bool { return len(r.broken) > 0 })
	missed := 0
	for _, r := range results {
		if r.notRun != "" {
			missed++
		}
	}
	table(results)
	if bad || *keep {
		fmt.Println("logs and ledgers:", dir)
	} else if err := os.RemoveAll(dir); err != nil {
		return err
	}
	switch {
	case bad:
		return errors.New("a promise is broken")
	case missed > 0:
		fmt.Printf("%d OF %d CASES WERE NOT RUN; what they try is not shown.\n", missed, len(results))
	}
	return nil
}

func choose(only string) ([]fault, error) {
	if only == "" {
		return cases, nil
	}
	var chosen []fault
	for name := range strings.SplitSeq(only, ",") {
		i := slices.IndexFunc(cases, func(c fault) bool { return c.name == name })
		if i < 0 {
			return nil, fmt.Errorf("there is no case %q; -list lists them", name)
		}
		chosen = append(chosen, cases[i])
	}
	return chosen, nil
}

// table prints a line for each result.
func table(results []result) {
	fmt.Println()
	out := tabwriter.NewWriter(os.Stdout, 0, 0, 2, ' ', 0)
	// Seconds to not ready are from the fault's beginning, the next three from its end.
	fmt.Fprintln(out, "case\tfault s\tnot ready\tready\tanswer\tlast failure\tfailed tries\tacknowledged\tlost\twrong\tpromises")
	for _, r := range results {
		if r.notRun != "" {
			fmt.Fprintf(out, "%s\t\t\t\t\t\t\t\t\t\tNOT RUN: %s\n", r.name, r.notRun)
			continue
		}
		word := "kept"
		if len(r.broken) > 0 {
			word = "BROKEN"
		}
		fmt.Fprintf(out, "%s\t%.1f\t%s\t%s\t%s\t%s\t%d\t%d\t%d\t%d\t%s\n", r.name, r.lasted.Seconds(), seconds(r.unreadyAfter), seconds(r.readyAfter), seconds(r.answeredAfter), seconds(r.settledAfter), r.failed, r.acknowledged, r.lost, r.wrong, word)
	}
	_ = out.Flush() // a terminal that went away has nobody left to tell
}

// seconds prints a duration, or a dash where there was none.
func seconds(d *time.Duration) string {
	if d == nil {
		return "-"
	}
	return fmt.Sprintf("%.1f", d.Seconds())
}
