package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	wattlev1 "wattle/api/wattle/v1"
)

// printLargest says why the n lines of largest cost are what they are.
func printLargest(w io.Writer, q *wattlev1.Quote, n int) error {
	type line struct {
		*wattlev1.QuoteLine
		cost decimal.Decimal
	}
	var lines []line
	for _, l := range q.GetLines() {
		cost, err := decimal.Parse(l.GetCost())
		if err != nil {
			return fmt.Errorf("the cost of %s: %w", l.GetDescription(), err)
		}
		lines = append(lines, line{l, cost})
	}
	slices.SortStableFunc(lines, func(a, b line) int { return b.cost.Cmp(a.cost) })
	for i, l := range lines[:min(n, len(lines))] {
		if i > 0 {
			fmt.Fprintln(w)
		}
		fmt.Fprintf(w, "%d. %s: %s %s at %s %s = %s\n", i+1, l.GetDescription(),
			l.GetQuantity(), l.GetUnit(), amount(l.GetUnitPrice()), q.GetCurrency(), amount(l.GetCost()))
		for _, t := range q.GetTakeoff().GetLines() {
			if t.GetItem() != l.GetItem() {
				continue
			}
			for _, step := range t.GetDerivation().GetSteps() {
				printWrapped(w, "   -", step.GetSentence())
			}
		}
		if l.GetSupplier() != "" {
			printWrapped(w, "   -", fmt.Sprintf("The price is that of %s from %s on, learned in book revision %d.",
				l.GetSupplier(), l.GetEffectiveDate(), l.GetEntryRevision()))
		}
	}
	return nil
}

// pageWidth is where the service's own texts wrap too.
const pageWidth = 90

// printWrapped writes a sentence as an item behind a bullet, which may be empty.
func printWrapped(w io.Writer, bullet, sentence string) {
	indent := strings.Repeat(" ", len([]rune(bullet)))
	line, words := bullet, 0
	for word := range strings.FieldsSeq(sentence) {
		if words > 0 && len([]rune(line))+1+len([]rune(word)) > pageWidth {
			fmt.Fprintln(w, line)
			line, words = indent, 0
		}
		if line != "" && (words > 0 || bullet != "") {
			line += " "
		}
		line += word
		words++
	}
	fmt.Fprintln(w, line)
}
