package rpc

import (
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/keepalive"
)

// Limits bound how often and how much at once callers may call. Where one is
// zero there is no such limit; DefaultLimits are a service's.
//
// What calls hold in memory is bounded by them together. A call that is open
// may have sent a message of MaxRequest bytes, which compressed stands beside
// its plain form; so at most (Calls + Bulk + Watchers + Strangers + Probes) x 2
// x MaxRequest are held of requests, and decoded ones beside. One that was not
// let in yet holds the window of its stream.
type Limits struct {
	// Keys is how often one key may call, Addresses how often one address may
	// call with keys that were not shown to be good lately, or with none.
	Keys, Addresses Rate
	// Work is how many calls are worked on at once; others wait for up to
	// Patience. It belongs to the number of connections to the database, for
	// which a call should not have to wait.
	Work     int
	Patience time.Duration
	// Calls is how many unary calls may be open at once, whether they are being
	// read, wait or are worked on; Watchers how many streams that only watch.
	Calls, Watchers int
	// Bulk is how many long calls, such as imports, are worked on at once.
	Bulk int
	// Strangers is how many calls may be open whose key is not known to be good
	// yet, Probes how many of health and reflection. Half of them are for one
	// address.
	Strangers, Probes int
	// Reading is how long the message of a unary call may take to come.
	Reading time.Duration
	// Memory is how many bytes may be live after a collection of garbage; while
	// there are more, no further call is let in.
	Memory int64
}

// Rate is how often something may happen: a burst, refilled by so many a second.
type Rate struct {
	PerSecond float64
	Burst     int
}

// DefaultLimits are for a service on so many cores. Those of memory are for
// whoever knows the machine.
func DefaultLimits(cores int) Limits {
	return Limits{
		Keys: Rate{100, 300}, Addresses: Rate{10, 200},
		Patience: 100 * time.Millisecond, Reading: 30 * time.Second,
	}.WithWork(max(4, 2*cores))
}

// WithWork are limits whose numbers of calls go with how many are worked on at
// once.
func (l Limits) WithWork(work int) Limits {
	l.Work, l.Bulk = work, max(4, work)
	l.Calls, l.Watchers, l.Strangers, l.Probes = 16*work, 64*work, max(8, 4*work), 64
	return l
}

// Windows of flow control: how much of a message comes in before somebody reads
// it. They are fixed, since the library's own way lets them grow to 16 MiB.
const (
	streamWindow     = 256 << 10
	connectionWindow = 1 << 20
)

// workers is how many goroutines stay to answer calls one after the other: their
// stacks have grown by then, which for a new one of each call takes as long as a
// tenth of a count. More calls at once have goroutines of their own.
const workers = 16

// connections are the options that bound what a connection costs and how long
// it stays.
func connections() []grpc.ServerOption {
	return []grpc.ServerOption{
		grpc.NumStreamWorkers(workers),
		grpc.ConnectionTimeout(10 * time.Second), // TLS and the first settings
		grpc.ReadBufferSize(8 << 10),             // of each connection, idle ones too; for writing they share
		grpc.StaticStreamWindowSize(streamWindow),
		grpc.StaticConnWindowSize(connectionWindow),
		grpc.KeepaliveParams(keepalive.ServerParameters{
			MaxConnectionIdle: 5 * time.Minute,
			// So that callers spread over services that were added. No call is cut
			// off by it: none lasts longer than the grace.
			MaxConnectionAge:      30 * time.Minute,
			MaxConnectionAgeGrace: longest + time.Minute,
			Time:                  time.Minute, // a caller who vanished is found out by a ping
			Timeout:               20 * time.Second,
		}),
		grpc.KeepaliveEnforcementPolicy(keepalive.EnforcementPolicy{MinTime: 10 * time.Second, PermitWithoutStream: true}),
	}
}
