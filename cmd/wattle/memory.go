package main

import (
	"cmp"
	"os"
	"runtime/debug"
)

// A service's live heap is small, some 11 MiB, so by Go's default, which collects
// whenever it has doubled, a busy one would collect all the time: a fifth of its
// work. Letting it grow fivefold costs some tens of megabytes; the limit is where
// collecting gets eager again, so that a few very large jobs at once do not come to
// five times their size. Who sets GOGC or GOMEMLIMIT decides instead.
const (
	gcPercent   = 400
	memoryLimit = 1 << 30
)

// tuneMemory sets both, for a process that serves.
func tuneMemory() {
	if cmp.Or(os.Getenv("GOGC"), os.Getenv("GOMEMLIMIT")) != "" {
		return
	}
	debug.SetGCPercent(gcPercent)
	debug.SetMemoryLimit(memoryLimit)
}

// freeStartup gives back what starting took and a service at rest does not need.
func freeStartup() { debug.FreeOSMemory() }
