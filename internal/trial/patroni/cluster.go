package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"time"
)

const network = "wattle-patroni"

// What may befall a primary.
const (
	machine    = "machine"
	postmaster = "postmaster"
	freeze     = "freeze"
	thaw       = "thaw"
	cut        = "cut"
)

// cluster is the three nodes, as deploy/patroni/cluster starts them.
type cluster struct{ script string }

func (c *cluster) up(ctx context.Context, folder string) error {
	return loud(ctx, c.script, "up", folder)
}

func (c *cluster) down(ctx context.Context) error { return loud(ctx, c.script, "down") }

var nodes = []string{"n1", "n2", "n3"}

// member is a row of what a node says of the cluster.
type member struct{ name, role, state string }

// members asks the nodes in turn; one that is gone does not answer.
func (c *cluster) members(ctx context.Context, except string) ([]member, error) {
	var last error
	for _, node := range nodes {
		if node == except {
			continue
		}
		limited, cancel := context.WithTimeout(ctx, 5*time.Second)
		out, err := docker(limited, "exec", container(node), "patronictl", "-c", "patroni.yml", "list", "-f", "tsv")
		cancel()
		if err != nil {
			last = err
			continue
		}
		var all []member
		for line := range strings.Lines(out) {
			// Cluster, member, host, role, state, timeline, lag.
			if f := strings.Split(line, "\t"); len(f) > 5 && f[1] != "Member" {
				all = append(all, member{f[1], f[3], f[4]})
			}
		}
		return all, nil
	}
	return nil, fmt.Errorf("no node answers: %w", last)
}

func (c *cluster) leader(ctx context.Context) (string, error) {
	all, err := c.members(ctx, "")
	if err != nil {
		return "", err
	}
	for _, m := range all {
		if m.role == "Leader" && m.state == "running" {
			return m.name, nil
		}
	}
	return "", errors.New("the cluster has no leader")
}

// awaitLeader waits until another node than the old leader leads, or, where the
// old one may recover by itself, any; and says when that was.
func (c *cluster) awaitLeader(ctx context.Context, since time.Time, old string, another bool) (string, time.Duration, error) {
	except := ""
	if another {
		except = old
	}
	for time.Since(since) < 2*time.Minute {
		all, err := c.members(ctx, except)
		for _, m := range all {
			if err == nil && m.role == "Leader" && m.state == "running" && m.name != except {
				return m.name, time.Since(since), nil
			}
		}
		if err := sleep(ctx, 200*time.Millisecond); err != nil {
			return "", 0, err
		}
	}
	return "", 0, errors.New("nobody leads after two minutes")
}

// awaitComplete waits for a leader with two standbys, one of them synchronous.
func (c *cluster) awaitComplete(ctx context.Context) error {
	var all []member
	for start := time.Now(); time.Since(start) < 4*time.Minute; {
		var err error
		if all, err = c.members(ctx, ""); err == nil {
			count := map[string]int{}
			for _, m := range all {
				if m.state == "running" || m.state == "streaming" {
					count[m.role]++
				}
			}
			if count["Leader"] == 1 && count["Sync Standby"] == 1 && count["Replica"] == 1 {
				return nil
			}
		}
		if err := sleep(ctx, 500*time.Millisecond); err != nil {
			return err
		}
	}
	for _, node := range nodes {
		out, _ := docker(ctx, "logs", "--tail", "60", container(node)) // what there is of it
		fmt.Printf("%s says:\n%s\n", node, out)
	}
	return fmt.Errorf("the cluster is not complete after four minutes: %v", all)
}

// do has a fault befall a node, and gives what undoes it.
func (c *cluster) do(ctx context.Context, fault, node string) (undo func(context.Context) error, err error) {
	name := container(node)
	var forth, back []string
	switch fault {
	case machine:
		forth, back = []string{"kill", "--signal", "KILL", name}, []string{"start", name}
	case postmaster:
		forth = []string{"exec", name, "bash", "-c", "kill -KILL $(head -n 1 15/wattle/postmaster.pid)"}
	case freeze: // a watchdog resets a machine that stood still, before it runs on
		forth, back = []string{"pause", name}, []string{"restart", "--time", "0", name}
	case thaw:
		forth, back = []string{"pause", name}, []string{"unpause", name}
	case cut:
		forth, back = []string{"network", "disconnect", network, name}, []string{"network", "connect", "--alias", node, network, name}
	}
	if _, err := docker(ctx, forth...); err != nil {
		return nil, err
	}
	return func(ctx context.Context) error {
		if back == nil {
			return nil
		}
		_, err := docker(ctx, back...)
		return err
	}, nil
}

// howBack says whether a node had to be wound back to where the new primary's
// history branched off, by its log.
func (c *cluster) howBack(ctx context.Context, node string, since time.Time) string {
	out, err := docker(ctx, "logs", "--since", since.Add(-time.Second).Format(time.RFC3339), container(node))
	switch {
	case err != nil:
		return err.Error()
	case strings.Contains(out, "running pg_rewind"):
		return "by pg_rewind"
	default:
		return "without pg_rewind"
	}
}

func container(name string) string { return network + "-" + name }

// docker runs one command of it and gives all that it printed.
func docker(ctx context.Context, args ...string) (string, error) {
	return quiet(ctx, "docker", args...)
}

func quiet(ctx context.Context, program string, args ...string) (string, error) {
	var out bytes.Buffer
	cmd := exec.CommandContext(ctx, program, args...) //nolint:gosec // docker and our own programs, by names of our own
	cmd.Stdout, cmd.Stderr = &out, &out
	if err := cmd.Run(); err != nil {
		return out.String(), fmt.Errorf("%s %s: %w\n%s", program, strings.Join(args, " "), err, out.String())
	}
	return out.String(), nil
}

func loud(ctx context.Context, program string, args ...string) error {
	cmd := exec.CommandContext(ctx, program, args...) //nolint:gosec // docker and our own programs, by names of our own
	cmd.Stdout, cmd.Stderr = os.Stdout, os.Stderr
	return cmd.Run()
}
