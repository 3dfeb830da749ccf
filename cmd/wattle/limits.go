package main

import (
	"cmp"
	"math"
	"runtime"
	"runtime/debug"
	"time"

	"github.com/spf13/cobra"

	"wattle/internal/rpc"
)

// limitOptions are the flags that bound what callers may ask of a service, and
// what it takes of its machine.
type limitOptions struct {
	keys, addresses        rpc.Rate
	calls, bulk, watchers  int
	patience               time.Duration
	connections, memoryMiB int
}

// usualMemory is the limit where neither flag nor environment has another, in
// MiB. At rest a service takes some 65, and a job of 100,000 bays 120.
const usualMemory = 2048

func (o *limitOptions) flags(cmd *cobra.Command) {
	usual := rpc.DefaultLimits(runtime.GOMAXPROCS(0))
	f := cmd.Flags()
	f.Float64Var(&o.keys.PerSecond, "key-rate", usual.Keys.PerSecond, "calls that one key may make in a second; 0 is no limit")
	f.IntVar(&o.keys.Burst, "key-burst", usual.Keys.Burst, "calls that one key may make at once after a pause")
	f.Float64Var(&o.addresses.PerSecond, "address-rate", usual.Addresses.PerSecond, "calls in a second from one address whose key is not known to be good yet; 0 is no limit")
	f.IntVar(&o.addresses.Burst, "address-burst", usual.Addresses.Burst, "such calls at once after a pause")
	f.IntVar(&o.calls, "max-calls", 0, "calls worked on at once (default twice the cores, at least 4; with --local one more than the cores)")
	f.IntVar(&o.bulk, "max-bulk", 0, "imports and other long calls open at once (default as --max-calls, at least 4)")
	f.IntVar(&o.watchers, "max-watchers", 0, "calls that watch events open at once (default 64 for each of --max-calls)")
	f.DurationVar(&o.patience, "max-wait", usual.Patience, "how long a call waits to be worked on, a twentieth of it under lasting overload")
	f.IntVar(&o.connections, "max-connections", 4096, "connections on each address; further ones are closed at once; 0 is no limit")
	f.IntVar(&o.memoryMiB, "memory-limit", 0, "MiB of memory to stay within; from three quarters of it in use on, calls are refused (default GOMEMLIMIT, else 2048)")
}

// check names a flag that makes no sense.
func (o *limitOptions) check(cmd *cobra.Command) error {
	for _, flag := range []struct {
		name  string
		value float64
	}{
		{"key-rate", o.keys.PerSecond}, {"address-rate", o.addresses.PerSecond}, {"max-calls", float64(o.calls)}, {"max-bulk", float64(o.bulk)},
		{"max-watchers", float64(o.watchers)}, {"max-wait", o.patience.Seconds()}, {"max-connections", float64(o.connections)}, {"memory-limit", float64(o.memoryMiB)},
	} {
		if flag.value < 0 || math.IsNaN(flag.value) || math.IsInf(flag.value, 0) {
			return wrongUsef(cmd, "--%s: expected 0 or more, found %v", flag.name, flag.value)
		}
	}
	for _, flag := range []struct {
		name string
		rpc.Rate
	}{{"key", o.keys}, {"address", o.addresses}} {
		if flag.PerSecond > 0 && flag.Burst < 1 {
			return wrongUsef(cmd, "--%s-burst: expected 1 or more, found %d", flag.name, flag.Burst)
		}
	}
	return nil
}

// limits are what the server is told; local is whether the database shares its
// machine.
func (o *limitOptions) limits(local bool) rpc.Limits {
	cores := runtime.GOMAXPROCS(0)
	l := rpc.DefaultLimits(cores)
	switch {
	case o.calls > 0:
		l = l.WithWork(o.calls)
	case local:
		// The database works on the same cores: more at once would only make each slower.
		l = l.WithWork(cores + 1)
	}
	l.Keys, l.Addresses, l.Patience = o.keys, o.addresses, o.patience
	l.Bulk, l.Watchers = cmp.Or(o.bulk, l.Bulk), cmp.Or(o.watchers, l.Watchers)
	l.Memory = o.memory()
	return l
}

// memory sets the limit that the collector of garbage keeps to, and gives how
// much of it may be live before calls are refused: the rest is what calls that are
// open may still come to need.
func (o *limitOptions) memory() int64 {
	limit := debug.SetMemoryLimit(-1) // as the environment has it
	if o.memoryMiB > 0 || limit == math.MaxInt64 {
		limit = int64(cmp.Or(o.memoryMiB, usualMemory)) << 20
		debug.SetMemoryLimit(limit)
	}
	return limit / 4 * 3
}

// databaseConnections is how many the service has, so that no call that it works
// on waits for one: a call has one at a time. Two are for those who watch.
func databaseConnections(l rpc.Limits) int { return l.Work + l.Bulk + 2 }
