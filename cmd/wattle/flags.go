package main

import (
	"fmt"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"
)

// choice is a flag that takes one of a few words.
type choice struct {
	words []string
	value *string
}

func (c choice) String() string {
	if c.value == nil {
		return ""
	}
	return *c.value
}

func (c choice) Type() string { return strings.Join(c.words, "|") }

func (c choice) Set(word string) error {
	if !slices.Contains(c.words, word) {
		return fmt.Errorf("expected %s", strings.Join(c.words, ", "))
	}
	*c.value = word
	return nil
}

// choose adds a flag that takes one of a few words; def may be none of them.
func choose(cmd *cobra.Command, value *string, name, def, help string, words ...string) {
	*value = def
	cmd.Flags().Var(choice{words, value}, name, help)
	// The flag exists, so the completion cannot be refused.
	_ = cmd.RegisterFlagCompletionFunc(name, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp))
}

// environment is the variable's value, or def where it is not set.
func environment(name, def string) string {
	if value := os.Getenv(name); value != "" {
		return value
	}
	return def
}
