package book

import (
	"errors"
	"fmt"
	"iter"
	"slices"
	"strings"
	"testing"

	"wattle/internal/fault"
)

func records(all ...Record) iter.Seq2[Record, error] {
	return func(yield func(Record, error) bool) {
		for _, r := range all {
			if !yield(r, nil) {
				return
			}
		}
	}
}

// Rows that come apart are told by their position and field, with the same
// words as those of a file.
func TestRecordsNameThePlace(t *testing.T) {
	good := Record{Item: "a", Effective: "2026-03-01", Unit: "each", Price: "1", Currency: "USD"}
	bad, twice, other := good, good, good
	bad.Price, bad.Item = "6,48", ""
	other.Unit, other.MinQuantity = "lb", "5"
	l := NewRecords(records(good, bad, twice, other), CSVOptions{})
	var rows []Row
	for r, err := range l.Rows() {
		if err != nil {
			t.Fatal(err)
		}
		rows = append(rows, r)
	}
	_, clashes := Gather(slices.Values(rows))
	e, ok := errors.AsType[*fault.Error](l.Err(Clashes{First: clashes, Count: len(clashes)}))
	if !ok {
		t.Fatal("no error")
	}
	var got []string
	for _, v := range e.Violations {
		got = append(got, v.Field+": "+v.Description)
	}
	want := []string{
		"rows[1].item: is empty", "rows[1].price: ",
		"rows[2].item: the same item, office, supplier, effective date and min_quantity as rows[0]",
		"rows[3].unit: differs from rows[0]",
	}
	if !slices.EqualFunc(got, want, strings.HasPrefix) || l.Count() != 4 {
		t.Errorf("%d rows\n%s\nwant\n%s", l.Count(), strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if err := NewRecords(records(), CSVOptions{}).Err(Clashes{}); err != nil {
		t.Errorf("before it is read: %v", err)
	}
	empty := NewRecords(records(), CSVOptions{})
	for r, err := range empty.Rows() {
		t.Errorf("of nothing a row %v, %v", r, err)
	}
	if !empty.Flawed() {
		t.Error("a list without rows is taken")
	}
}

// What is wrong with any number of rows is a hundred lines and a count.
func TestReadingAListKeepsSoMuchOfWhatIsWrong(t *testing.T) {
	file := func(rows int) func(yield func(Record, error) bool) {
		return func(yield func(Record, error) bool) {
			for i := range rows {
				if !yield(Record{Item: fmt.Sprint("item-", i), Effective: "2026-03-01", Unit: "each", Price: "x", Currency: "USD"}, nil) {
					return
				}
			}
		}
	}
	l := NewRecords(file(300_000), CSVOptions{})
	n := 0
	for _, err := range l.Rows() {
		if err != nil {
			t.Fatal(err)
		}
		n++
	}
	e, ok := errors.AsType[*fault.Error](l.Err(Clashes{}))
	if !ok || n != 300_000 || len(e.Violations) != 101 || e.Message != "the price list has 300000 thing(s) to put right" || len(l.problems.first) != 100 {
		t.Errorf("%d rows, %d violations, %v", n, len(e.Violations), e.Message)
	}
}
