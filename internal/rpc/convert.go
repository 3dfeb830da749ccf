package rpc

import (
	"fmt"

	"github.com/govalues/decimal"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/money"
)

// The readers below take a field's text; empty text is the zero value, and what
// cannot be read is noted under the field's own path and reads as zero.

func readLength(v *fault.List, field, text string) measure.Length {
	return read(v, field, text, measure.Parse)
}

// readSize reads a length for which zero is no value: leaving it out is what
// asks for the default.
func readSize(v *fault.List, field, text string) measure.Length {
	return read(v, field, text, func(text string) (measure.Length, error) { return overZero(text, "a length", measure.Parse) })
}

// readAngleSize is readSize for angles.
func readAngleSize(v *fault.List, field, text string) measure.Angle {
	return read(v, field, text, func(text string) (measure.Angle, error) { return overZero(text, "an angle", measure.ParseAngle) })
}

func overZero[T ~int64](text, what string, parse func(string) (T, error)) (T, error) {
	value, err := parse(text)
	if err == nil && value == 0 {
		err = fmt.Errorf("%q is not %s over zero; leave it out for the default", text, what)
	}
	return value, err
}

// sizeText is the text that readSize and readAngleSize read.
func sizeText[T interface {
	~int64
	String() string
}](size T) string {
	if size == 0 {
		return ""
	}
	return size.String()
}

func readDecimal(v *fault.List, field, text string) decimal.Decimal {
	return read(v, field, text, money.ParseDecimal)
}

func readDate(v *fault.List, field, text string) civil.Date {
	return read(v, field, text, civil.Parse)
}

func readCurrency(v *fault.List, text string) money.Currency {
	return read(v, "currency", text, money.ParseCurrency)
}

func read[T any](v *fault.List, field, text string, parse func(string) (T, error)) T {
	var zero T
	if text == "" {
		return zero
	}
	value, err := parse(text)
	if err != nil {
		v.Add(field, "%v", err)
		return zero
	}
	return value
}

// readOptional is nil for an absent field.
func readOptional[T any](v *fault.List, field string, text *string, reader func(*fault.List, string, string) T) *T {
	if text == nil {
		return nil
	}
	value := reader(v, field, *text)
	return &value
}

func readLengths(v *fault.List, field string, texts []string) []measure.Length {
	if len(texts) == 0 {
		return nil
	}
	list := v.At(field)
	lengths := make([]measure.Length, len(texts))
	for i, text := range texts {
		lengths[i] = read(list.Index(i), "", text, measure.Parse)
	}
	return lengths
}

func textOf[T interface{ String() string }](value *T) *string {
	if value == nil {
		return nil
	}
	text := (*value).String()
	return &text
}

// Decimals have one spelling on the wire, whatever way they were worked out:
// without zeros at the end, but an amount with at least its currency's
// decimals.

func plain(d decimal.Decimal) string { return d.Trim(0).String() }

// plainUnlessZero is empty for zero: of a decimal that is zero where it is left
// out.
func plainUnlessZero(d decimal.Decimal) string {
	if d.IsZero() {
		return ""
	}
	return plain(d)
}

// orNil is nil for a message in which nothing is set: a part of a request that
// was left out.
func orNil[M written](m M) M {
	if m.SizeVT() == 0 {
		var none M
		return none
	}
	return m
}

// amounts spells amounts of a currency.
type amounts struct{ digits int }

func amountsIn(c money.Currency) amounts { return amounts{c.Digits()} }

func (a amounts) of(d decimal.Decimal) string { return d.Trim(0).Pad(a.digits).String() }

// pairs is a closed set of values in both vocabularies. The unspecified wire
// value and the domain's zero value stand for each other where no pair names
// them.
type pairs[P ~int32, D comparable] struct {
	domain map[P]D
	wire   map[D]P
}

func pairsOf[P ~int32, D comparable](domain map[P]D) pairs[P, D] {
	wire := make(map[D]P, len(domain))
	for p, d := range domain {
		wire[d] = p
	}
	return pairs[P, D]{domain, wire}
}

func cautionsToProto(cautions ...layout.Caution) []*wattlev1.Caution {
	made, out := make([]wattlev1.Caution, len(cautions)), make([]*wattlev1.Caution, len(cautions))
	for i, c := range cautions {
		out[i] = &made[i]
		made[i] = wattlev1.Caution{Code: c.Code, Text: c.Text, Field: c.Field}
	}
	return out
}
