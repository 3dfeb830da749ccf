// Package spreadsheet keeps text that others wrote from being taken for a formula
// by the program that opens a file of cells.
package spreadsheet

import (
	"strings"
	"unicode/utf8"

	"github.com/govalues/decimal"
)

// actsUp are the characters by which a spreadsheet takes a cell for a formula, the
// wide forms among them, and the guard itself [OWASP, CSV Injection; from memory].
const actsUp = "=+-@\t\r\n＝＋－＠'"

// Guard makes text safe to open in a spreadsheet: an apostrophe goes before text
// that would be taken for a formula, and before text that begins with an
// apostrophe, so that Unguard gives back what went in. It is for columns of text.
func Guard(text string) string {
	first, _ := utf8.DecodeRuneInString(text)
	if text != "" && strings.ContainsRune(actsUp, first) {
		return "'" + text
	}
	return text
}

// Unguard takes away the apostrophe that Guard put before a text.
func Unguard(cell string) string { return strings.TrimPrefix(cell, "'") }

// Cell guards a cell that may be text or a number, which stays one, with its sign.
func Cell(cell string) string {
	if _, err := decimal.Parse(cell); err == nil {
		return cell
	}
	return Guard(cell)
}
