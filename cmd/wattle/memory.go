package main

import (
	"os"
	"runtime/debug"
)

// gcPercent lets the heap of a service grow fivefold before it is collected. What
// is live of it is small, some 11 MiB, so by Go's default, at twice that, a busy
// service would collect all the time: a fifth of its work. Near --memory-limit
// collecting gets eager again, whatever the percentage.
const gcPercent = 400

// tuneMemory is for a process that serves; who sets GOGC decides himself.
func tuneMemory() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(gcPercent)
	}
}

// freeStartup gives back what starting took and a service at rest does not need.
func freeStartup() { debug.FreeOSMemory() }
