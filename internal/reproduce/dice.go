package main

import (
	"math/rand/v2"

	"wattle/internal/measure"
)

// dice draw what a job is made of. Draws come from PCG, whose numbers are fixed
// by its definition, and become choices by a remainder alone: the same seed
// and number make the same job on every machine and by every release of Go.
type dice struct{ source *rand.PCG }

// diceOf are those of one job, so that each can be made without the ones before
// it.
func diceOf(seed, number uint64) *dice { return &dice{rand.NewPCG(seed, number)} }

// below is 0 to n - 1.
func (d *dice) below(n int) int { return int(d.source.Uint64() % uint64(n)) }

// between is a whole number from least to most.
func (d *dice) between(least, most int) int { return least + d.below(most-least+1) }

// one reports a chance of one in n.
func (d *dice) one(n int) bool { return d.below(n) == 0 }

// length is between two lengths, to the grain.
func (d *dice) length(least, most, grain measure.Length) measure.Length {
	return least + grain*measure.Length(d.source.Uint64()%uint64((most-least)/grain+1))
}

// of is one of several.
func of[T any](d *dice, all ...T) T { return all[d.below(len(all))] }
