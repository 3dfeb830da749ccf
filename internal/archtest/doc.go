// Package archtest keeps the shape of the tree: which package may import
// which, with the reason of each rule. The rules are the tables in
// rules_test.go; there is no code to call.
package archtest
