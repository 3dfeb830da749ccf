package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"time"
)

// mostTold bounds the list of quotes that differ.
const mostTold = 20

// target is a machine that quotes are computed for.
type target struct {
	name string
	env  []string // of the build
	run  []string // what runs it, before the program; none: the machine itself
}

// targets are the two levels of amd64, and arm64 once with every feature that
// the emulator knows and once as a plain processor of the first generation.
func targets(emulator string) []target {
	amd := []string{"GOARCH=amd64", "CGO_ENABLED=0"}
	arm := []string{"GOARCH=arm64", "CGO_ENABLED=0"}
	all := []target{
		{"amd64 v1", append(amd, "GOAMD64=v1"), nil},
		{"amd64 v3", append(amd, "GOAMD64=v3"), nil},
	}
	if runtime.GOARCH == "arm64" {
		return append(all, target{"arm64", arm, nil})
	}
	return append(all,
		target{"arm64 max", arm, []string{emulator, "-cpu", "max"}},
		target{"arm64 cortex-a53", arm, []string{emulator, "-cpu", "cortex-a53"}})
}

// compareAll builds this program for each target, runs all of them, and holds
// every line of each against the first's.
func compareAll(ctx context.Context, to io.Writer, j jobs, all []target) error {
	w := bufio.NewWriter(to)
	dir, err := os.MkdirTemp("", "reproduce-")
	if err != nil {
		return err
	}
	defer func() { _ = os.RemoveAll(dir) }()
	var first []string
	differ := 0
	for i, t := range all {
		start := time.Now()
		lines, err := t.lines(ctx, j, filepath.Join(dir, fmt.Sprintf("reproduce-%d", i)))
		if errors.Is(err, errNoLevel) && i > 0 {
			fmt.Fprintf(w, "%-17s not run: this processor has no such level\n", t.name)
			continue
		}
		if err != nil {
			return fmt.Errorf("%s: %w", t.name, err)
		}
		fmt.Fprintf(w, "%-17s %s  [%s]\n", t.name, lines[len(lines)-1], time.Since(start).Round(time.Second))
		if i == 0 {
			first = lines
		}
		told, err := tell(w, all[0].name, first, t.name, lines)
		if err := errors.Join(err, w.Flush()); err != nil {
			return err
		}
		differ += told
	}
	if differ > 0 {
		return fmt.Errorf("%d answers differ; see one with -first NUMBER -n 1 -documents on both", differ)
	}
	fmt.Fprintln(w, "identical everywhere")
	return w.Flush()
}

// tell names the jobs of which two machines say different things, and counts
// them.
func tell(w *bufio.Writer, name string, lines []string, otherName string, other []string) (int, error) {
	if len(lines) != len(other) {
		return 0, fmt.Errorf("%s printed %d lines, %s %d", name, len(lines), otherName, len(other))
	}
	differ := 0
	for i := range len(lines) - 1 { // the last is the total
		if lines[i] == other[i] {
			continue
		}
		if differ++; differ <= mostTold {
			fmt.Fprintf(w, "differs\n  %s: %s\n  %s: %s\n", name, lines[i], otherName, other[i])
		}
	}
	return differ, nil
}

var errNoLevel = errors.New("the processor lacks the level of amd64")

// lines builds the program for the target and has it compute the jobs.
func (t target) lines(ctx context.Context, j jobs, program string) ([]string, error) {
	build := exec.CommandContext(ctx, "go", "build", "-o", program, "wattle/internal/reproduce") //nolint:gosec // in a folder of our own
	build.Env = append(os.Environ(), t.env...)
	if out, err := build.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("build: %w\n%s", err, out)
	}
	args := append(t.run, program, "-each", "-seed", fmt.Sprint(j.seed), "-first", fmt.Sprint(j.first), "-n", fmt.Sprint(j.n))
	run := exec.CommandContext(ctx, args[0], args[1:]...) //nolint:gosec // what was built, by the emulator that the flag names
	var told strings.Builder
	run.Stderr = &told
	out, err := run.Output()
	if errors.Is(err, exec.ErrNotFound) {
		return nil, fmt.Errorf("%w: on Debian and its kin, apt-get install qemu-user-static", err)
	}
	switch {
	case err != nil && strings.Contains(told.String(), "microarchitecture support"): // the runtime's own words
		return nil, errNoLevel
	case err != nil:
		return nil, fmt.Errorf("%w\n%s", err, told.String())
	}
	var lines []string
	for s := bufio.NewScanner(strings.NewReader(string(out))); s.Scan(); {
		lines = append(lines, s.Text())
	}
	if uint64(len(lines)) != j.n+1 {
		return nil, fmt.Errorf("it printed %d lines; %d and a total are expected", len(lines), j.n)
	}
	return lines, nil
}
