// Package money holds amounts, currencies and the named rules by which amounts
// are rounded. Amounts are decimals (github.com/govalues/decimal); nothing here
// rounds without being told to.
package money

import (
	"fmt"
	"slices"
	"strings"
)

// Currency is an ISO 4217 code in capitals. The zero Currency is "none".
// Values come from the constants or ParseCurrency.
type Currency string

// Some currencies have a name here, for tests and defaults.
const (
	USD Currency = "USD"
	CAD Currency = "CAD"
	EUR Currency = "EUR"
	GBP Currency = "GBP"
)

// usualDigits is what most currencies have.
const usualDigits = 2

// minorUnits is the number of decimals of each currency's smallest unit
// [ISO 4217].
var minorUnits = map[Currency]int{
	// [TAX-5]
	"USD": 2, "CAD": 2, "EUR": 2, "GBP": 2,
	"JPY": 0, "KRW": 0,
	"BHD": 3, "KWD": 3, "JOD": 3,
	// from memory
	"AUD": 2, "NZD": 2, "CHF": 2, "SEK": 2, "NOK": 2, "DKK": 2, "PLN": 2, "CZK": 2,
	"MXN": 2, "BRL": 2, "ZAR": 2, "INR": 2, "CNY": 2, "HKD": 2, "SGD": 2,
	"CLP": 0, "ISK": 0, "VND": 0,
	"IQD": 3, "LYD": 3, "OMR": 3, "TND": 3,
}

// ParseCurrency reads an ISO 4217 code that Wattle knows the minor unit of.
func ParseCurrency(code string) (Currency, error) {
	c := Currency(code)
	if _, ok := minorUnits[c]; ok {
		return c, nil
	}
	if _, ok := minorUnits[Currency(strings.ToUpper(code))]; ok {
		return "", fmt.Errorf("%q is not a currency code: expected capitals, %q", code, strings.ToUpper(code))
	}
	return "", fmt.Errorf("%q is not a currency code known here; expected one of %s", code, list(Currencies()))
}

// Currencies are all currencies that ParseCurrency takes, by code.
func Currencies() []Currency {
	all := make([]Currency, 0, len(minorUnits))
	for c := range minorUnits {
		all = append(all, c)
	}
	slices.Sort(all)
	return all
}

// Digits is the number of decimals of the currency's smallest unit: 2 for USD,
// 0 for JPY. A code that ParseCurrency would refuse has the usual 2.
func (c Currency) Digits() int {
	if n, ok := minorUnits[c]; ok {
		return n
	}
	return usualDigits
}

// IsZero reports whether c is "none".
func (c Currency) IsZero() bool { return c == "" }

func (c Currency) String() string { return string(c) }

func list[T ~string](values []T) string {
	names := make([]string, len(values))
	for i, v := range values {
		names[i] = string(v)
	}
	return strings.Join(names, ", ")
}
