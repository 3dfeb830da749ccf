// Bench measures what the design promises, each figure beside the least that the
// same machine must do for it, and prints one table. The figures are Go
// benchmarks, of this folder and of others; what they print is kept as a text file
// that benchstat reads. See DEVELOPERS.md, "Benchmarks".
//
//	go run ./internal/bench                 # everything: about a quarter of an hour
//	go run ./internal/bench -short          # smaller books and lists: about five minutes
//	go run ./internal/bench -run 'quote|cost'
//	go run ./internal/bench -read bench.txt # the table of an earlier run
package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"time"
)

func main() {
	out := flag.String("out", "bench.txt", "file for the raw figures, which benchstat reads")
	read := flag.String("read", "", "print the table of a file of raw figures, and measure nothing")
	only := flag.String("run", "", "measure only rows whose work matches this regular expression")
	short := flag.Bool("short", false, "smaller books and lists, fewer rounds: to see whether it runs, not to be quoted")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, *out, *read, *only, *short); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(ctx context.Context, out, read, only string, short bool) error {
	wanted, err := regexp.Compile("(?i)" + only)
	if err != nil {
		return err
	}
	var raw []byte
	if read != "" {
		if raw, err = os.ReadFile(read); err != nil {
			return err
		}
	} else if raw, err = measureAll(ctx, wanted, short); err != nil {
		return err
	} else if err := os.WriteFile(out, raw, 0o600); err != nil {
		return err
	}
	figures, err := parse(bytes.NewReader(raw))
	if err != nil {
		return err
	}
	return table(os.Stdout, raw, figures, wanted)
}

// measureAll runs the benchmarks that the rows need, each once, and is what they
// print, after lines that say on what machine.
func measureAll(ctx context.Context, wanted *regexp.Regexp, short bool) ([]byte, error) {
	var raw bytes.Buffer
	both := io.MultiWriter(&raw, os.Stderr)
	if _, err := fmt.Fprint(both, machine(ctx, short)); err != nil {
		return nil, err
	}
	done := map[string]bool{}
	var failed error
	for _, r := range rows {
		for _, s := range r.of {
			if !wanted.MatchString(r.work) || done[s.bench] {
				continue
			}
			done[s.bench] = true
			if err := s.measure(ctx, both, short); err != nil {
				failed = errors.Join(failed, fmt.Errorf("%s: %w", s.bench, err))
			}
		}
	}
	return raw.Bytes(), failed
}

// machine describes where and when, as benchstat's configuration lines.
func machine(ctx context.Context, short bool) string {
	commit, _ := exec.CommandContext(ctx, "git", "describe", "--always", "--dirty").Output()
	postgres, _ := exec.CommandContext(ctx, "psql", "--version").Output()
	load, _ := os.ReadFile("/proc/loadavg")
	return fmt.Sprintf("date: %s\ncommit: %s\ncores: %d\ngo: %s\npostgres: %s\nload-before: %s\nshort: %t\n", time.Now().UTC().Format(time.DateOnly),
		bytes.TrimSpace(commit), runtime.NumCPU(), runtime.Version(), strings.TrimSpace(string(postgres)), strings.Join(strings.Fields(string(load))[:min(3, len(strings.Fields(string(load))))], " "), short)
}

// suite is one run of go test -bench.
type suite struct {
	pkg, bench        string // benchmarks, as -bench takes them
	times, shortTimes string // -benchtime
	env, shortEnv     string
	count             int // of runs of each, if more than one
}

func (s suite) measure(ctx context.Context, w io.Writer, short bool) error {
	times, env := s.times, s.env
	if short {
		times, env = s.shortTimes, s.shortEnv
	}
	cmd := exec.CommandContext(ctx, "go", "test", s.pkg, "-run", "^$", "-bench", s.bench, "-benchtime", times, "-count", strconv.Itoa(max(1, s.count)), "-timeout", "2h", "-v") //nolint:gosec // from the table below
	cmd.Env = append(os.Environ(), strings.Fields(env)...)
	cmd.Stdout, cmd.Stderr = w, os.Stderr
	return cmd.Run()
}
