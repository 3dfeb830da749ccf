//go:build !linux

package postgres

import "syscall"

// endSilence is left to the system's own patience, and to the probes of an idle
// connection.
func endSilence(string, string, syscall.RawConn) error { return nil }
