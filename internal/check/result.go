package check

import (
	"cmp"
	"math/big"

	"github.com/govalues/decimal"

	"wattle/internal/measure"
	"wattle/internal/money"
)

// Outcome is what a check found.
type Outcome string

const (
	// Pass: the limit is kept, or does not apply, as the text says.
	Pass Outcome = "pass"
	// Fail: the limit is not kept.
	Fail Outcome = "fail"
	// NotEnoughData: something the check needs was not given, or lies outside
	// what its source covers.
	NotEnoughData Outcome = "not-enough-data"
	// Advisory: a figure or a warning with no limit to hold it against.
	Advisory Outcome = "advisory"
)

// Outcomes lists every outcome.
func Outcomes() []Outcome { return []Outcome{Pass, Fail, NotEnoughData, Advisory} }

// Figure is a number that a result rests on: a decimal with a fixed number of
// places, and its unit ("psf", "lb", "ft", "" for a ratio). A figure that was
// not counted but named has its word as value.
type Figure struct{ Name, Value, Unit string }

// Result is what one check found. It changes no number of an estimate.
type Result struct {
	// Code is stable: lower-case words joined by hyphens, one of Codes.
	Code, Title string
	Outcome     Outcome
	// Text is one sentence with the figures, and a second that says the check
	// is advisory and who decides.
	Text    string
	Figures []Figure
	// Source and Edition name where the rule was read; an edition "from
	// memory" was not seen.
	Source, Edition string
	// Decides says that the check is advisory and who decides.
	Decides string
	// Field is the path, within the check's own input, of what the result is
	// about; "" is the whole input.
	Field string
}

// Under is the result with Field below a path of the caller's.
func (r Result) Under(path string) Result {
	switch {
	case r.Field == "":
		r.Field = path
	case path != "":
		r.Field = path + "." + r.Field
	}
	return r
}

// result fills in what the table of codes knows. The text is the first
// sentence; the second is the table's.
func result(code string, outcome Outcome, field, text string, figures ...Figure) Result {
	row := codeNamed(code)
	return Result{
		Code: code, Title: row.Title, Outcome: outcome, Text: text + " " + row.Decides, Figures: figures,
		Source: row.Source, Edition: row.Edition, Decides: row.Decides, Field: field,
	}
}

// from is the result with the source that the data it used came from, where
// they name one.
func (r Result) from(source, edition string) Result {
	if source != "" {
		r.Source, r.Edition = source, cmp.Or(edition, "as stated")
	}
	return r
}

// passIf is Pass or Fail.
func passIf(ok bool) Outcome {
	if ok {
		return Pass
	}
	return Fail
}

// fixed is x with a number of decimals, halves away from zero.
func fixed(name string, x *big.Rat, places int, unit string) Figure {
	return Figure{Name: name, Value: x.FloatString(places), Unit: unit}
}

// given is a decimal as it came in.
func given(name string, d decimal.Decimal, unit string) Figure {
	return Figure{Name: name, Value: d.Trim(0).String(), Unit: unit}
}

func inFeet(name string, l measure.Length) Figure   { return fixed(name, feet(l), 2, "ft") }
func inInches(name string, l measure.Length) Figure { return fixed(name, inches(l), 3, "in") }

func feet(l measure.Length) *big.Rat   { return big.NewRat(int64(l), int64(measure.Foot)) }
func inches(l measure.Length) *big.Rat { return big.NewRat(int64(l), int64(measure.Inch)) }

// fromFeet is x feet to the nearest nanometre. x is bounded by what the checks
// take as input, and fits.
func fromFeet(x *big.Rat) measure.Length {
	nm := product(x, big.NewRat(int64(measure.Foot), 1))
	return measure.Length(roundHalfUp(nm).Int64())
}

func product(factors ...*big.Rat) *big.Rat {
	p := big.NewRat(1, 1)
	for _, f := range factors {
		p.Mul(p, f)
	}
	return p
}

// roundHalfUp is floor(x + 1/2).
func roundHalfUp(x *big.Rat) *big.Int {
	n := new(big.Int).Lsh(x.Num(), 1)
	n.Add(n, x.Denom())
	return n.Div(n, new(big.Int).Lsh(x.Denom(), 1)) // Euclidean, the divisor is positive: the floor
}

// hundredths is x to two places, halves up; x is not negative and bounded by
// what the checks take as input, so that it fits.
func hundredths(x *big.Rat) decimal.Decimal {
	return decimal.MustNew(roundHalfUp(product(x, big.NewRat(100, 1))).Int64(), 2)
}

// orElse is the decimal given, or the text's.
func orElse(d *decimal.Decimal, text string) *big.Rat {
	if d != nil {
		return money.Rat(*d)
	}
	return ratio(text)
}

// ratio reads a constant of a formula as its source writes it, and nothing that
// came from outside: it panics on what is no number.
func ratio(text string) *big.Rat {
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		panic("check: not a number: " + text)
	}
	return r
}
