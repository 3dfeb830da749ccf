package main

import (
	"errors"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// TestMain makes the test binary a wattle as well: scripts and tests run it as
// a process of its own.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"wattle": main})
}

// TestScript runs the command line as a user does. $DEMO is the folder of the
// demo's files; no variable of ours is set.
func TestScript(t *testing.T) {
	demo, err := filepath.Abs("../../testdata/demo")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(env *testscript.Env) error {
			env.Setenv("DEMO", demo)
			for _, name := range []string{"WATTLE_SERVER", "WATTLE_COMPANY", "WATTLE_DATABASE_URL", "WATTLE_KEY_FILE", "WATTLE_CA_FILE", "WATTLE_OPERATOR_KEY_FILE"} {
				env.Setenv(name, "")
			}
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits},
	})
}

// exits runs a program and checks its exit code: exits 2 wattle layout.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE PROGRAM ARGUMENT...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		failed, ok := errors.AsType[*exec.ExitError](err)
		if !ok {
			ts.Fatalf("%v", err)
		}
		got = failed.ExitCode()
	}
	if got != want {
		ts.Fatalf("%v exited with %d, want %d", args[1:], got, want)
	}
}
