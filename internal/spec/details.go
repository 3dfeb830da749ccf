package spec

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/timber"
)

// DetailKind is what values a detail takes.
type DetailKind string

const (
	LengthDetail  DetailKind = "length"  // "12 in"
	CountDetail   DetailKind = "count"   // "3"
	NumberDetail  DetailKind = "number"  // "0.75", a decimal
	SwitchDetail  DetailKind = "switch"  // "true" or "false"
	ChoiceDetail  DetailKind = "choice"  // one of Choices
	SizeDetail    DetailKind = "size"    // a size of sawn wood, "1x6"
	SectionDetail DetailKind = "section" // "1.66od"
)

// Detail is one particular that a family has and others have not: the mesh of
// chain link, the lap of split rails.
type Detail struct {
	Name string // lower_snake_case
	Kind DetailKind
	// Doc says what it is, in a sentence; Source where the default comes from.
	Doc, Source string
	// Default is taken where the spec gives none. Where it depends on the spec,
	// By is asked instead. An empty default leaves the detail out: none.
	Default string
	By      func(*Spec) string
	Choices []string
	// Least and Most bound lengths, counts and numbers, both allowed; empty: at
	// least zero, and no more than any part of a fence.
	Least, Most string
}

// Details are the values of a family's own particulars by name, as text. In a
// spec with its defaults filled in each has the one form that canonical gives
// it, so that equal specs are equal text.
type Details map[string]string

// sound reports what is wrong with the detail itself.
func (d Detail) sound() error {
	if d.Name == "" || d.Doc == "" {
		return errors.New("a detail needs a name and a sentence")
	}
	for _, text := range []string{d.Default, d.Least, d.Most} {
		if text != "" {
			if _, err := d.canonical(text); err != nil {
				return fmt.Errorf("detail %s: %w", d.Name, err)
			}
		}
	}
	return nil
}

// canonical is the one form of a value: lengths as Length.String prints them,
// numbers without zeros at the end.
func (d Detail) canonical(text string) (string, error) {
	switch d.Kind {
	case LengthDetail:
		l, err := measure.Parse(text)
		if err != nil {
			return "", err
		}
		return l.String(), nil
	case CountDetail:
		n, err := strconv.Atoi(text)
		if err != nil {
			return "", fmt.Errorf("%q is no whole number", text)
		}
		return strconv.Itoa(n), nil
	case NumberDetail:
		n, err := decimal.Parse(text)
		if err != nil {
			return "", fmt.Errorf("%q is no decimal number", text)
		}
		return n.Trim(0).String(), nil
	case SwitchDetail:
		if text != "true" && text != "false" {
			return "", fmt.Errorf("%q is neither true nor false", text)
		}
		return text, nil
	case ChoiceDetail:
		if !slices.Contains(d.Choices, text) {
			return "", fmt.Errorf("%q is not known here; expected %s", text, listed(d.Choices))
		}
		return text, nil
	case SizeDetail:
		size, err := timber.ParseSize(text)
		return string(size), err
	case SectionDetail:
		s, err := section.Parse(text)
		return string(s), err
	default:
		return "", fmt.Errorf("details of kind %q are not known here", d.Kind)
	}
}

// within reports whether a canonical value keeps to the detail's bounds.
func (d Detail) within(text string) bool {
	var bad bool
	switch d.Kind {
	case LengthDetail:
		least, most := measure.Length(0), longestPart
		if d.Least != "" {
			least = measure.Must(d.Least)
		}
		if d.Most != "" {
			most = measure.Must(d.Most)
		}
		l := measure.Must(text)
		bad = l < least || l > most
	case CountDetail, NumberDetail:
		n := decimal.MustParse(text)
		least, most := decimal.Zero, decimal.MustNew(1_000_000, 0)
		if d.Least != "" {
			least = decimal.MustParse(d.Least)
		}
		if d.Most != "" {
			most = decimal.MustParse(d.Most)
		}
		bad = n.Cmp(least) < 0 || n.Cmp(most) > 0
	default: // the others have no bounds
	}
	return !bad
}

// bounds are the detail's bounds in words.
func (d Detail) bounds() string {
	switch {
	case d.Least != "" && d.Most != "":
		return "between " + d.Least + " and " + d.Most
	case d.Least != "":
		return "at least " + d.Least
	case d.Most != "":
		return "at most " + d.Most
	default:
		return "zero or more, of a sensible size"
	}
}

// fillDetails gives every detail of the family a value in its one form. What
// cannot be read stays as it is, for Validate.
func (s *Spec) fillDetails() {
	s.Details = maps.Clone(s.Details)
	d := s.Family.Definition()
	if d == nil {
		return
	}
	for _, x := range d.Details {
		text, given := s.Details[x.Name]
		if !given {
			if text = x.Default; x.By != nil {
				text = x.By(s)
			}
			if text == "" {
				continue
			}
		}
		if form, err := x.canonical(text); err == nil {
			text = form
		}
		if s.Details == nil {
			s.Details = Details{}
		}
		s.Details[x.Name] = text
	}
}

func (all Details) validate(v *fault.List, d *Definition) {
	for _, name := range sortedKeys(all) {
		x, known := d.detail(name)
		if !known {
			var names []string
			for _, x := range d.Details {
				names = append(names, x.Name)
			}
			v.Add(name, "%s has no such detail; expected %s", d.Title, listed(names))
			continue
		}
		if form, err := x.canonical(all[name]); err != nil {
			v.Add(name, "%v", err)
		} else if !x.within(form) {
			v.Add(name, "expected %s, found %s", x.bounds(), form)
		}
	}
}

// listed is a list in words, or "none".
func listed[T ~string](all []T) string {
	words := make([]string, len(all))
	for i, x := range all {
		words[i] = string(x)
	}
	if len(words) == 0 {
		return "none"
	}
	return strings.Join(words, ", ")
}

// The values of a valid spec's details. One that is left out is zero.

// Length of a detail.
func (all Details) Length(name string) measure.Length {
	text := all[name]
	if text == "" {
		return 0
	}
	l, err := measure.Parse(text)
	if err != nil {
		return 0
	}
	return l
}

// Count of a detail.
func (all Details) Count(name string) int {
	n, err := strconv.Atoi(all[name])
	if err != nil {
		return 0
	}
	return n
}

// Number of a detail.
func (all Details) Number(name string) decimal.Decimal {
	n, err := decimal.Parse(all[name])
	if err != nil {
		return decimal.Zero
	}
	return n
}

// On reports whether a switch is on.
func (all Details) On(name string) bool { return all[name] == "true" }

// Section of a detail.
func (all Details) Section(name string) section.Section { return section.Section(all[name]) }

// Size of a detail.
func (all Details) Size(name string) timber.Size { return timber.Size(all[name]) }
