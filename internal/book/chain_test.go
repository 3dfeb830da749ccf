package book

import (
	"fmt"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"
)

// Computed apart from this code: the four lines that Head.Next documents,
// through SHA-256 in another language.
func TestChainKnownValue(t *testing.T) {
	rail := entry("rail-2x4x8 2026-03-01 6.480,100:6.10")
	rail.Description = "2x4 rail, 8 ft"
	gone := entry("rail-2x4x8 2026-04-01 withdrawn")
	gone.Supplier = `acme "A"`
	var head Head
	for _, step := range []struct {
		rows []Entry
		hash string
	}{
		{[]Entry{gone, rail}, "c86d652b052eae116d7b20ac8d2070a4c0f2644f6f557b399b5c208cc6ea59bb"},
		{[]Entry{gone}, "769294b84a7463ef363d241c3d80d07289193e1b7154a3a86d802aae7862b6d4"},
	} {
		head = head.Next("harrow", ContentHash(step.rows))
		if got := fmt.Sprintf("%x", head.Hash); got != step.hash {
			t.Errorf("revision %d: %s, want %s", head.Revision, got, step.hash)
		}
	}
}

// Whatever is changed in a row of any revision, and another company's name,
// changes that head and every later one, and none before.
func TestChainShowsAnyChange(t *testing.T) {
	edits := map[string]func(*Entry){
		"item":        func(e *Entry) { e.Item += "x" },
		"office":      func(e *Entry) { e.Office += "x" },
		"supplier":    func(e *Entry) { e.Supplier += "x" },
		"date":        func(e *Entry) { e.Effective = e.Effective.AddDays(1) },
		"state":       func(e *Entry) { e.State += "x" },
		"description": func(e *Entry) { e.Description += "x" },
		"currency":    func(e *Entry) { e.Currency += "X" },
		"unit":        func(e *Entry) { e.Unit += "x" },
		"pack":        func(e *Entry) { e.Pack = decimal.MustParse("77") },
		"break":       func(e *Entry) { e.Breaks = append(e.Breaks, Break{decimal.Ten, decimal.One}) },
		"price":       func(e *Entry) { e.Breaks = []Break{{Price: decimal.MustParse("77")}} },
	}
	rapid.Check(t, func(t *rapid.T) {
		revision := rapid.SliceOfNDistinct(rapid.Custom(anyEntry), 1, 4, Entry.slot)
		book := rapid.SliceOfN(revision, 1, 5).Draw(t, "book")
		was := heads("harrow", book)
		at := rapid.IntRange(0, len(book)-1).Draw(t, "revision")
		row := rapid.IntRange(0, len(book[at])-1).Draw(t, "row")
		good := book[at][row]
		for name, edit := range edits {
			book[at][row] = good
			edit(&book[at][row])
			for i, head := range heads("harrow", book) {
				if (head == was[i]) != (i < at) {
					t.Fatalf("%s changed in revision %d: head %d was %x, is %x", name, at+1, i+1, was[i].Hash, head.Hash)
				}
			}
		}
		book[at][row] = good
		for i, head := range heads("harrow2", book) {
			if head == was[i] {
				t.Fatalf("another company has the same head %d", i+1)
			}
		}
	})
}

// heads are the heads after each revision.
func heads(company string, book [][]Entry) []Head {
	all := make([]Head, len(book))
	var head Head
	for i, rows := range book {
		head = head.Next(company, ContentHash(rows))
		all[i] = head
	}
	return all
}
