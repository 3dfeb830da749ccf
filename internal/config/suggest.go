package config

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"
)

// didYouMean names the known words nearest to one that is not; empty where none
// is near.
func didYouMean(word string, known []string) string {
	near := nearest(word, known)
	if len(near) == 0 {
		return ""
	}
	return "; did you mean " + strings.Join(near, " or ") + "?"
}

// nearest are the words a few letters away, or that begin so, as cobra finds
// commands.
func nearest(word string, known []string) []string {
	if slices.Contains(known, word) {
		return []string{word}
	}
	group := &cobra.Command{SuggestionsMinimumDistance: 2}
	for _, name := range known {
		group.AddCommand(&cobra.Command{Use: name, Run: func(*cobra.Command, []string) {}})
	}
	near := group.SuggestionsFor(word)
	slices.Sort(near)
	return near[:min(len(near), 3)]
}
