package main

import (
	"strings"

	"github.com/govalues/decimal"
)

// amount shows a decimal of the API to people: two decimals or as many more as
// it has, and thousands apart. Other text is left as it is.
func amount(text string) string {
	d, err := decimal.Parse(text)
	if err != nil {
		return text
	}
	figures := d.Trim(2).Pad(2).String()
	sign := ""
	if rest, negative := strings.CutPrefix(figures, "-"); negative {
		sign, figures = "-", rest
	}
	whole, fraction, _ := strings.Cut(figures, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	return sign + whole + "." + fraction
}

// difference is an amount that shows an increase as one.
func difference(text string) string {
	if d, err := decimal.Parse(text); err == nil && d.IsPos() {
		return "+" + amount(text)
	}
	return amount(text)
}

// rise is a figure that shows an increase as one, with all its decimals.
func rise(figure string) string {
	if d, err := decimal.Parse(figure); err == nil && d.IsPos() {
		return "+" + figure
	}
	return figure
}

// less is the difference of two decimals of the API; empty where it is not one.
func less(a, b string) string {
	x, errX := decimal.Parse(a)
	y, errY := decimal.Parse(b)
	d, err := x.Sub(y)
	if errX != nil || errY != nil || err != nil {
		return ""
	}
	return d.String()
}
