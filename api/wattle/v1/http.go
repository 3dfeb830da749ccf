// Package wattlev1 is the contract: the messages and services of the .proto
// files beside it, and how they are called over HTTP.
package wattlev1

import _ "embed"

// HTTPRules says how each RPC is called over HTTP: a google.api.Service in
// YAML, with a google.api.HttpRule for each.
//
//go:embed http.yaml
var HTTPRules []byte
