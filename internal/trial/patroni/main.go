// Patroni is the trial of high availability: a cluster of three nodes in
// containers (deploy/patroni/cluster), two services before it, one that reaches
// the primary through HAProxy and one that knows all three nodes, each under the
// load of internal/trial/driver. Round by round the primary is done away with,
// and once another has taken its place comes back and follows. At the end each
// service is held against the ledger of its load. It exits with 1 where a promise
// is broken. Needs docker and Go, and about three minutes for three rounds.
//
//	deploy/patroni/trial
//	deploy/patroni/trial -faults machine,postmaster,freeze -rounds 6
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

func main() {
	rounds := flag.Int("rounds", 3, "how often the primary is done away with")
	faults := flag.String("faults", "machine", "what befalls it, in turns: machine (kill -9 of all of it), postmaster (of Postgres alone), cut (from the network for 45 s), freeze (for 45 s, then reset as by a watchdog), thaw (the same without a watchdog, which is not safe)")
	clients := flag.Int("clients", 4, "clients of each service")
	image := flag.String("image", "wattle:latest", "image of the service; built where it is this one")
	seconds := flag.Bool("seconds", false, "print what became of the load second by second")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	err := try(ctx, plan{*rounds, strings.Split(*faults, ","), *clients, *image, *seconds})
	if err != nil {
		fmt.Fprintln(os.Stderr, "patroni:", err)
		stop()
		os.Exit(1) //nolint:gocritic // nothing is left to be done
	}
}

// plan is what the flags say.
type plan struct {
	rounds  int
	faults  []string
	clients int
	image   string
	seconds bool
}

func try(ctx context.Context, p plan) (err error) {
	for _, f := range p.faults {
		if !slices.Contains([]string{machine, postmaster, cut, freeze, thaw}, f) {
			return fmt.Errorf("-faults: there is no %q", f)
		}
	}
	if _, err := docker(ctx, "network", "inspect", network); err == nil { // it would be taken down at the end
		return errors.New("there is a cluster of that name already: deploy/patroni/cluster down")
	}
	folder, err := os.MkdirTemp("", "wattle-patroni-")
	if err != nil {
		return err
	}
	c := &cluster{script: "deploy/patroni/cluster"}
	s := &services{folder: folder, image: p.image}
	defer func() {
		undo, cancel := context.WithTimeout(context.WithoutCancel(ctx), time.Minute)
		defer cancel()
		err = errors.Join(err, s.down(undo), c.down(undo), os.RemoveAll(folder))
	}()

	say("Start the cluster, migrate, start the services")
	if err := c.up(ctx, folder); err != nil {
		return err
	}
	loads, err := s.up(ctx, p.clients)
	if err != nil {
		return err
	}
	running, end := context.WithCancel(ctx)
	defer end()
	for _, l := range loads {
		l.start(running)
	}
	if err := sleep(ctx, 5*time.Second); err != nil {
		return err
	}
	for round := range p.rounds {
		fault := p.faults[round%len(p.faults)]
		if err := befall(ctx, c, fault, round+1, loads); err != nil {
			return err
		}
	}
	say("The load ends; each service is held against its ledger")
	end()
	broken := false
	for _, l := range loads {
		ok, err := l.finish(ctx, p.seconds)
		if err != nil {
			return fmt.Errorf("%s: %w", l.name, err)
		}
		broken = broken || !ok
	}
	if broken {
		return errors.New("a promise is broken")
	}
	fmt.Println("\nNothing acknowledged was lost, nothing was done twice, every quote replays.")
	return nil
}

// befall does away with the primary, and says how long each load went without
// an acknowledgement.
func befall(ctx context.Context, c *cluster, fault string, round int, loads []*load) error {
	old, err := c.leader(ctx)
	if err != nil {
		return err
	}
	say("Round %d: %s of the primary, %s", round, fault, old)
	for _, l := range loads {
		l.mark()
	}
	at := time.Now()
	undo, err := c.do(ctx, fault, old)
	if err != nil {
		return err
	}
	next, took, err := c.awaitLeader(ctx, at, old, fault != postmaster)
	if err != nil {
		return err
	}
	fmt.Printf("%s leads after %.1f s\n", next, took.Seconds())
	for _, l := range loads {
		if err := l.awaitAcknowledged(ctx, at); err != nil {
			return err
		}
	}
	if fault == freeze || fault == thaw || fault == cut { // until the old primary, which thinks it is one, is long past its time
		if err := sleep(ctx, time.Until(at.Add(45*time.Second))); err != nil {
			return err
		}
	}
	back := time.Now()
	if err := undo(ctx); err != nil {
		return err
	}
	if err := c.awaitComplete(ctx); err != nil {
		return err
	}
	fmt.Printf("%s is back as a standby %.1f s after it was let, %s\n", old, time.Since(back).Seconds(), c.howBack(ctx, old, back))
	if err := sleep(ctx, 3*time.Second); err != nil {
		return err
	}
	for _, l := range loads {
		l.report(at)
	}
	return nil
}

func say(format string, args ...any) {
	fmt.Printf("\n== %s  [%s]\n", fmt.Sprintf(format, args...), time.Now().Format("15:04:05"))
}

func sleep(ctx context.Context, d time.Duration) error {
	select {
	case <-time.After(d):
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func read(folder, name string) (string, error) {
	text, err := os.ReadFile(filepath.Join(folder, name))
	return strings.TrimSpace(string(text)), err
}
