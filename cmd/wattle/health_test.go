package main

import (
	"strings"
	"syscall"
	"testing"
)

// A probe says whether a service answers, secured or not, and needs no key.
func TestHealth(t *testing.T) {
	cert, key := certificate(t, t.TempDir(), 1)
	s := start(t, "--local", "--data-dir", dataDir(t), "--tls-cert", cert, "--tls-key", key)
	ask := func(want int, says string, args ...string) {
		t.Helper()
		out, errs := wattle(t, want, append([]string{"health", "--server", s.address}, args...)...)
		if !strings.Contains(out+errs, says) {
			t.Errorf("health %v says %q, want %q", args, out+errs, says)
		}
	}
	ask(exitDone, "SERVING", "--ca-file", cert)
	ask(exitDone, "SERVING", "--ca-file", cert, "--server-name", "127.0.0.1")
	ask(exitFailed, "does not answer", "--ca-file", cert, "--server-name", "estimates.example.com")
	ask(exitFailed, "does not answer", "--tls")
	ask(exitFailed, "does not answer")
	if err := s.stop(t, syscall.SIGTERM); err != nil {
		t.Error(err)
	}
	ask(exitFailed, "does not answer", "--ca-file", cert)
}
