// Command wattle is the estimating service of a fence company, and its command
// line.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
	_ "time/tzdata" // an office's days are the same on a machine without time zones
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:])
	stop()
	os.Exit(code)
}

// run carries out one command line and says how it went as an exit code.
func run(ctx context.Context, args []string) int {
	root := newRoot()
	root.SetArgs(args)
	return report(os.Stderr, root.ExecuteContext(ctx))
}
