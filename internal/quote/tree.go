package quote

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
	"wattle/internal/measure"
	"wattle/internal/money"
)

// tree reads a document: the counterpart of canon. The first thing that is not
// as canon writes it is kept as the error; everything read after it is zero.
type tree struct {
	value any
	path  string
	err   *error
}

func parseTree(document []byte) (tree, error) {
	var err error
	t := tree{err: &err}
	if err := json.Unmarshal(document, &t.value); err != nil {
		return t, fmt.Errorf("the document is not JSON: %w", err)
	}
	return t, nil
}

func (t tree) fail(format string, args ...any) {
	if *t.err == nil {
		*t.err = fmt.Errorf("document: %s: %s", t.path, fmt.Sprintf(format, args...))
	}
}

// has reports whether an object has the key: optional values are left out.
func (t tree) has(key string) bool {
	m, _ := t.value.(map[string]any)
	_, ok := m[key]
	return ok
}

// at is the value of key.
func (t tree) at(key string) tree {
	m, _ := t.value.(map[string]any)
	v, ok := m[key]
	child := tree{value: v, path: t.path + "." + key, err: t.err}
	if !ok {
		child.fail("is missing")
	}
	return child
}

// all are the elements of the array at key.
func (t tree) all(key string) []tree {
	child := t.at(key)
	list, ok := child.value.([]any)
	if !ok {
		child.fail("is not an array")
	}
	elements := make([]tree, len(list))
	for i, v := range list {
		elements[i] = tree{value: v, path: child.path + "[" + strconv.Itoa(i) + "]", err: t.err}
	}
	return elements
}

// names are the keys of the object at key, sorted.
func (t tree) names(key string) []string {
	m, ok := t.at(key).value.(map[string]any)
	if !ok {
		t.at(key).fail("is not an object")
	}
	names := make([]string, 0, len(m))
	for name := range m {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

func (t tree) string() string {
	s, ok := t.value.(string)
	if !ok {
		t.fail("is not a string")
	}
	return s
}

func (t tree) integer() int64 {
	n, err := strconv.ParseInt(t.string(), 10, 64)
	if err != nil {
		t.fail("is not an integer")
	}
	return n
}

func (t tree) text(key string) string           { return t.at(key).string() }
func (t tree) int(key string) int               { return int(t.at(key).integer()) }
func (t tree) length(key string) measure.Length { return measure.Length(t.at(key).integer()) }

func (t tree) lengths(key string) []measure.Length {
	var ls []measure.Length
	for _, e := range t.all(key) {
		ls = append(ls, measure.Length(e.integer()))
	}
	return ls
}

func (t tree) bool(key string) bool {
	v, ok := t.at(key).value.(bool)
	if !ok {
		t.at(key).fail("is not true or false")
	}
	return v
}

func (t tree) decimal(key string) decimal.Decimal {
	d, err := money.ParseDecimal(t.text(key))
	if err != nil {
		t.at(key).fail("%v", err)
	}
	return d
}

func (t tree) date(key string) civil.Date { return t.at(key).day() }

// day is a date, zero where it is empty.
func (t tree) day() civil.Date {
	s := t.string()
	if s == "" {
		return civil.Date{}
	}
	d, err := civil.Parse(s)
	if err != nil {
		t.fail("%v", err)
	}
	return d
}

// choice is the index of the text at key among names.
func (t tree) choice(key string, names []string) int {
	i := slices.Index(names, t.text(key))
	if i < 0 {
		t.at(key).fail("is not one of %v", names)
		return 0
	}
	return i
}

// What canon leaves out when it is zero reads as zero when it is absent.

func (t tree) lengthOrZero(key string) measure.Length {
	if !t.has(key) {
		return 0
	}
	return t.length(key)
}

func (t tree) intOrZero(key string) int {
	if !t.has(key) {
		return 0
	}
	return t.int(key)
}

func (t tree) decimalOrZero(key string) decimal.Decimal {
	if !t.has(key) {
		return decimal.Decimal{}
	}
	return t.decimal(key)
}

func (t tree) textOrEmpty(key string) string {
	if !t.has(key) {
		return ""
	}
	return t.text(key)
}

func (t tree) boolOrFalse(key string) bool { return t.has(key) && t.bool(key) }

// allOrNone are the elements of the array at key, none where it is absent.
func (t tree) allOrNone(key string) []tree {
	if !t.has(key) {
		return nil
	}
	return t.all(key)
}

func (t tree) optionalLength(key string) *measure.Length {
	if !t.has(key) {
		return nil
	}
	return new(t.length(key))
}

func (t tree) optionalBool(key string) *bool {
	if !t.has(key) {
		return nil
	}
	return new(t.bool(key))
}

func (t tree) optionalDecimal(key string) *decimal.Decimal {
	if !t.has(key) {
		return nil
	}
	return new(t.decimal(key))
}
