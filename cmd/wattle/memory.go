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

// startPercent keeps a start, which throws away three times what it leaves, from
// leaving that strewn over a heap of its size: what then is at rest lies closer, on
// 7 MiB less.
const startPercent = 30

// tuneStart is for a process that is about to serve, and tuneServing once it is ready
// to; who sets GOGC decides himself.
func tuneStart() { collectAt(startPercent) }

// tuneServing gives back what starting took and a service at rest does not need.
func tuneServing() {
	debug.FreeOSMemory()
	collectAt(gcPercent)
}

func collectAt(percent int) {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(percent)
	}
}
