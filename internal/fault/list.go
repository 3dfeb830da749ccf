package fault

import (
	"errors"
	"fmt"
	"strconv"
)

// List collects everything wrong with a request. The zero value is ready; a
// nil *List may not be used. Sub-validators share one list through At, so that
// each writes paths relative to its own part:
//
//	v := &fault.List{}
//	for i := range runs {
//		runs[i].Validate(v.At("runs").Index(i))
//	}
//	return v.Err()
type List struct {
	// A path is put together when something is wrong, which is seldom: under
	// is the list that this one is a part of, in a field or else at an index.
	under *List
	field string
	index int
	all   *[]Violation
}

// path of the part of the request that the list is about.
func (l *List) path() string {
	switch {
	case l.under == nil:
		return ""
	case l.field != "":
		return join(l.under.path(), l.field)
	case l.index >= 0:
		return l.under.path() + "[" + strconv.Itoa(l.index) + "]"
	default:
		return l.under.path()
	}
}

func (l *List) violations() *[]Violation {
	if l.all == nil {
		l.all = new([]Violation)
	}
	return l.all
}

// At is the same list, writing under the named field.
func (l *List) At(field string) *List {
	return &List{under: l, field: field, index: -1, all: l.violations()}
}

// Index is the same list, writing under element i.
func (l *List) Index(i int) *List {
	return &List{under: l, index: i, all: l.violations()}
}

// Add notes that field (relative to the list's path; "" is the path itself)
// is wrong.
func (l *List) Add(field, format string, args ...any) {
	all := l.violations()
	*all = append(*all, Violation{Field: join(l.path(), field), Description: fmt.Sprintf(format, args...)})
}

// Require notes a violation unless ok, and reports ok.
func (l *List) Require(ok bool, field, format string, args ...any) bool {
	if !ok {
		l.Add(field, format, args...)
	}
	return ok
}

// Merge takes the violations of an Invalid error into the list; any other error
// it gives back.
func (l *List) Merge(err error) error {
	e, ok := errors.AsType[*Error](err)
	if !ok || e.Kind != Invalid || len(e.Violations) == 0 {
		return err
	}
	all := l.violations()
	for _, v := range e.Violations {
		*all = append(*all, Violation{Field: join(l.path(), v.Field), Description: v.Description})
	}
	return nil
}

// Len is the number of violations so far.
func (l *List) Len() int { return len(*l.violations()) }

// Err is nil for an empty list, else one Invalid error that carries them all.
func (l *List) Err() error {
	all := *l.violations()
	if len(all) == 0 {
		return nil
	}
	e := New(Invalid, "INVALID_REQUEST", "the request has %d thing(s) to put right", len(all))
	e.Violations = all
	return e
}

func join(path, field string) string {
	switch {
	case path == "":
		return field
	case field == "":
		return path
	case field[0] == '[':
		return path + field
	default:
		return path + "." + field
	}
}
