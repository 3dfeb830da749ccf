// Package demo is the job, the options and the two price lists that `wattle demo` shows: an
// invented company, an invented yard, invented prices.
package demo

import _ "embed"

// Job is a CreateQuoteRequest as YAML.
//
//go:embed job.yaml
var Job []byte

// Options is the list of options of a CompareOptionsRequest as YAML.
//
//go:embed options.yaml
var Options []byte

// March and September are price lists, half a year apart.
var (
	//go:embed prices-2026-03.csv
	March []byte
	//go:embed prices-2026-09.csv
	September []byte
)
