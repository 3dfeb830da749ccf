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
	// What is wrong, of a list that is no part of another. It is a chain, and
	// paths and fields are copied into it, so that nothing of a List is kept: the
	// compiler sees that, and lists live on the stacks of validators.
	first, last *noted
	count       int
}

// noted is a violation and the one after it.
type noted struct {
	Violation
	next *noted
}

// appendPath appends the path of field of the part of the request that the list is
// about; "" is the part itself.
func (l *List) appendPath(path []byte, field string) []byte {
	if l.under != nil {
		path = l.under.appendPath(path, l.field)
		if l.field == "" && l.index >= 0 {
			path = append(strconv.AppendInt(append(path, '['), int64(l.index), 10), ']')
		}
	}
	if len(path) > 0 && field != "" && field[0] != '[' {
		path = append(path, '.')
	}
	return append(path, field...)
}

// all is the list that this one is a part of, over all others.
func (l *List) all() *List {
	for l.under != nil {
		l = l.under
	}
	return l
}

// At is the same list, writing under the named field.
func (l *List) At(field string) *List { return &List{under: l, field: field, index: -1} }

// Index is the same list, writing under element i.
func (l *List) Index(i int) *List { return &List{under: l, index: i} }

// Add notes that field (relative to the list's path; "" is the path itself)
// is wrong.
func (l *List) Add(field, format string, args ...any) {
	l.note(field, fmt.Sprintf(format, args...))
}

func (l *List) note(field, description string) {
	n := &noted{Violation: Violation{Field: string(l.appendPath(nil, field)), Description: description}}
	all := l.all()
	if all.last == nil {
		all.first = n
	} else {
		all.last.next = n
	}
	all.last = n
	all.count++
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
	for _, v := range e.Violations {
		l.note(v.Field, v.Description)
	}
	return nil
}

// Len is the number of violations so far.
func (l *List) Len() int { return l.all().count }

// Err is nil for an empty list, else one Invalid error that carries them all.
func (l *List) Err() error {
	all := l.all()
	if all.count == 0 {
		return nil
	}
	e := New(Invalid, "INVALID_REQUEST", "the request has %d thing(s) to put right", all.count)
	e.Violations = make([]Violation, 0, all.count)
	for n := all.first; n != nil; n = n.next {
		e.Violations = append(e.Violations, n.Violation)
	}
	return e
}
