// Package paper makes the documents that a fence company hands over, as PDF:
// proposal, crew sheet, cut list, order list and price letter. It changes no
// number: words, tables and drawings are internal/render's. The same input gives
// the same bytes in the same binary: dates come from the quote, fonts are
// embedded, and nothing depends on a clock or on map order.
//
// Words of papers are English. A locale decides how numbers and dates are
// written (locale.go), measures in which units lengths are told. Texts of
// cautions and names stand as they were given.
package paper
