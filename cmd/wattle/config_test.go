package main

import (
	"flag"
	"os"
	"testing"

	"github.com/spf13/pflag"
)

var update = flag.Bool("update", false, "rewrite deploy/CONFIGURATION.md")

// The reference in deploy is what the program prints.
func TestReferenceIsCurrent(t *testing.T) {
	const file = "../../deploy/CONFIGURATION.md"
	if *update {
		if err := os.WriteFile(file, []byte(referencePage()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	page, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if string(page) != referencePage() {
		t.Errorf("%s is not current: run go test ./cmd/wattle -run Reference -update", file)
	}
}

// One file serves several commands, so a flag of one name is one setting.
func TestFlagsOfOneNameAreOneSetting(t *testing.T) {
	first := map[string]*pflag.Flag{}
	for _, flags := range []*pflag.FlagSet{newServe().Flags(), newWork().Flags(), newMigrate().Flags()} {
		flags.VisitAll(func(f *pflag.Flag) {
			g := first[f.Name]
			if g == nil {
				first[f.Name] = f
				return
			}
			if f.Usage != g.Usage || f.DefValue != g.DefValue || f.Value.Type() != g.Value.Type() {
				t.Errorf("--%s is %q (%s) in one command and %q (%s) in another", f.Name, f.Usage, f.DefValue, g.Usage, g.DefValue)
			}
		})
	}
}
